"""From the records to the shelf that a plan chooses from: what is registered, in use, in date and worth something.

The shelf is written out as a shelf file and read as any other; what does not stand on it is told with the reason.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from assaywright.assay.plan.shelf import FORMAT, Shelf, read_shelf
from assaywright.assay.reading.equipment import BALANCE_FIELDS, THERMOMETER_FIELDS, VESSEL_FIELDS
from assaywright.assay.reading.materials import SOLUTION_FIELDS, STANDARD_FIELDS
from assaywright.records.behind import RESTANDARDISE_FIRST, to_be_restandardised
from assaywright.records.models import Instrument, Material, Solution
from assaywright.records.models.equipment import IN_USE
from assaywright.records.standardisations import standardisations_of
from assaywright.records.toml_text import toml_text

LISTS = {
    "burette": "burette", "piston burette": "burette", "pipette": "pipette", "piston pipette": "pipette",
    "flask": "flask", "balance": "balance", "thermometer": "thermometer",
}
FIELDS = {"balance": (*BALANCE_FIELDS, "capacity"), "thermometer": THERMOMETER_FIELDS}
NOT_LISTED = {"kind", "lot"}  # said by the list that an instrument stands in, and by its own number
PATH = "the records"


@dataclass(frozen=True)
class OnRecord:
    """What the records hold for a plan.

    Fields:
        shelf: what can be chosen from.
        left_out: what is registered and in use and all the same not on it, each with the reason, as sentences.
    """

    shelf: Shelf
    left_out: tuple[str, ...]


def shelf_on_record(day: date) -> OnRecord:
    """Return the shelf as it stands on a day.

    Instruments past their calibration, solutions and reference materials past their date, and solutions of which
    nothing tells the concentration are left out.

    Arguments:
        day: of the work, at the laboratory.

    Raises:
        Refusal: what is registered cannot be read as a shelf.
    """
    table: dict[str, Any] = {"format": FORMAT}
    left_out: list[str] = []
    for one in Instrument.objects.filter(state=IN_USE).order_by("identity"):
        if one.kind not in LISTS:
            continue
        if _is_past(one.due, day):
            left_out.append(f"{one.kind} {one.identity}: its calibration was due on {one.due}.")
            continue
        table.setdefault(LISTS[one.kind], []).append(_instrument(one))
    for solution in Solution.objects.filter(state=IN_USE).order_by("identity"):
        reason = _solution(solution, table, day)
        left_out += [f"{solution.name}, lot {solution.identity}: {reason}."] if reason else []
    for material in Material.objects.filter(state=IN_USE).order_by("identity"):
        if _is_past(material.use_before, day):
            left_out.append(f"{material.name} {material.identity}: past its last day of use, {material.use_before}.")
            continue
        kept = {key: value for key, value in material.content.items()
                if key in STANDARD_FIELDS and value not in ("", [])}
        table.setdefault("reference_material", []).append({**kept, "lot": material.identity})
    return OnRecord(read_shelf(toml_text(table).encode(), PATH), tuple(left_out))


def _instrument(one: Instrument) -> dict[str, Any]:
    fields = FIELDS.get(one.kind, VESSEL_FIELDS)
    kept = {key: value for key, value in one.content.items()
            if key in fields and key not in NOT_LISTED and value not in ("", [])}
    return {**({"kind": one.kind} if "kind" in fields else {}), **kept, "id": one.identity}


def _solution(solution: Solution, table: dict[str, Any], day: date) -> str:
    """Put a solution on the shelf, or return why it does not stand there."""
    if _is_past(solution.use_before, day):
        return f"past its last day of use, {solution.use_before}"
    if to_be_restandardised(solution.identity):
        return f"a control titration found it off; {RESTANDARDISE_FIRST}"
    kept = {key: value for key, value in solution.content.items()
            if key in SOLUTION_FIELDS and key != "worksheets" and value not in ("", [])}
    if not kept.get("concentration"):
        found = standardisations_of(solution.identity)
        if not found:
            return "nothing tells what it is worth; standardise it first"
        kept["worksheets"] = [one.path for one in found]
    table.setdefault("titrant", []).append({**kept, "lot": solution.identity})
    return ""


def _is_past(last: str, day: date) -> bool:
    """Return whether a last day has passed; one of a month lasts through the month, an unknown one for ever."""
    return bool(last) and day.isoformat()[: len(last)] > last
