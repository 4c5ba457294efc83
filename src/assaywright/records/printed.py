"""A result as it is printed, by which it is told whether a reader would see another one."""

from assaywright.assay.result import Outcome
from assaywright.assay.wording import written_number
from assaywright.metrology.rounding import report
from assaywright.records.models import Result


def as_printed(value: float, expanded_uncertainty: float, unit: str) -> str:
    """Return "30.05 ± 0.06 % w/w": value and expanded uncertainty, rounded as on a certificate, with the unit."""
    stated, uncertainty = report(value, expanded_uncertainty)
    return f"{written_number(stated)} ± {written_number(uncertainty)} {unit}"


def printed(result: Result) -> str:
    """Return a result on record as it is printed."""
    return as_printed(float(result.value), float(result.expanded_uncertainty), result.unit)


def printed_now(outcome: Outcome) -> str:
    """Return what comes out now as it is printed."""
    estimate = outcome.result.estimate
    return as_printed(estimate.value, outcome.result.expanded_uncertainty, estimate.unit)
