"""What a vessel without a calibration costs: how much of the result's variance the tolerance of its class makes up."""

from collections.abc import Mapping
from typing import Any

from assaywright.assay.asked import WEIGHED, asked, handling_of
from assaywright.assay.bench.aimed import aimed_at
from assaywright.assay.bench.figures import with_plain_dates
from assaywright.assay.bench.foreseen import FIRST_READING, foreseen
from assaywright.assay.bench.heading import mark_of, pipette_role
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import Method
from assaywright.assay.result import Outcome
from assaywright.assay.upstream import Opener
from assaywright.assay.worksheet import FORMAT, worksheet_of
from assaywright.metrology.refusal import Refusal

TOLERANCE = "tolerance"  # effect of the influence that stands in for a calibration
TEMPERATURES = ("temperature", "sample_temperature", "excess_temperature")
ROOM = "20 °C"


def tolerance_shares(outcome: Outcome) -> dict[str, float]:
    """Return the shares that tolerances in place of calibrations have in a result's variance, by number of the vessel.

    Returns: each 0 to 1
    """
    found: dict[str, float] = {}
    for line in outcome.budget:
        _, identity, _, effect = (*line.key.split("|"), "", "", "", "")[:4]
        if effect.startswith(TOLERANCE):
            found[identity] = found.get(identity, 0.0) + line.share
    return found


def foreseen_outcome(method: Method, heading: Mapping[str, Any], *, nominal: str = "",
                     opener: Opener) -> Outcome | None:
    """Return the outcome of as many determinations as the method asks for, each as it is expected by the plan.

    Arguments:
        method: of the worksheet.
        heading: its tables without determinations.
        nominal: content of the product with its unit, where the heading states no limits.
        opener: for the titrants that the heading refers to.

    Returns: None where the plan does not say enough
    """
    heading = with_plain_dates(heading)
    portion = _portion(method, heading, nominal, opener)
    seen = foreseen(method, heading, portion, nominal=nominal, opener=opener) if portion else {}
    if "final" not in seen:
        return None
    mark = mark_of(heading)
    fields = portion | {"initial": f"0{mark}00 mL", "final": _volume(seen["final"].titre_mL, mark)}
    if first := FIRST_READING.get(method.scheme):
        fields |= {first: _volume(seen[first].titre_mL, mark), **(
            {"hydroxide_initial": fields["initial"]} if first == "hydroxide_final" else {})}
    wanted = {one.name for one in asked(method, handling_of(method, heading, [portion])).readings}
    fields |= {name: ROOM for name in TEMPERATURES if name in wanted}
    try:
        return evaluate_worksheet(
            worksheet_of({**heading, "format": FORMAT, "determination": [fields] * method.replicates}, "plan"), opener)
    except (Refusal, ZeroDivisionError, ArithmeticError):
        return None


def _portion(method: Method, heading: Mapping[str, Any], nominal: str, opener: Opener) -> dict[str, str]:
    """Return the fields that tell the portion; empty where nothing tells how much to weigh."""
    wanted = asked(method, handling_of(method, heading, ()))
    if wanted.handling != WEIGHED:
        return {"pipette": pipette_role(wanted, {})}
    aimed = aimed_at(method, heading, (), nominal=nominal, opener=opener)
    return {} if aimed is None else {"net": f"{aimed.grams:.4f} g".replace(".", mark_of(heading))}


def _volume(millilitres: float, mark: str) -> str:
    return f"{millilitres:.2f} mL".replace(".", mark)
