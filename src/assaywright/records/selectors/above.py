"""What rests on a worksheet: other worksheets, lots and certificates; and what a reopened one holds back meanwhile."""

from collections.abc import Iterable
from dataclasses import dataclass

from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import assay_of, evaluate_assay, rests_on
from assaywright.records.models import Assay, Certificate, Event, Lot, Result, Signature
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.models.lots import RELEASED
from assaywright.records.printed import as_printed
from assaywright.records.specified import specified_of


@dataclass(frozen=True)
class Above:
    """What rests on a worksheet, directly or by others.

    Fields:
        assays: worksheets, the one itself left out; void ones too.
        released: lots that were released on it.
        certificates: those in force that state its result, or one that rests on it.
    """

    assays: tuple[Assay, ...]
    released: tuple[Lot, ...]
    certificates: tuple[Certificate, ...]


@dataclass(frozen=True)
class Differs:
    """A result that a certificate in force states otherwise than the records now have it."""

    certificate: str
    worksheet: str
    stated: str
    now: str


def resting_on(assay: Assay) -> Above:
    """Return what rests on a worksheet."""
    found: dict[str, Assay] = {assay.identity: assay}
    waiting = [assay]
    while waiting:
        one = waiting.pop()
        new = [above for above in Assay.objects.filter(rests_on__contains=f'"{one.identity}"').exclude(stage=VOID)
               if above.identity not in found and one.identity in rests_on(above)]
        found.update((above.identity, above) for above in new)
        waiting += new
    about = {one.about for one in found.values() if one.kind == "assay"}
    certificates = Certificate.objects.filter(superseded_by="")
    of_lots = list(certificates.filter(lot__in=about, worksheet=""))
    of_titrants = list(certificates.filter(worksheet__in=list(found)))
    above = sorted((one for one in found.values() if one.identity != assay.identity), key=lambda one: one.identity)
    return Above(tuple(above), tuple(Lot.objects.filter(pk__in=about, state=RELEASED).order_by("identity")),
                 tuple(sorted([*of_lots, *of_titrants], key=lambda one: one.number)))


def below(assay: Assay) -> list[Assay]:
    """Return all worksheets that one rests on, directly or by others, by their numbers."""
    found: dict[str, Assay] = {}
    waiting = rests_on(assay)
    while waiting:
        layer = list(Assay.objects.filter(pk__in=waiting))
        found.update((one.identity, one) for one in layer)
        waiting = [one for upstream in layer for one in rests_on(upstream) if one not in found]
    return [found[number] for number in sorted(found)]


def reopened_below(numbers: Iterable[str]) -> list[str]:
    """Return which of some worksheets, and of those that they rest on, were reviewed, and are not at present."""
    found: dict[str, Assay] = {}
    waiting = [*numbers]
    while waiting:
        layer = list(Assay.objects.filter(pk__in=waiting))
        found.update((one.identity, one) for one in layer)
        waiting = [one for assay in layer for one in rests_on(assay) if one not in found]
    open_again = [one.identity for one in found.values() if one.stage != REVIEWED]
    return sorted(Signature.objects.filter(subject__in=open_again).values_list("subject", flat=True).distinct())


def reopened_of(lot: Lot) -> list[str]:
    """Return the worksheets below a released lot that were reopened and are not reviewed anew."""
    return reopened_below(_counting(lot)) if lot.state == RELEASED else []


def differing(lot: Lot) -> tuple[Differs, ...]:
    """Return which results of a released lot the certificate in force states otherwise than the records have them."""
    certificate = Certificate.objects.filter(lot=lot.identity, worksheet="", superseded_by="").last()
    stands = certificate is not None and lot.state == RELEASED and not certificate.content.get("withdrawn")
    return _differing(certificate, _counting(lot)) if certificate and stands else ()


def differing_from(certificate: Certificate) -> tuple[Differs, ...]:
    """Return which results a certificate in force states otherwise than the records now have them."""
    if certificate.superseded_by or certificate.content.get("withdrawn"):
        return ()
    lot = Lot.objects.filter(pk=certificate.lot).first()
    if certificate.worksheet or lot is None:
        return _differing(certificate, [certificate.worksheet])
    return _differing(certificate, _counting(lot))


def _counting(lot: Lot) -> list[str]:
    methods = [one["method"] for one in specified_of(lot) if one.get("method")]
    return [one.identity for one in (assay_of(lot, method) for method in methods) if one is not None]


def _differing(certificate: Certificate, numbers: Iterable[str]) -> tuple[Differs, ...]:
    """Compare, as printed, the results that were on record when a certificate was issued with those of now."""
    event = Event.objects.filter(subject=certificate.number, kind__in=("certificate.issued", "certificate.amended"))
    issued = event.order_by("number").values_list("number", flat=True).last() or 0
    found = []
    for number in dict.fromkeys(numbers):
        assay = Assay.objects.filter(pk=number, stage=REVIEWED).first()
        stated = Result.objects.filter(assay=number, id__lt=issued).order_by("id").last()
        if assay is None or stated is None or reopened_below([number]):
            continue
        try:
            now = evaluate_assay(assay).result
        except Refusal:
            continue
        before = as_printed(float(stated.value), float(stated.expanded_uncertainty), stated.unit)
        after = as_printed(now.estimate.value, now.expanded_uncertainty, now.estimate.unit)
        if before != after:
            found.append(Differs(certificate.number, number, before, after))
    return tuple(found)
