"""The worked examples of a method: readings, the arithmetic by hand, and the figures that must come out."""

from dataclasses import dataclass

from assaywright.metrology.quantity import Quantity

EXAMPLE_STATUSES = ("published", "published, from memory", "printed equivalent", "hand calculation")


@dataclass(frozen=True, slots=True)
class Expected:
    """A figure that the example must give: of which measurand, as printed, and how far ours may lie from it.

    Fields:
        measurand: name of one of the result's measurands; empty for the main result.
        value: as printed.
        tolerance: greatest allowed difference [unit of value]; half a unit of the last printed digit when not stated.
        reason: why a stated tolerance is wider.
    """

    measurand: str
    value: Quantity
    tolerance: float
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Example:
    """The worked example without which no method is loaded.

    Fields:
        status: one of :data:`EXAMPLE_STATUSES`: readings and result as a publication prints them, or recalled from
            one; "printed equivalent" when invented titres are multiplied by a titrimetric equivalent in print; or
            "hand calculation" when the arithmetic was done by hand from molar masses.
        working: the independent arithmetic, line by line, as "symbol = expression = figure unit".
        worksheet: text of the worksheet that enters the example's observations.
        expected: what must come out; the first is the main result.
    """

    title: str
    source: str
    clause: str
    status: str
    working: str
    worksheet: str
    expected: tuple[Expected, ...]
