"""Rows to worksheets and back: the only translator between the records and the files that the lower floors evaluate.

An assay in the records is a worksheet that is not written out yet. It is written out whenever somebody wants to
evaluate it, look at it or take it along, and the program evaluates that text as any other.
"""

import errno
import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from assaywright.assay.editions import earlier_editions
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.evaluate_lot import LotOutcome, evaluate_lot
from assaywright.assay.observations import Lot as LotFile
from assaywright.assay.result import Outcome
from assaywright.assay.worksheet import FORMAT, parse_worksheet, read_bytes
from assaywright.metrology.refusal import Refusal
from assaywright.records.accepted import with_what_was_accepted
from assaywright.records.accreditation import covered
from assaywright.records.investigated import entry_of, worksheets_set_aside
from assaywright.records.methods import edition_on_record
from assaywright.records.models import (
    Assay,
    Determination,
    Event,
    Lot,
    MethodEdition,
    Person,
    Sample,
    Signature,
)
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.parallel import first_outside
from assaywright.records.readings import MOST_PLACES
from assaywright.records.set_aside import set_aside_remarks
from assaywright.records.specified import specified_of
from assaywright.records.toml_text import toml_text
from assaywright.records.unchecked import unchecked_remarks

PLACE_OF_LOTS = "lot-"
KNOWN_BY_ASSAY = ("worksheet", "measurand")
NOT_OF_THE_LOT = ("quantity", "edition", "issued")  # a lot is issued when its certificate is, whatever a file said
FOUND = ("worksheet", "measurand", "value", "less_than", "found", "satisfied", "source")


def worksheet_bytes(assay: Assay) -> bytes:
    """Return an assay as the bytes of a worksheet file, with every determination, excluded ones among them."""
    return _bytes_of(assay.content, numbered(determinations_of(assay)))


def worksheet_digests(assay: Assay) -> frozenset[str]:
    """Return the SHA-256 digests by which an assay's worksheet is known [hexadecimal].

    There are two where determinations are missing between others: worksheets signed by earlier versions numbered the
    determinations that are there without a gap.
    """
    found = determinations_of(assay)
    labelled, plain = numbered(found), [fields for _, fields in found]
    return frozenset(worksheet_digest(assay.content, each)
                     for each in ((labelled,) if labelled == plain else (labelled, plain)))


def worksheet_digest(heading: dict[str, Any], determinations: list[dict[str, Any]]) -> str:
    """Return the SHA-256 digest of a worksheet as the records write it out [hexadecimal].

    Arguments:
        heading, determinations: as they are stored, their fields in that order.
    """
    return hashlib.sha256(_bytes_of(heading, determinations)).hexdigest()


def _bytes_of(heading: dict[str, Any], determinations: list[dict[str, Any]]) -> bytes:
    table = {"format": FORMAT, **heading}
    if determinations:
        table["determination"] = determinations
    return toml_text(table).encode()


def numbered(determinations: list[tuple[int, dict[str, Any]]]) -> list[dict[str, Any]]:
    """Return determinations as a worksheet holds them, labelled by their numbers where the order alone misleads."""
    if any("label" in fields for _, fields in determinations):
        return [fields for _, fields in determinations]
    return [fields if place == number else {"label": str(place), **fields}
            for number, (place, fields) in enumerate(determinations, 1)]


def places_of(determinations: list[dict[str, Any]]) -> list[int]:
    """Return the numbers of a worksheet's determinations where one is missing between them, as :func:`numbered` says.

    Empty where they stand in a row, or are labelled by other words.
    """
    found: list[int] = []
    for number, one in enumerate(determinations, 1):
        label = str(one.get("label", number))
        place = int(label) if label.isascii() and label.isdigit() else 0
        if ("label" in one) == (place == number) or not max(found, default=0) < place <= MOST_PLACES:
            return []
        found.append(place)
    return found if found and found[-1] != len(found) else []


def determinations_of(assay: Assay) -> list[tuple[int, dict[str, Any]]]:
    """Return the determinations by their numbers, an excluded one with its reason and who left it out."""
    rows = list(Determination.objects.filter(assay=assay.identity).order_by("place"))
    who = _excluded_by(assay) if any(row.excluded for row in rows) else {}
    found = []
    for row in rows:
        fields = row.content
        stated = fields.pop("excluded_by", "")
        if row.excluded:
            fields |= {"excluded": row.excluded, "excluded_by": who.get(row.place) or stated}
            fields = {key: value for key, value in fields.items() if key != "excluded_by" or value}
        found.append((row.place, fields))
    return found


def _excluded_by(assay: Assay) -> dict[int, str]:
    """Return who last left a determination out, by its number."""
    names = dict(Person.objects.values_list("identity", "name"))
    acts = Event.objects.filter(subject=assay.identity, kind="determination.excluded").order_by("number")
    return {json.loads(act.payload)["place"]: names.get(act.by, act.by) for act in acts}


def _taken_along(assay: Assay) -> bytes:
    """Return an assay as the bytes of a worksheet file that gives its result on record wherever it is evaluated.

    It is the worksheet itself, and where a later edition of its method is in force a line that names the edition.
    """
    edition = edition_on_record(assay)
    pinned = {"method_edition": edition} if edition and "method_edition" not in assay.content else {}
    return _bytes_of(assay.content | pinned, numbered(determinations_of(assay)))


class ByPath:
    """Opens the worksheets, lots and methods of the records by their paths, and knows the editions results keep.

    Arguments:
        instead: bytes that stand in the place of what the records hold, by path.
    """

    def __init__(self, instead: Mapping[str, bytes] | None = None) -> None:
        self.instead = dict(instead or {})

    def __call__(self, path: str) -> bytes:
        """Return the bytes of the worksheet, lot or method that the records know by that path.

        Raises:
            FileNotFoundError: there is none.
        """
        if path in self.instead:
            return self.instead[path]
        assay = Assay.objects.filter(path=path).first()
        if assay is not None:
            return worksheet_bytes(assay)
        if path.startswith(PLACE_OF_LOTS):
            lot = Lot.objects.filter(pk=path.removeprefix(PLACE_OF_LOTS).removesuffix(".toml")).first()
            if lot is not None:
                return lot_bytes(lot)
        method = MethodEdition.objects.filter(name=path.removesuffix(".toml")).order_by("id").last()
        if method is not None and method.content.get("text"):
            return str(method.content["text"]).encode()
        raise FileNotFoundError(errno.ENOENT, "the records hold no such worksheet", path)

    def edition_of(self, method: str, path: str) -> str:
        """Return the edition of a method that the result of a worksheet on record keeps; empty for the one in force."""
        assay = Assay.objects.filter(path=path, method=method).first() if earlier_editions(method) else None
        return edition_on_record(assay) if assay is not None else ""


open_by_path = ByPath()


def evaluate_assay(assay: Assay, *, monte_carlo: int = 0, seed: int = 0) -> Outcome:
    """Return the outcome of an assay or a standardisation, down to the reference materials it rests on.

    Raises:
        Refusal: as for a worksheet file.
    """
    sheet = parse_worksheet(worksheet_bytes(assay), assay.path)
    found = evaluate_worksheet(sheet, open_by_path, monte_carlo=monte_carlo, seed=seed)
    behind = (*unchecked_remarks([assay.identity]), *set_aside_remarks([assay.identity]))
    return replace(found, remarks=(*found.remarks, *behind))


def evaluate_with(assay: Assay, fields: dict[str, Any], place: int = 0) -> Outcome:
    """Return the outcome of an assay with one determination more, or with another in its place; nothing is recorded.

    Arguments:
        fields: of the determination, as typed.
        place: number of the determination that they stand in for, or have; none for one more after the last.

    Raises:
        Refusal: as for a worksheet file.
    """
    rows = determinations_of(assay)
    kept = [(number, fields if number == place else content) for number, content in rows]
    if place not in dict(rows):
        kept.append((place or max(dict(rows), default=0) + 1, fields))
    kept.sort(key=lambda one: one[0])
    return evaluate_worksheet(parse_worksheet(_bytes_of(assay.content, numbered(kept)), assay.path), open_by_path)


def lot_table(lot: Lot) -> dict[str, Any]:
    """Return a lot as the table of a lot file: every characteristic of its specification that is known so far."""
    table = {key: value for key, value in lot.content.items() if key not in NOT_OF_THE_LOT and value not in ("", [])}
    table = {"format": FORMAT, "kind": "lot", **table, "id": lot.identity}
    if sampled := last_sample(lot.identity):
        table["sampled"] = sampled
    known = [one for one in (known_characteristic(lot, spec) for spec in specified_of(lot)) if one]
    if known:
        table["characteristic"] = known
    return table


def lot_bytes(lot: Lot) -> bytes:
    """Return a lot as the bytes of a lot file."""
    return toml_text(lot_table(lot)).encode()


def known_characteristic(lot: Lot, specified: dict[str, Any]) -> dict[str, Any] | None:
    """Return a specified characteristic with what was found of it, or None while nothing was."""
    limits = {key: value for key, value in specified.items() if key not in {"method", "unit", *FOUND}}
    limits["accredited"] = accredited(lot, specified)
    if specified.get("method"):
        assay = assay_of(lot, specified["method"])
        if assay is None:
            return None
        measurand = {"measurand": specified["measurand"]} if specified.get("measurand") else {}
        return {**limits, "worksheet": assay.path, **measurand}
    entry = entry_of(lot.identity, specified["name"])
    return None if entry is None else {**limits, **{key: one for key, one in entry.content.items() if key in FOUND}}


def last_sample(lot: str) -> str:
    """Return where and when the last sample of a lot was taken, or an empty text."""
    sample = Sample.objects.filter(lot=lot).order_by("id").last()
    return f"{sample.content.get('where', '')}, {sample.taken}" if sample else ""


def accredited(lot: Lot, specified: dict[str, Any]) -> bool:
    """Return whether a specified characteristic may be presented as accredited.

    The product's specification has to say so, and what the laboratory's accreditation covers has to hold it.
    """
    assay = assay_of(lot, specified["method"]) if specified.get("method") else None
    return bool(specified.get("accredited")) and covered(
        assay, product=lot.product, characteristic=specified["name"])


def assay_of(lot: Lot, method: str) -> Assay | None:
    """Return the assay of a lot that counts: the last reviewed one, else the last begun.

    Of several without a retest the first counts whose result is outside its limits, until that is investigated.
    A retest is begun only where an investigation has authorised it, and counts unless that concluded otherwise. One
    that was reviewed and is reopened goes on counting, and holds back what rests on it; a void one never counts.
    """
    aside = worksheets_set_aside(lot.identity)
    assays = Assay.objects.filter(about=lot.identity, method=method).exclude(pk__in=aside).exclude(stage=VOID)
    begun = Event.objects.filter(subject__in=assays.values("identity"), kind__in=("assay.begun", "assay.imported"))
    order = {subject: number for number, subject in begun.values_list("number", "subject")}
    found = sorted(assays, key=lambda one: order.get(one.identity, 0))
    if (outside := first_outside(found)) is not None:
        return outside
    signed = set(Signature.objects.filter(subject__in=order).values_list("subject", flat=True))
    return next(reversed([one for one in found if one.identity in signed] or found), None)


def undecided(lot: Lot) -> list[str]:
    """Return the names of the specified characteristics of which nothing is known yet."""
    return [one["name"] for one in specified_of(lot) if known_characteristic(lot, one) is None]


def evaluate_lot_record(lot: Lot) -> LotOutcome:
    """Return what is concluded about a lot.

    Raises:
        Refusal: a characteristic is still unknown, or a worksheet is refused.
    """
    return with_what_was_accepted(evaluate_lot(lot_file(lot), open_by_path))


def lot_file(lot: Lot, *, whole: bool = True) -> LotFile:
    """Return a lot as a lot file states it; with ``whole`` False, as far as its characteristics are known.

    Raises:
        Refusal: a characteristic is still unknown.
    """
    missing = undecided(lot) if whole else []
    if missing:
        raise Refusal(f"nothing is known yet of {_listed(missing)}", where=f"lot {lot.identity}",
                      remedy="assay it, or enter what was found with its source")
    found = read_bytes(lot_bytes(lot), f"{PLACE_OF_LOTS}{lot.identity}.toml")
    if not isinstance(found, LotFile):
        raise TypeError(lot.identity)
    return found


def certifiable(lot: Lot, **said: Any) -> LotOutcome:
    """Return what is concluded about a lot, with what its certificate says besides what the lot itself states.

    Arguments:
        said: fields of a lot file: certificate_number, issued, responsible, responsible_function, note.

    Raises:
        Refusal: as for :func:`evaluate_lot_record`.
    """
    return with_what_was_accepted(evaluate_lot(replace(lot_file(lot), **said), open_by_path))


def evaluate_titrant_lot(assay: Assay, **said: Any) -> LotOutcome | None:
    """Return the lot that a standardisation certifies by itself, or None where it describes none.

    Arguments:
        said: fields of a lot file that its certificate says besides: certificate_number, issued, responsible …
    """
    sheet = parse_worksheet(worksheet_bytes(assay), assay.path)
    if sheet.lot is None:
        return None
    product = sheet.lot.product
    characteristics = tuple(
        replace(one, accredited=covered(assay, product=product, characteristic=one.specification.characteristic))
        for one in sheet.lot.characteristics)
    lot = replace(sheet.lot, characteristics=characteristics, **said)
    return with_what_was_accepted(evaluate_lot(lot, open_by_path))


def rests_on(assay: Assay) -> list[str]:
    """Return the numbers of the standardisations that an assay rests on directly."""
    found: list[str] = json.loads(assay.rests_on)
    return found


def unreviewed_below(numbers: list[str]) -> list[str]:
    """Return which of some assays, and of the standardisations that they rest on, nobody has signed as reviewer."""
    found: dict[str, Assay] = {}
    waiting = list(numbers)
    while waiting:
        for assay in Assay.objects.filter(pk__in=waiting):
            found[assay.identity] = assay
        waiting = [one for assay in list(found.values()) for one in rests_on(assay) if one not in found]
    return sorted(one.identity for one in found.values() if one.stage != REVIEWED)


def export(assay: Assay) -> dict[str, bytes]:
    """Return an assay as files: its worksheet and every worksheet and method that it rests on, by name."""
    files: dict[str, bytes] = {}
    waiting = [assay]
    while waiting:
        one = waiting.pop()
        if one.path in files:
            continue
        files[one.path] = _taken_along(one)
        if one.method.endswith(".toml"):
            files[one.method] = open_by_path(one.method)
        waiting += Assay.objects.filter(pk__in=rests_on(one))
    return files


def _listed(names: Iterable[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last
