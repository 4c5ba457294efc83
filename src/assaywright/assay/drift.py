"""How a titrant has drifted by its standardisations, and until when it holds: by data, not by custom.

A titrant matters twice. What is titrated with it rests on the value in force, so the change since that value was found
must stay within the largest change that the laboratory allows; and where the titrant has limits of its own, its
concentration must stay within them. The day told is the last one on which both still hold at 95 %.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from assaywright.assay.wording import written_date, written_number, written_probability
from assaywright.metrology.estimate import Estimate, combine
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import report
from assaywright.metrology.stability import (
    FEWEST,
    MONTH_DAYS,
    Bounds,
    StraightLine,
    carried_until,
    day_of_meeting,
    line_through,
)

SIGNIFICANT = 0.05
_NUMBERS = {3: "Three", 4: "Four"}
CHANGE, LIMITS = "change", "limits"


@dataclass(frozen=True, slots=True)
class Standardised:
    """A standardisation that counts.

    Fields:
        worksheet, day: its number, and the day on which it was performed.
        found: the concentration [mol/L or mol/kg].
        reference_temperature_degC: that it refers to [°C].
    """

    worksheet: str
    day: date
    found: Estimate
    reference_temperature_degC: float = 20.0


@dataclass(frozen=True, slots=True)
class Allowed:
    """What a titrant may do.

    Fields:
        change_percent: largest change since the value in force was found [%].
        lower, upper: limits of its concentration [unit of the standardisations]; None for none.
    """

    change_percent: float
    lower: float | None = None
    upper: float | None = None


@dataclass(frozen=True, slots=True)
class Drift:
    """What the standardisations of a titrant tell of its drift.

    Fields:
        found: the standardisations, by day; the last one gives the value in force.
        since_first: the last value less the first [% of the first], what both share left out; None of fewer than two.
        line: None where there are too few.
        until: last day on which it holds; None where nothing is foretold.
        meets: what is met then, :data:`CHANGE` or :data:`LIMITS`; empty where nothing is met as far as the data carry,
            and then ``until`` is the day to which they do.
        bounds: that ``until`` was found by; None where nothing is foretold.
        why_not: in sentences, why nothing is foretold and what to do; empty where something is.
    """

    found: tuple[Standardised, ...]
    since_first: Estimate | None = None
    line: StraightLine | None = None
    until: date | None = None
    meets: str = ""
    bounds: Bounds | None = None
    why_not: str = ""

    @property
    def carried_until(self) -> date:
        """The day to which the standardisations carry a prediction."""
        return _day(self.found, carried_until(0.0, _after(self.found, self.found[-1].day)))

    @property
    def per_month(self) -> Estimate | None:
        """The drift by the line [% of the first value in a month of 30.4 days]."""
        if self.line is None:
            return None
        return self.line.slope.scaled(100 * MONTH_DAYS / self.found[0].found.value, "%")

    @property
    def met_already(self) -> bool:
        """Whether the limits may be passed on the day of the last standardisation already."""
        return self.meets == LIMITS and self.until == self.found[-1].day

    @property
    def shown(self) -> bool:
        """Whether the slope differs from nought at 95 %."""
        return self.line is not None and self.line.slope_probability < SIGNIFICANT


def drift_of(standardisations: Sequence[Standardised], allowed: Allowed) -> Drift:
    """Return what standardisations of one titrant tell of its drift, and until when it holds.

    Nothing is foretold by fewer than three, by such as were all performed on one day, and where a straight line does
    not fit them; the reason is said. Nothing is foretold beyond twice the period that they cover, or beyond twelve
    months after it.

    Arguments:
        standardisations: that count, by day, each with its contributions by key.
        allowed: largest change, and limits if any.

    Raises:
        Refusal: a largest change that is not above nought.

    Source: ISO Guide 35:2017 and ICH Q1E (2003), see :mod:`assaywright.metrology.stability`.
    """
    if not allowed.change_percent > 0:
        raise Refusal(f"a largest change of {allowed.change_percent} % allows none",
                      remedy="give the largest change as a percentage above zero")
    found = tuple(standardisations)
    if len({(one.found.unit, one.reference_temperature_degC) for one in found}) > 1:
        return Drift(found, why_not="The standardisations differ in their unit, or in the temperature that they refer "
                                    "to, so they tell no drift together. Go by the last one.")
    if any(one.found.value <= 0 for one in found):
        return Drift(found, why_not="A standardisation found no concentration above zero, so no drift is told. Look at "
                                    "it, and standardise the solution anew.")
    since_first = _since_first(found) if len(found) > 1 else None
    days = [_after(found, one.day) for one in found]
    try:
        line = line_through(days, [one.found for one in found])
    except Refusal:
        return Drift(found, since_first, why_not=_too_few(found))
    if not line.fits:
        return Drift(found, since_first, line, why_not=_no_line(found, line))
    return _foretold(found, since_first, line, allowed)


def _foretold(found: tuple[Standardised, ...], since_first: Estimate | None, line: StraightLine,
              allowed: Allowed) -> Drift:
    value, start = found[-1].found.value, line.days[-1]
    end = carried_until(0.0, start)
    part = abs(value) * allowed.change_percent / 100
    change = Bounds(value - part, value + part, since=len(found) - 1)
    ways = [(CHANGE, change)]
    if allowed.lower is not None or allowed.upper is not None:
        ways.append((LIMITS, Bounds(allowed.lower, allowed.upper)))
    met = [(day, what, bounds) for what, bounds in ways
           if (day := day_of_meeting(line, bounds, start, end)) is not None]
    if not met:
        return Drift(found, since_first, line, _day(found, end), bounds=change)
    day, what, bounds = min(met, key=lambda one: one[0])
    if day <= start and what == CHANGE:
        told = (f"The standardisations are too uncertain to tell a change of {_percent(allowed.change_percent)} % from "
                "none, so no day is foretold. Standardise it anew, with more or more precise titrations.")
        return Drift(found, since_first, line, why_not=told)
    return Drift(found, since_first, line, _day(found, day), what, bounds)


def _since_first(found: tuple[Standardised, ...]) -> Estimate:
    first, last = found[0].found, found[-1].found
    ratio = last.value / first.value
    parts = combine("%", ((100 / first.value, last), (-100 * ratio / first.value, first)))
    return Estimate(100 * (ratio - 1), "%", parts.contributions)


def _too_few(found: tuple[Standardised, ...]) -> str:
    """Return why standardisations that no line goes through tell no drift, and what to do."""
    if not found:
        return "None of its standardisations counts yet, so no drift is told. Standardise it, and have it reviewed."
    if len(found) < FEWEST:
        number, more = (("One standardisation tells", "twice"), ("Two standardisations tell", "once"))[len(found) - 1]
        return f"{number} no drift: it takes three, on different days. Standardise it {more} more."
    if len({one.day for one in found}) == 1:
        return "All its standardisations were performed on one day, and tell no drift. Standardise it on another day."
    return ("Its standardisations have no uncertainty of their own, so they tell no drift from chance. Standardise it "
            "anew from portions of its own.")


def _no_line(found: tuple[Standardised, ...], line: StraightLine) -> str:
    told = (f"A straight line does not fit the standardisations: their distances from it are larger than their "
            f"uncertainties allow (chi-squared {line.chi_squared:.1f} with {line.beyond_two} degree"
            f"{'' if line.beyond_two == 1 else 's'} of freedom, which comes by chance in "
            f"{written_chance(line.fit_probability or 0.0)} of cases), so no day is foretold.")
    values = [one.found.value for one in found]
    top, bottom = values.index(max(values)), values.index(min(values))
    inner = range(1, len(values) - 1)
    if top in inner:
        told += f" They rose until {written_date(found[top].day)} and fell since."
    elif bottom in inner:
        told += f" They fell until {written_date(found[bottom].day)} and rose since."
    return f"{told} Go by the last one, standardise it before each use until the values settle, and look for the cause."


def written_fit(line: StraightLine) -> str:
    """Return how well a straight line fits, in a sentence or two: what was tested and how little a few values test it.

    Source: ISO/TS 28037:2010, 6.3, for the chi-squared; Student's t with n − 2 degrees of freedom where the scatter
    about the line stands for the values' uncertainties.
    """
    number = len(line.values)
    if line.chi_squared is None:
        factor = written_number(f"{coverage_factor(float(line.beyond_two)):.3g}")
        told = (f"The values carry no uncertainty of their own: their scatter about the line stands for it, so "
                f"k = {factor} (Student's t with n − 2 = {line.beyond_two} degree{_plural(line.beyond_two)} of freedom)"
                ", and whether a line fits is not tested.")
    else:
        told = (f"A straight line {'fits' if line.fits else 'does not fit'}: chi-squared {_chi_squared(line)} with "
                f"{line.beyond_two} degree{_plural(line.beyond_two)} of freedom, p = "
                f"{written_chance(line.fit_probability or 0.0)}.")
    if line.hardly_tested:
        left = "one is" if line.beyond_two == 1 else "two are"
        told += (f" {_NUMBERS.get(number, str(number))} points test it little: any two lie on a line, so only {left} "
                 "left to speak against it; a bend would hardly show.")
    return told


def _chi_squared(line: StraightLine) -> str:
    return written_number(f"{line.chi_squared:.2f}") if (line.chi_squared or 0.0) < 10 else f"{line.chi_squared:.1f}"


def _plural(number: int) -> str:
    return "" if number == 1 else "s"


def _after(found: Sequence[Standardised], day: date) -> float:
    return float((day - found[0].day).days)


def _day(found: Sequence[Standardised], after: float) -> date:
    return found[0].day + timedelta(days=math.floor(after + 1e-9))


def _percent(number: float) -> str:
    return written_number(f"{number:g}")


def written_chance(probability: float) -> str:
    """Return how often something comes by chance, in words: "3.2 %", "less than 0.01 %"."""
    return written_probability(probability).replace("< ", "less than ").replace("> ", "more than ")


def written_change(line: StraightLine | None, change: Estimate) -> tuple[str, str]:
    """Return a drift and its expanded uncertainty at 95 %, as printed: "−0.21" and "0.05".

    Arguments:
        line: whose degrees of freedom the change has; None for its own.
        change: [%]
    """
    degrees = change.degrees_of_freedom if line is None else line.degrees_of_freedom(change)
    expanded = coverage_factor(degrees) * change.standard_uncertainty
    if not expanded > 0:
        return written_number(f"{change.value:+.3f}"), ""
    value, uncertainty = report(change.value, expanded)
    signed = value if value.startswith("-") else f"+{value}"
    return written_number(signed), written_number(uncertainty)
