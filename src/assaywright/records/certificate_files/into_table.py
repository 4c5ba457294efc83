"""From what a certificate states to the table of an instrument: corrections for glass, one figure for all else.

Glass carries its corrections along the scale with one uncertainty: the greatest of the certificate's. A balance and a
thermometer have no corrections here; what they may be off by is the greatest error, without its sign, and its expanded
uncertainty together (JCGM 100:2008, F.2.4.5: a known error that is not corrected is added to U; from memory).
"""

from decimal import Decimal
from fractions import Fraction
from itertools import pairwise
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import kind_of
from assaywright.records.certificate_files.stated import (
    CORRECTION,
    ERROR,
    SIGNS,
    Amount,
    Point,
    Stated,
    base_of,
    correction_at,
    greatest_uncertainty,
    is_opposite,
)

OFF_BY = {"balance": ("linearity", "mass"), "thermometer": ("uncertainty", "temperature")}


def table_from(
    stated: Stated, kind: str, sign: str, *, against_heading: bool | None = False
) -> tuple[dict[str, Any], tuple[str, ...]]:
    """Return the fields of an instrument's table that a file fills, and sentences about how.

    Arguments:
        kind: of the instrument.
        sign: what the person says of the column of glass; a balance's and a thermometer's is not asked for.
        against_heading: whether the person says that the column's heading means the other; None where either is taken.

    Raises:
        Refusal: the quantities are not those of the kind, or something needed is missing.
    """
    field, quantity = OFF_BY.get(kind, ("corrections", "volume"))
    for one in stated.points:
        for amount in (one.position, one.found, one.uncertainty):
            if amount is not None and kind_of(amount.unit) != quantity:
                raise Refusal(f"{amount.text()} is no {quantity}, and the certificate of a {kind} states nothing else",
                              where=one.where, remedy="see that it is the right file")
    largest = greatest_uncertainty(stated)
    found, notes = (_glass(stated, sign, largest, against_heading=against_heading) if field == "corrections"
                    else _one_figure(stated, field))
    certificate = {key: text for key, text in stated.facts.items() if text}
    return {**found, **({"certificate": certificate} if certificate else {})}, (*notes, *stated.notes)


def _glass(
    stated: Stated, sign: str, largest: Point, *, against_heading: bool | None
) -> tuple[dict[str, Any], tuple[str, ...]]:
    ordered = sorted(stated.points, key=lambda one: one.position.exactly("mL"))
    for before, after in pairwise(ordered):
        if before.position.exactly("mL") == after.position.exactly("mL"):
            raise Refusal(f"the position {after.position.text()} stands there twice",
                          where=f"{before.where} and {after.where}", remedy="leave the one that the certificate states")
    pairs = [[one.position.text(), correction_at(one, stated, sign, against_heading=against_heading).text(signed=True)]
             for one in ordered]
    other = ", against its heading" if is_opposite(stated, sign) else ""
    notes = [f"The column '{stated.words}' was taken as {SIGNS[sign].partition(':')[0]}{other}, as you said."]
    if len({(one.uncertainty, one.factor) for one in stated.points}) > 1:
        notes.append(f"The certificate's uncertainty differs along the scale; the greatest, that at "
                     f"{largest.position.text()}, is taken for all corrections.")
    return {"corrections": pairs, "calibration_uncertainty": _with_factor(largest)}, tuple(notes)


def _with_factor(point: Point) -> str:
    if point.uncertainty is None or point.factor is None:
        raise TypeError(point.where)
    return f"{point.uncertainty.text()}, standard" if point.factor == 1 else (
        f"{point.uncertainty.text()}, k = {point.factor:f}")


def _one_figure(stated: Stated, field: str) -> tuple[dict[str, Any], tuple[str, ...]]:
    if stated.called not in (CORRECTION, ERROR):
        raise Refusal(f"the file states neither errors nor corrections, but '{stated.words}'",
                      remedy="type the greatest error and its uncertainty in")
    worst = max(stated.points, key=_off_by)
    unit = worst.found.unit
    total = _off_by(worst) / Amount(Decimal(1), unit).exactly(base_of(unit))
    places = max(_places(one.found) for one in stated.points if one.found.unit == unit) + 1
    text = f"{float(total):.{places}f}".rstrip("0").rstrip(".")
    told = ("The errors are not subtracted: the greatest without its sign and its uncertainty together, at "
            f"{worst.position.text()}, are filled in as the {field} of any reading.")
    return {field: f"{text} {unit}, rectangular"}, (told,)


def _off_by(point: Point) -> Fraction:
    """Return |error| + U [base unit]."""
    if point.uncertainty is None:
        raise TypeError(point.where)
    base = base_of(point.found.unit)
    return abs(point.found.exactly(base)) + point.uncertainty.exactly(base)


def _places(amount: Amount) -> int:
    return max(0, -int(amount.value.as_tuple().exponent))
