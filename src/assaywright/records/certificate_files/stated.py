"""What a calibration certificate in a file states, as it states it: the rows of its table, and the facts beside it."""

from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import exact_conversion, kind_of

ADDED, TAKEN, VOLUME = "added", "taken", "volume"
SIGNS = {
    ADDED: "corrections: added to the reading or the nominal volume they give the true one",
    TAKEN: "errors: the reading or the nominal volume less the true one; the correction is the opposite",
    VOLUME: "the true volume itself, at each reading or nominal volume",
}
LARGEST_FACTOR = 13  # of one degree of freedom, at 95 %
CORRECTION, ERROR, TRUE_VOLUME = "correction", "error", "true volume"  # what a file calls its column


@dataclass(frozen=True, slots=True)
class Amount:
    """A number with its unit as the file gives them."""

    value: Decimal
    unit: str

    def text(self, *, signed: bool = False) -> str:
        """Return it with all its digits; with its sign where that is wanted."""
        value = abs(self.value) if not self.value else self.value
        return f"{value:{'+' if signed else ''}f} {self.unit}"

    def exactly(self, unit: str) -> Fraction:
        """Return its number in another unit of the same kind."""
        factor, _ = exact_conversion(self.unit, unit)
        return Fraction(self.value) * factor


@dataclass(frozen=True, slots=True)
class Point:
    """One row of a certificate's table.

    Fields:
        where: it stands in the file, as a sentence about it says.
        position: reading on the scale, nominal volume, or load.
        found: the correction, the error or the true volume there.
        uncertainty: expanded by ``factor``; None where none is stated.
        factor: k; 1 of a standard uncertainty; None where none is stated.
    """

    where: str
    position: Amount
    found: Amount
    uncertainty: Amount | None
    factor: Decimal | None


@dataclass(frozen=True)
class Stated:
    """What a file states.

    Fields:
        points: of its table.
        called: what the file calls what it found: "correction", "error" or "true volume"; and in its own words.
        facts: of the certificate: id, issued, due, traceable_to.
        numbers: of the instrument, as the file gives them.
        notes: sentences about what was not read, or is to be looked at.
    """

    points: tuple[Point, ...]
    called: str
    words: str
    facts: dict[str, str] = field(default_factory=dict)
    numbers: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


def correction_at(point: Point, stated: Stated, sign: str, *, against_heading: bool | None) -> Amount:
    """Return the correction at a point: what is added to the reading.

    Arguments:
        sign: what the person says that the column is, a key of :data:`SIGNS`.
        against_heading: whether the person says that the heading means the other: an error a correction, or the
            reverse; None where it was asked before, and either is taken.

    Raises:
        Refusal: nothing is said, or it goes against what the file calls the column.
    """
    _as_called(stated, sign, against_heading=against_heading)
    if sign == ADDED:
        return point.found
    if sign == TAKEN:
        return Amount(-point.found.value, point.found.unit)
    if point.found.unit == point.position.unit:
        return Amount(point.found.value - point.position.value, point.found.unit)
    factor, _ = exact_conversion(point.position.unit, point.found.unit)
    return Amount(point.found.value - point.position.value * factor.numerator / factor.denominator, point.found.unit)


def is_opposite(stated: Stated, sign: str) -> bool:
    """Return whether a column headed error is said to state corrections, or the reverse."""
    return (stated.called, sign) in ((CORRECTION, TAKEN), (ERROR, ADDED))


def _as_called(stated: Stated, sign: str, *, against_heading: bool | None) -> None:
    if sign not in SIGNS:
        raise Refusal(f"the file calls them '{stated.words}', and a correction and an error are opposite",
                      where="what the column states", remedy="say which it is by the certificate's own explanation")
    if is_opposite(stated, sign) and against_heading is False:
        raise Refusal(f"the file calls them '{stated.words}', and '{SIGNS[sign].partition(':')[0]}' was chosen",
                      where="what the column states",
                      remedy="choose anew, or tick that by the certificate's own explanation the heading means the "
                             "other")
    if against_heading and not is_opposite(stated, sign):
        raise Refusal(f"the file calls them '{stated.words}', '{SIGNS[sign].partition(':')[0]}' was chosen, and it is "
                      "ticked that the heading means the other", where="what the column states",
                      remedy="choose anew, or take the tick away")
    if (stated.called == TRUE_VOLUME) != (sign == VOLUME):
        raise Refusal(f"the file calls them '{stated.words}', and '{SIGNS[sign].partition(':')[0]}' was chosen",
                      where="what the column states", remedy="choose anew, or correct the heading in the file")


def greatest_uncertainty(stated: Stated) -> Point:
    """Return the point whose standard uncertainty is the greatest.

    Raises:
        Refusal: a point states no uncertainty or no coverage factor, or one that cannot be.
    """
    for one in stated.points:
        if one.uncertainty is None:
            raise Refusal("no uncertainty is stated there", where=one.where, remedy="ask for it, or type it in")
        if one.factor is None:
            raise Refusal("an uncertainty stands there without its coverage factor k", where=one.where,
                          remedy="look on the certificate for k, and type it in")
        if one.uncertainty.value <= 0 or not 1 <= one.factor <= LARGEST_FACTOR:
            raise Refusal(f"an uncertainty of {one.uncertainty.text()} with k = {one.factor:f} cannot be",
                          where=one.where, remedy="compare the file with the certificate")
    return max(stated.points, key=_standard)


def _standard(point: Point) -> Fraction:
    if point.uncertainty is None or point.factor is None:
        raise TypeError(point.where)
    return point.uncertainty.exactly(base_of(point.uncertainty.unit)) / Fraction(point.factor)


def base_of(unit: str) -> str:
    """Return the unit in which amounts of a kind are compared."""
    return {"volume": "mL", "mass": "g", "temperature": "K"}.get(kind_of(unit), unit)
