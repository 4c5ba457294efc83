"""Where the first endpoint is expected before anything was titrated: from the plan, by the worksheet's equation."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from decimal import Decimal
from typing import Any

from assaywright.assay.assemble import assemble
from assaywright.assay.bench.expected import Expectation, at_titre
from assaywright.assay.method import Method
from assaywright.assay.modelling import plain_values
from assaywright.assay.nominal import nominal_concentration
from assaywright.assay.observations import Delivery, Filling, Worksheet
from assaywright.assay.plan.carbonate import ASSUMED_CARBONATE
from assaywright.assay.plan.contents import NEAR_NOMINAL
from assaywright.assay.plan.setup import assumed_blank, quantity
from assaywright.assay.upstream import Opener, Upstream
from assaywright.assay.worksheet import FORMAT, worksheet_of
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity

CONCENTRATIONS = ("worksheets", "stored", "in_force")
SOLUTIONS = ("titrant", "reagent", "against")
FIRST_SHARE = {"two endpoints": 1 - ASSUMED_CARBONATE / 2, "barium chloride": 1 - ASSUMED_CARBONATE}
FIRST_READING = {"two endpoints": "first", "barium chloride": "hydroxide_final"}
TRIED_ML = (20.0, 22.0)  # two titres that the equation is solved from; any two will do
SINCE_THEN = 0.01  # how far a titrant goes between two standardisations: common practice, no source
MOST_STEPS, NEAR_ENOUGH_ML = 50, 1e-7


def foreseen(method: Method, heading: Mapping[str, Any], portion: Mapping[str, Any], *, nominal: str = "",
             unreviewed: bool = False, opener: Opener | None = None) -> dict[str, Expectation]:
    """Return where the endpoints of a method are expected by the plan, by the fields they are read into.

    The content is looked for between the limits of the worksheet's specification, else within 5 % of what is nominal;
    a titrant within 1 % of what was found of it before, else within 5 % of nominal. The worksheet's equation is solved
    for the reading at both ends.

    Arguments:
        method: of the worksheet.
        heading: its tables without determinations, dates as text.
        portion: fields of the determination that say what was taken, with their units.
        nominal: content of the product, with its unit ("20.0 % w/v"), where the heading states no limits; of a titrant
            that is standardised again, what was found before ("0.10021 mol/L").
        unreviewed: whether nobody has reviewed what was found before.
        opener: for the titrants that the heading refers to; their nominal concentrations count without one.

    Returns: from a start at zero; empty where the plan does not say enough.
    """
    try:
        table, by_name = _with_nominals(heading, known=opener is not None)
        worksheet = _planned(method, table, portion)
        value, unit = _valued(method, worksheet, Upstream(opener or _nothing))
        low, high, basis = _contents(method, worksheet, nominal, unit, unreviewed=unreviewed)
        ends = sorted((_titre_for(low, value), _titre_for(high, value)))
    except (Refusal, ZeroDivisionError, ArithmeticError):
        return {}
    if by_name:
        ends = [ends[0] * (1 - NEAR_NOMINAL), ends[1] * (1 + NEAR_NOMINAL)]
        basis += f", {by_name} within 5 % of its nominal concentration"
    if not ends[1] > 0:
        return {}
    middle, half = (ends[0] + ends[1]) / 2, (ends[1] - ends[0]) / 2
    found = {"final": at_titre("final", middle, half, basis)}
    if method.scheme in FIRST_SHARE:
        share, reading = FIRST_SHARE[method.scheme], FIRST_READING[method.scheme]
        taken = f"{basis}, {100 * ASSUMED_CARBONATE:g} % of the alkali taken as carbonate"
        found[reading] = at_titre(reading, share * middle, share * half, taken)
    return found


def _nothing(path: str) -> bytes:
    raise FileNotFoundError(path)


def _with_nominals(heading: Mapping[str, Any], *, known: bool) -> tuple[dict[str, Any], str]:
    """Return the heading with solutions at their nominal concentrations, where what they rest on cannot be opened."""
    table, named = dict(heading), []
    for role in SOLUTIONS:
        given = heading.get(role)
        if known or not isinstance(given, Mapping) or not any(given.get(key) for key in CONCENTRATIONS[:2]):
            continue
        plain = {key: value for key, value in given.items() if key not in CONCENTRATIONS}
        table[role] = plain | {"concentration": given.get("nominal", "")}
        named.append(str(given.get("name", role)))
    return table, " and ".join(named)


def _planned(method: Method, heading: Mapping[str, Any], portion: Mapping[str, Any]) -> Worksheet:
    """Return the worksheet with one determination, whose readings are made up."""
    mark = heading.get("decimal_mark", ".")
    fields: dict[str, Any] = dict(portion) | {"initial": f"0{mark}00 mL", "final": f"{TRIED_ML[0]:.0f} mL"}
    if method.scheme == "two endpoints":
        fields["first"] = fields["final"]
    if method.scheme == "barium chloride":
        fields |= {"hydroxide_initial": fields["initial"], "hydroxide_final": fields["final"]}
    worksheet = worksheet_of({**heading, "format": FORMAT, "determination": [fields]}, "plan")
    blank = method.blank
    if worksheet.blank is None and blank.required and blank.kind not in ("neutralised solvent", "titrated likewise"):
        return replace(worksheet, blank=assumed_blank(blank.kind))
    return worksheet


def _valued(method: Method, worksheet: Worksheet, upstream: Upstream) -> tuple[Callable[[float], float], str]:
    """Return the function from a titre [mL] to the worksheet's first measurand, and its unit."""
    one = worksheet.determinations[0]

    def run(titre: float, first: float | None = None) -> Delivery:
        filling = Filling(quantity(0.0, "mL"), quantity(titre, "mL"))
        return replace(one.delivery, fillings=(filling,), first=None if first is None else quantity(first, "mL"))

    def value(titre: float) -> float:
        share = FIRST_SHARE.get(method.scheme, 1.0) * titre
        delivered = run(titre, share) if method.scheme == "two endpoints" else run(titre)
        hydroxide = run(share) if method.scheme == "barium chloride" else None
        sheet = replace(worksheet, determinations=(replace(one, delivery=delivered, hydroxide=hydroxide),))
        assembly = assemble(sheet, method, upstream)
        return plain_values(assembly.measured[0].terms[:1], assembly)[0]

    return value, assemble(worksheet, method, upstream).measured[0].unit


def _contents(method: Method, worksheet: Worksheet, nominal: str, unit: str, *,
              unreviewed: bool) -> tuple[float, float, str]:
    """Return the least and the greatest content that is looked for, and why."""
    if worksheet.kind == "standardisation" and nominal:
        at = read_quantity(nominal, unit).to(unit)
        told = f"the titrant within 1 % of what was found before{', not reviewed' if unreviewed else ''}"
        return at * (1 - SINCE_THEN), at * (1 + SINCE_THEN), told
    if worksheet.kind == "standardisation":
        found = nominal_concentration(worksheet.titrant, method.titrant, method, "titrant", unit)
        at = Refusal.unless(found, "the titrant states no nominal concentration")
        return at * (1 - NEAR_NOMINAL), at * (1 + NEAR_NOMINAL), "the titrant within 5 % of nominal"
    limits = worksheet.specification
    lower, upper = (one.to(unit) if one is not None else None
                    for one in ((limits.lower, limits.upper) if limits is not None else (None, None)))
    if lower is not None and upper is not None:
        return lower, upper, "the limits of the specification"
    if nominal:
        at = read_quantity(nominal, unit).to(unit)
        return at * (1 - NEAR_NOMINAL), at * (1 + NEAR_NOMINAL), "5 % about the nominal content"
    if lower is not None:
        return lower, lower * (1 + NEAR_NOMINAL), "the lower limit and 5 % above it"
    if upper is not None:
        return upper * (1 - NEAR_NOMINAL), upper, "the upper limit and 5 % below it"
    raise Refusal("nothing says what content is expected")


def _titre_for(content: float, value: Callable[[float], float]) -> float:
    """Return the titre that a content leads to [mL], by the secant rule."""
    before, now = TRIED_ML
    at_before = value(before) - content
    for _ in range(MOST_STEPS):
        at_now = value(now) - content
        if at_now == at_before or abs(now - before) < NEAR_ENOUGH_ML:
            break
        before, now, at_before = now, now - at_now * (now - before) / (at_now - at_before), at_now
        if not now > 0:
            now = before / 2
    return now


def with_mark(number: Decimal, unit: str, decimal_mark: str) -> str:
    """Return a figure as a worksheet with that decimal mark writes it.

    Arguments:
        number: as typed.
        unit: of it.
        decimal_mark: "." or ",".

    Example:
        >>> with_mark(Decimal("24.50"), "mL", ",")
        '24,50 mL'
    """
    return f"{number:f}".replace(".", decimal_mark) + f" {unit}"
