"""What a certificate says otherwise than the one that it takes the place of, figure by figure.

An amended report identifies what was changed: ISO/IEC 17025:2017, 7.8.8.2. What every certificate has of its own
(number, day of issue, who signs, the head of the records) is no change, nor is another version of the program as long
as every figure stays.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from assaywright.assay.certificate import CertificateDocument
from assaywright.assay.plain_words import plain_words
from assaywright.assay.wording import dates_in_words

NONE = "none"
PRINTED_IN = "Printed in"
HASH_SHOWN = 16
OWN_ROWS = ("Issued",)

# Of a characteristic: the field of the document, what it is called, the group of phrases that its text belongs to.
_OF_A_CHARACTERISTIC = (
    ("factor", "factor", "factor"), ("temperature", "reference temperature", ""), ("limits", "specified", "limits"),
    ("rule", "decision rule", "rule"), ("decision", "decision", "decision"), ("compared", "compared", "value"),
    ("probability", "conformance probability", "probability"), ("risks", "risks in the long run", "risks"),
    ("no_uncertainty", "uncertainty", "no_uncertainty"), ("method", "method", "method"), ("source", "source", ""))


@dataclass(frozen=True, slots=True)
class CertificateChange:
    """One difference.

    Fields:
        what: field of the certificate, with its characteristic or worksheet before a colon where it belongs to one.
        before, now: as printed; "none" where nothing was printed.
        group: of the phrases that both belong to, so that they can be said in another language; empty for what somebody
            typed.
    """

    what: str
    before: str
    now: str
    group: str = ""


def certificate_changes(before: Mapping[str, Any], after: CertificateDocument) -> tuple[CertificateChange, ...]:
    """Return what a certificate says otherwise than an earlier one; nothing where all that is on record is the same.

    Arguments:
        before: the document that the earlier certificate carries for programs.
        after: the later one.
    """
    now = asdict(after)
    found = (*_heading(before, now), *_characteristics(before, now), *_handling(before, now), *_records(before, now),
             *_chains(before, now))
    return tuple(one for one in found if one.before != one.now)


def _change(what: str, before: str, now: str, group: str = "") -> CertificateChange:
    return CertificateChange(what, dates_in_words(before) or NONE, dates_in_words(now) or NONE, group)


def _heading(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[CertificateChange]:
    for key, what in (("maker", "Maker"), ("address", "Address of the works"), ("product", "Product"), ("lot", "Lot"),
                      ("accreditation_number", "Number of the accreditation")):
        yield _change(what, str(before.get(key, "")), str(now[key]))
    old, new = (_rows(one) for one in (before, now))
    for label in dict.fromkeys([*old, *new]):
        if label not in OWN_ROWS:
            yield _change(label, old.get(label, ""), new.get(label, ""), "days")


def _rows(document: Mapping[str, Any]) -> dict[str, str]:
    return {one["label"]: one["text"] for one in document["identification"]}


def _characteristics(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[CertificateChange]:
    old, new = ({one["name"]: one for one in document["characteristics"]} for document in (before, now))
    for name in dict.fromkeys([*old, *new]):
        was, is_now = old.get(name), new.get(name)
        yield _change(f"{name}: result", _result(was), _result(is_now), "figure")
        if was is None or is_now is None:
            continue
        yield _change(f"{name}: coverage factor", _factor(was), _factor(is_now))
        yield _change(f"{name}: accredited", _yes(was["accredited"]), _yes(is_now["accredited"]), "yes or no")
        for key, words, group in _OF_A_CHARACTERISTIC:
            yield _change(f"{name}: {words}", was[key], is_now[key], group)


def _result(one: Mapping[str, Any] | None) -> str:
    if one is None:
        return ""
    if one["uncertainty"]:
        return f"({one['value']} ± {one['uncertainty']}) {one['unit']}"
    return f"{one['value']} {one['unit']}".strip()


def _factor(one: Mapping[str, Any]) -> str:
    factor = one["numbers"]["coverage_factor"]
    return "" if factor is None else f"k = {factor:.2f}"


def _yes(whether: object) -> str:
    return "yes" if whether else "no"


def _handling(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[CertificateChange]:
    yield _change("Storage", before["storage"], now["storage"])
    yield _change("Hazard statements", *(", ".join(one["code"] for one in document["hazards"])
                                         for document in (before, now)))
    yield _change("Cautions", *(" ".join(document["cautions"]) for document in (before, now)))
    yield _change("Irregularities accepted", *(
        "; ".join(f"{plain_words(one['what'])} ({one['by']}, {one['day']}: {one['reason']})"
                  for one in document.get("accepted", ()))
        for document in (before, now)))


def _records(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[CertificateChange]:
    old, new = ({one["worksheet"]: one for one in document["records"]} for document in (before, now))
    for number in dict.fromkeys([*old, *new]):
        was, is_now = old.get(number, {}), new.get(number, {})
        for key, words in (("method_edition", "edition of the method"), ("analyst", "analyst"),
                           ("reviewer", "reviewer")):
            yield _change(f"{number}: {words}", was.get(key, ""), is_now.get(key, ""))
        yield _change(f"{number}: worksheet SHA-256", was.get("sha256", "")[:HASH_SHOWN],
                      is_now.get("sha256", "")[:HASH_SHOWN])


def _chains(before: Mapping[str, Any], now: Mapping[str, Any]) -> Iterator[CertificateChange]:
    """Yield what is drawn in one chain of a characteristic and not in the other."""
    old, new = ({", ".join(one["characteristics"]): dict.fromkeys(_links(one["chain"])) for one in document["chains"]}
                for document in (before, now))
    for name in dict.fromkeys([*old, *new]):
        was, is_now = old.get(name, {}), new.get(name, {})
        if was and is_now:
            yield _change(f"{name}: traceability", _only(was, is_now), _only(is_now, was))


def _links(link: Mapping[str, Any]) -> Iterator[str]:
    """Yield each link of a chain below its own result, which stands with the characteristics."""
    for below in link["rests_on"]:
        said = filter(None, (below["statement"], below["certificate"], below["valid"]))
        yield f"{below['kind']} {below['identity']} ({'; '.join(said)})"
        yield from _links(below)


def _only(these: Iterable[str], others: Iterable[str]) -> str:
    known = set(others)
    return "; ".join(one for one in these if one not in known)
