"""Calibrations and certificates that one person entered and nobody else has compared with the paper yet."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from assaywright.assay.troubles import remark
from assaywright.metrology.remarks import Remark
from assaywright.records.models import Assay, Event

ENTERED = ("instrument.calibrated", "material.received", "instrument.registered")
OF_MATERIAL, WAITS = ENTERED[1], "to_be_checked"
CHECKED = ("instrument.checked", "material.checked")
GROUPS = ("vessels", "balances", "thermometers")
COMPARED = ("certificate", "corrections", "content")


@dataclass(frozen=True)
class Entry:
    """A calibration or a certificate as it was entered.

    Fields:
        number: of the event that entered it.
        subject: number of the instrument or reference material.
        by: who entered it.
        table: as entered.
        is_material: whether it is of a reference material.
    """

    number: int
    subject: str
    by: str
    table: Mapping[str, Any]
    is_material: bool

    @property
    def certificate(self) -> str:
        """The certificate's number; empty where none is stated."""
        return str((self.table.get("certificate") or {}).get("id", ""))


def unchecked(*subjects: str) -> tuple[Entry, ...]:
    """Return what waits for a second person, of the subjects named or of all, in the order of its entry.

    What was entered before such a check was asked for, and what came with an imported worksheet, does not wait.
    """
    entered = Event.objects.filter(kind__in=ENTERED, payload__contains=WAITS)
    checked = Event.objects.filter(kind__in=CHECKED)
    if subjects:
        entered, checked = entered.filter(subject__in=subjects), checked.filter(subject__in=subjects)
    waiting = [one for one in entered.order_by("number") if json.loads(one.payload).get(WAITS)]
    done = {json.loads(one.payload)["entry"] for one in checked} if waiting else set()
    return tuple(Entry(one.number, one.subject, one.by, json.loads(one.payload)["table"], one.kind == OF_MATERIAL)
                 for one in waiting if one.number not in done)


def unchecked_remarks(worksheets: Iterable[str]) -> tuple[Remark, ...]:
    """Return a remark for every unchecked entry that worksheets, or those they rest on, were titrated with."""
    entries = unchecked()
    if not entries:
        return ()
    found = [_remark(entry, assay) for assay in _with_all_below(worksheets) for entry in entries
             if any(is_of(entry, number, table) for number, table in _used(assay.content))]
    return tuple(dict.fromkeys(found))


def _with_all_below(worksheets: Iterable[str]) -> list[Assay]:
    found: dict[str, Assay] = {}
    waiting = [*worksheets]
    while waiting:
        layer = list(Assay.objects.filter(pk__in=waiting))
        found.update((one.identity, one) for one in layer)
        waiting = [number for one in layer for number in json.loads(one.rests_on) if number not in found]
    return list(found.values())


def _used(heading: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield numbers and tables of the instruments and the reference material that a heading states."""
    for group in GROUPS:
        for table in heading.get(group, {}).values():
            yield str(table.get("id", "")), table
    if standard := heading.get("standard"):
        yield str(standard.get("lot", "")), standard


def is_of(entry: Entry, number: str, table: Mapping[str, Any]) -> bool:
    """Return whether a worksheet states an instrument or material as this entry does, and not as another one did."""
    return number == entry.subject and all((table.get(key) or None) == (entry.table.get(key) or None)
                                           for key in COMPARED)


def _remark(entry: Entry, assay: Assay) -> Remark:
    what = "certificate" if entry.is_material else "calibration"
    return remark(
        "calibration-unchecked",
        f"the {what} {entry.certificate or 'without a number'} of {entry.subject} was entered by one person and nobody "
        "else has compared it with the paper", f"worksheet {assay.identity}",
        f"let somebody in charge compare it, on the page of {entry.subject}")
