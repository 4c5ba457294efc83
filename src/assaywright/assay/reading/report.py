"""How the result is to be stated, and what it must satisfy."""

from decimal import Decimal

from assaywright.assay.observations import Acceptance, Specification, Wanted
from assaywright.assay.reading.equipment import temperature
from assaywright.assay.reading.table import Table
from assaywright.metrology.acceptance import ACCEPTANCE_RULES
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.metrology.units import canonical, kind_of, with_article

REPORT_FIELDS = (
    "unit", "species", "species_equivalents", "temperature", "coverage_factor", "repeatability", "factor", "acceptance",
)
LIMIT_FIELDS = (
    "lower", "upper", "rule", "guard_band_factor", "conformance_probability", "rounding_step", "rounding", "prior_mean",
    "prior_standard_deviation",
)
SPECIFICATION_FIELDS = ("characteristic", *LIMIT_FIELDS)

CONTENT_KINDS = ("amount concentration", "equivalent concentration", "mass concentration", "mass fraction",
                 "amount content")
RULES = ("simple acceptance", "guard band", "rounding method", "absolute method", "conformance probability")
ROUNDINGS = ("half up", "half even")
WITH_A_LIMIT = ("range", "Ph. Eur. RSD")


def read_wanted(table: Table | None) -> Wanted:
    """Return how the result is to be stated."""
    if table is None:
        return Wanted()
    return Wanted(
        unit=_content_unit(table),
        species=table.formula("species"),
        species_equivalents=table.count("species_equivalents"),
        temperature=temperature(table, "temperature"),
        coverage_factor=table.number("coverage_factor", least="1", most="10"),
        repeatability=table.choice("repeatability", ("pooled", "observed"), "pooled"),
        factor=table.flag("factor", default=False),
        acceptance=_acceptance(table),
    )


def _acceptance(table: Table) -> tuple[Acceptance, ...]:
    """Return the rules of acceptance asked for besides the method's, like "Ph. Eur. RSD" or "range, 0.2 %"."""
    found: list[Acceptance] = []
    for text in table.texts("acceptance"):
        name, _, limit = text.partition(",")
        rule = table.choice_of(name.strip(), "acceptance", tuple(ACCEPTANCE_RULES))
        if limit and rule not in WITH_A_LIMIT:
            raise table.refusal("acceptance", f'the rule "{rule}" has limits of its own', f'write "{rule}" alone')
        if not limit and rule == "range":
            raise table.refusal("acceptance", 'the rule "range" has no limit', 'write it like "range, 0.2 %"')
        asked = Acceptance(rule, table.quantity_of(limit.strip(), "acceptance", "%", above="0") if limit else None)
        if asked.limit is not None and asked.limit.unit != "%":
            raise table.refusal("acceptance", f'the limit of "{shown(text)}" is not in %',
                                f'write it like "{rule}, 0.2 %"')
        if asked in found:
            raise table.refusal("acceptance", f'"{shown(text)}" is asked for twice', "name each rule once")
        found.append(asked)
    return tuple(found)


def _content_unit(table: Table) -> str:
    """Return the unit of the content, by its symbol."""
    if not table.has("unit"):
        return ""
    try:
        unit = canonical(table.needed_text("unit", "% w/v"))
    except Refusal as refusal:
        raise refusal.at(table.where("unit")) from None
    if unit == "%":
        raise table.refusal("unit", "a bare % does not say of what", 'write "% w/w" or "% w/v"')
    if kind_of(unit) not in CONTENT_KINDS:
        raise table.refusal("unit", f"{unit} is a unit of {kind_of(unit)} and not of content",
                            'write a unit such as "mol/L", "g/L", "% w/v" or "% w/w"')
    return unit


def read_specification(table: Table, name: str, *, text: str = "", content: bool = False) -> Specification:
    """Return what a characteristic must satisfy.

    Arguments:
        name: the characteristic's name.
        text: what must be satisfied where it is no number.
        content: whether the limits are of an assay's content.
    """
    lower, upper = table.quantity("lower"), table.quantity("upper")
    if content:
        _check_content_limits(lower, upper, table)
    _check_limits(lower, upper, table)
    if lower is None and upper is None:
        _check_without_limit(table)
    limit = lower or upper
    unit = limit.unit if limit else ""
    rule = table.choice("rule", RULES, "simple acceptance")
    guard = table.number("guard_band_factor", least="0", most="10")
    probability = table.quantity("conformance_probability", "%", above="0")
    _check_rule(table, rule, probability)
    return Specification(
        characteristic=name,
        unit=unit,
        lower=lower,
        upper=upper,
        rule=rule,
        guard_band_factor=guard.to("1") if guard else None,
        conformance_probability=probability.to("1") if probability else None,
        rounding_step=_rounding_step(table, unit),
        rounding=table.choice("rounding", ROUNDINGS, "half up"),
        prior=_prior(table, unit),
        text=text,
    )


def check_content_limits(specification: Specification, table: Table) -> None:
    """Refuse limits of an assay that are not contents."""
    _check_content_limits(specification.lower, specification.upper, table)


def _check_content_limits(lower: Quantity | None, upper: Quantity | None, table: Table) -> None:
    """Refuse limits of an assay that are not contents."""
    for key, limit in (("lower", lower), ("upper", upper)):
        if limit is None or kind_of(limit.unit) in CONTENT_KINDS:
            continue
        if limit.unit == "%":
            raise table.refusal(key, f"{shown(limit.text)} is a bare per cent, which does not say of what",
                                f'write it like {key} = "{limit.value} % w/w" or "{limit.value} % w/v"')
        what = "has no unit" if limit.unit == "1" else f"is {with_article(kind_of(limit.unit))}"
        raise table.refusal(key, f"{shown(limit.text)} {what}, and the limit of a content is wanted",
                            'give it in a unit of content, such as "% w/w", "% w/v", "g/L" or "mol/L"')


def _check_without_limit(table: Table) -> None:
    """Refuse what a limit needs where there is none."""
    for key in LIMIT_FIELDS:
        if table.has(key):
            raise table.refusal(key, "there is no limit that it could go with",
                                "add lower or upper, or leave it out")


def _check_limits(lower: Quantity | None, upper: Quantity | None, table: Table) -> None:
    """Refuse limits that are uncertain, of two kinds, or crossed."""
    for key, limit in (("lower", lower), ("upper", upper)):
        if limit is not None and limit.uncertainty is not None:
            raise table.refusal(key, f"a limit is exact, and {shown(limit.text)} has an uncertainty", "leave the ± out")
        if limit is not None and limit.value < 0 and kind_of(limit.unit) in CONTENT_KINDS:
            raise table.refusal(key, f"{shown(limit.text)} lies below zero, where no content lies",
                                "give the limit that is agreed on, or leave it out")
    if lower is None or upper is None:
        return
    if kind_of(lower.unit) != kind_of(upper.unit):
        raise table.refusal("upper", f"the limits are in {lower.unit} and {upper.unit}, which are of different kinds",
                            "give both in one unit")
    if lower.to(upper.unit) == upper.to(upper.unit):
        raise table.refusal("upper", f"the lower limit {shown(lower.text)} and the upper {shown(upper.text)} are the "
                            "same, and no value lies between them", "give two limits, or one alone")
    if not lower.to(upper.unit) <= upper.to(upper.unit):
        raise table.refusal("upper", f"the upper limit {shown(upper.text)} is below the lower limit "
                            f"{shown(lower.text)}", "check the two limits, or exchange them if they are crossed")


def _check_rule(table: Table, rule: str, probability: Quantity | None) -> None:
    """Refuse a rule that lacks its number, and a number that lacks its rule."""
    for key, owner, example in (("guard_band_factor", "guard band", '"1"'),
                                ("rounding_step", "rounding method", '"0.1"'),
                                ("conformance_probability", "conformance probability", '"95 %"')):
        if rule == owner and not table.has(key):
            raise table.missing(key, example)
        if table.has(key) and rule != owner:
            raise table.refusal(key, f'it belongs to the rule "{owner}", and the rule is "{rule}"',
                                f'write rule = "{owner}", or leave it out')
    if probability and not probability.to("%") < 100:
        raise table.refusal("conformance_probability", f"{shown(probability.text)} is not below 100 %",
                            'write it like "95 %"')


def _rounding_step(table: Table, unit: str) -> str:
    """Return the rounding step as a plain decimal."""
    step = table.quantity("rounding_step")
    if step is None:
        return ""
    if step.unit not in ("1", unit) or step.uncertainty is not None or not step.value > 0:
        raise table.refusal("rounding_step", f"{shown(step.text)} is not a step in the unit of the limits",
                            'write it like "0.1"')
    return format(step.value, "f")


def _prior(table: Table, unit: str) -> tuple[Quantity, Quantity] | None:
    """Return mean and standard deviation of the product's own lots."""
    kinds = (unit,) if unit else ()
    mean, deviation = (table.quantity(key, *kinds) for key in ("prior_mean", "prior_standard_deviation"))
    if mean is None and deviation is None:
        return None
    if mean is None or deviation is None:
        lacking = "prior_mean" if mean is None else "prior_standard_deviation"
        raise table.missing(lacking, f'"… {unit}"')
    if not deviation.value > Decimal(0):
        raise table.refusal("prior_standard_deviation", f"{shown(deviation.text)} is not above zero",
                            "give the standard deviation of the product's lots")
    return mean, deviation
