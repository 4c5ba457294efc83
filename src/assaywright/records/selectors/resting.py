"""What rests on a standard solution: the lots that were titrated with it, their certificates, and other titrants."""

from dataclasses import dataclass
from functools import reduce
from operator import or_

from django.db.models import Q

from assaywright.records.models import Assay, Certificate, Lot, Solution
from assaywright.records.models.assays import IN_REVIEW, RETURNED, REVIEWED, TITRATING, VOID
from assaywright.records.titrants import certified_facts

SHOWN = 50
STANDING = (TITRATING, IN_REVIEW, RETURNED, REVIEWED)


@dataclass(frozen=True)
class RestingLot:
    """A lot with the worksheets by which it rests on a solution, and its certificates in force.

    Fields:
        known: whether the lot is on record, and so has a page.
    """

    number: str
    product: str
    state: str
    known: bool
    worksheets: tuple[str, ...]
    certificates: tuple[str, ...]


@dataclass(frozen=True)
class Resting:
    """What rests on a solution.

    Fields:
        lots: those titrated last, the latest first; ``count`` is how many there are in all.
        titrants: numbers of solutions that were standardised against it, each with the worksheet.
    """

    lots: tuple[RestingLot, ...]
    count: int
    titrants: tuple[tuple[str, str], ...]


def resting_on_solution(solution: Solution) -> Resting:
    """Return what rests on a solution: where it stood in the burette, or where its standardisations were taken.

    What was titrated before the solution was made or first standardised is found by the burette alone.
    """
    own = list(Assay.objects.filter(about=solution.identity, kind="standardisation").order_by("performed"))
    taken = [one.identity for one in own]
    assays = {one.identity: one for one in Assay.objects.filter(in_burette=solution.identity, kind="assay").exclude(
        stage=VOID).only("identity", "about", "performed")}
    titrants = []
    if own:
        since = min(filter(None, (_made(solution), own[0].performed[:10])))
        named = reduce(or_, (Q(rests_on__contains=f'"{one}"') for one in taken))
        above = Assay.objects.filter(named)
        assays |= {one.identity: one for one in above.filter(performed__gte=since, kind="assay").exclude(
            stage=VOID).only("identity", "about", "performed")}
        titrants = list(above.filter(stage__in=STANDING, kind="standardisation").exclude(
            about=solution.identity).order_by("performed", "identity").values_list("about", "identity"))
    by_lot: dict[str, list[str]] = {}
    for one in sorted(assays.values(), key=lambda each: (each.performed, each.identity), reverse=True):
        by_lot.setdefault(one.about, []).append(one.identity)
    return Resting(tuple(_lots({key: by_lot[key] for key in list(by_lot)[:SHOWN]})), len(by_lot), tuple(titrants))


def _made(solution: Solution) -> str:
    return str(solution.content.get("prepared", "") or certified_facts(solution).get("made", ""))


def _lots(by_lot: dict[str, list[str]]) -> list[RestingLot]:
    known = Lot.objects.in_bulk(list(by_lot))
    certificates: dict[str, list[str]] = {}
    for one in Certificate.objects.filter(lot__in=list(by_lot), worksheet="", superseded_by="").order_by("number"):
        if not one.content.get("withdrawn"):
            certificates.setdefault(one.lot, []).append(one.number)
    return [RestingLot(number, known[number].product if number in known else "",
                       known[number].state if number in known else "", number in known, tuple(worksheets),
                       tuple(certificates.get(number, ()))) for number, worksheets in by_lot.items()]
