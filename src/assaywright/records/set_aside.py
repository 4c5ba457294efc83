"""Determinations that held all their readings and were set aside when their worksheet was sent to review.

What was read at the burette and does not enter a result is a decision about the result: all original observations are
kept (ISO/IEC 17025:2017, 7.5.1), and a person in charge answers for what does not count.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass

from assaywright.assay.troubles import remark
from assaywright.metrology.remarks import Remark
from assaywright.records.models import AcceptedRemark, Assay, Event, Person

KIND = "determination-set-aside"
SET_ASIDE = "set_aside"  # key of the event that sends a worksheet to review


@dataclass(frozen=True, slots=True)
class SetAside:
    """That a determination does not count: why, by whom, and which event last said so.

    Fields:
        place: number of the determination; 0 for the blank.
        whole: it held all readings that a determination needs.
        event: number of the event that last sent the worksheet with it.
    """

    place: int
    reason: str
    by: str
    whole: bool
    event: int


def named(place: int) -> str:
    """Return a determination in words; the blank for 0."""
    return f"determination {place}" if place else "the blank"


def place_of(worksheet: str) -> str:
    """Return where a remark on a worksheet says that it belongs."""
    return f"worksheet {worksheet}"


def set_aside(assay: str) -> dict[int, SetAside]:
    """Return what the worksheet was last sent to review without, by the number of the determination."""
    sent = Event.objects.filter(subject=assay, kind="assay.sent").order_by("number").last()
    said = json.loads(sent.payload).get(SET_ASIDE, ()) if sent else ()
    return {one["place"]: SetAside(**one, event=sent.number if sent else 0) for one in said}


def set_aside_remarks(worksheets: Iterable[str]) -> tuple[Remark, ...]:
    """Return a remark for every whole determination that worksheets, or those they rest on, were sent without.

    One of a worksheet below is not told above once a person in charge has accepted it there.
    """
    own, names, found = [*worksheets], dict[str, str](), list[Remark]()
    for number in _with_all_below(own):
        whole = [one for one in set_aside(number).values() if one.whole]
        names = names or (dict(Person.objects.values_list("identity", "name")) if whole else {})
        told = [_remark(one, number, names) for one in whole]
        found += [one for one in told if number in own or not _accepted(number, one)]
    return tuple(dict.fromkeys(found))


def _with_all_below(worksheets: list[str]) -> list[str]:
    found, waiting = dict[str, None](), worksheets
    while waiting:
        layer = list(Assay.objects.filter(pk__in=waiting).values_list("identity", "rests_on"))
        found |= dict.fromkeys(number for number, _ in layer)
        waiting = [below for _, rests_on in layer for below in json.loads(rests_on) if below not in found]
    return [*found]


def _remark(one: SetAside, number: str, names: dict[str, str]) -> Remark:
    return remark(KIND, f"all readings of {named(one.place)} were typed at the bench, and it does not count; "
                        f"{names.get(one.by, one.by)} says why: {one.reason}", place_of(number),
                  "look at what was typed and at the mean with it, and judge whether the reason holds")


def _accepted(number: str, told: Remark) -> bool:
    return AcceptedRemark.objects.filter(subject=number, kind=told.kind, what=told.what).exists()
