"""Solutions, the weighed standard and the sample, as the worksheet describes them."""

from decimal import Decimal
from itertools import pairwise

from assaywright.assay.observations import AcceptedStandardisation, ReferenceMaterial, Sample, Solution
from assaywright.assay.reading.equipment import read_certificate, temperature
from assaywright.assay.reading.table import Table
from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity, shown
from assaywright.metrology.units import exact_conversion, kind_of

SOURCES = ("worksheets", "stored", "concentration")
SOLUTION_FIELDS = (
    "name", "formula", "nominal", "nominal_within", *SOURCES, "certificate", "at_temperature", "reaction", "in_force",
    "lot", "bottle", "use_before", "opened", "in_use_days", "thermal", "densities",
    "accepted",
)
ACCEPTED_FIELDS = ("worksheet", "kind", "what", "reason", "by", "function", "day")
AGAINST_FIELDS = (*SOLUTION_FIELDS, "in_burette")
STANDARD_FIELDS = (
    "name", "formula", "content", "certificate", "basis", "dried", "weighed_as", "density", "minimum_sample",
    "use_before", "lot",
)
SAMPLE_FIELDS = ("product", "lot", "density", "taken", "thermal", "densities")

CONCENTRATION_UNITS = ("mol/L", "eq/L", "mol/kg")
IN_FORCE = ("last accepted", "mean of accepted")


def read_solution(table: Table) -> Solution:
    """Return a solution, whose concentration has one source at most."""
    solution = Solution(
        name=table.needed_text("name", "hydrochloric acid 1 mol/L"),
        formula=_needed_formula(table),
        nominal=table.quantity("nominal", *CONCENTRATION_UNITS, above="0"),
        worksheets=_paths(table),
        stored=table.text("stored"),
        concentration=table.quantity("concentration", *CONCENTRATION_UNITS, above="0"),
        reaction=table.formula("reaction"),
        in_force=table.choice("in_force", IN_FORCE, "last accepted"),
        certificate=read_certificate(table),
        lot=table.text("lot"),
        bottle=table.text("bottle"),
        use_before=table.last_day("use_before"),
        opened=table.day("opened"),
        in_use_days=table.count("in_use_days"),
        thermal=_thermal(table),
        densities=read_densities(table),
        at_temperature=temperature(table, "at_temperature"),
        nominal_within=table.quantity("nominal_within", "%", above="0", most="50"),
        accepted=_accepted(table),
    )
    _check_source(solution, table)
    _check_reaction(solution, table)
    return solution


def _accepted(table: Table) -> tuple[AcceptedStandardisation, ...]:
    """Return what was let pass of the standardisations, each with its reason, its person and its day."""
    found = []
    for one in table.tables("accepted", ACCEPTED_FIELDS, "accepted"):
        day = one.day("day")
        if day is None:
            raise one.missing("day", "2026-11-30")
        found.append(AcceptedStandardisation(
            one.needed_text("worksheet", "WS-26-0871"), one.needed_text("kind", "calibration-overdue"),
            one.needed_text("what", "the remark as it reads"), one.needed_text("reason", "why it may count"),
            one.needed_text("by", "Maren Tolliver"), one.text("function"), day))
    if found and not table.has("worksheets"):
        raise table.refusal("accepted", "it stands without the worksheets that it is of",
                            'add worksheets = ["std-1.toml"], or leave it out')
    return tuple(found)


def _check_reaction(solution: Solution, table: Table) -> None:
    """Refuse a reaction that is none: nothing reacts in it, or it does not balance."""
    from assaywright.chemistry.reaction import parse_reaction

    if solution.reaction:
        try:
            parse_reaction(solution.reaction)
        except Refusal as refusal:
            raise table.refusal("reaction", refusal.what, refusal.remedy
                                or 'write it like "NaOH + HCl -> NaCl + H2O", balanced') from None


def _needed_formula(table: Table) -> str:
    from assaywright.chemistry.formula import parse_formula

    table.needed_text("formula", "HCl")
    found = table.formula("formula")
    try:
        parse_formula(found)
    except Refusal as refusal:
        raise table.refusal("formula", refusal.what, refusal.remedy) from None
    return found


def _paths(table: Table) -> tuple[str, ...]:
    """Return the paths of the standardisations."""
    paths = table.texts("worksheets")
    if table.has("worksheets") and not all(paths):
        raise table.refusal("worksheets", "a path is empty", 'name the files, like worksheets = ["std-1.toml"]')
    if table.has("worksheets") and not paths:
        raise table.refusal("worksheets", "the list is empty", 'name the files, like worksheets = ["std-1.toml"]')
    for path in paths:
        if paths.count(path) > 1:
            raise table.refusal("worksheets", f"{shown(path)} is named twice", "name each standardisation once")
    return paths


def sources_of(solution: Solution) -> tuple[str, ...]:
    """Return the fields from which the solution's concentration is said to come."""
    given = {"worksheets": solution.worksheets, "stored": solution.stored, "concentration": solution.concentration}
    return tuple(key for key, value in given.items() if value)


def _check_source(solution: Solution, table: Table) -> None:
    """Refuse sources that contradict each other, and statements that belong to another source."""
    sources = sources_of(solution)
    if len(sources) > 1:
        raise table.refusal("", f"the concentration comes from {' and from '.join(sources)}",
                            "keep the one that is meant")
    for key in ("certificate", "at_temperature"):
        if table.has(key) and solution.concentration is None:
            raise table.refusal(key, "it stands without the concentration that it belongs to",
                                'add concentration = "1.0012 mol/L ± 0.0010 mol/L, k = 2", or leave it out')
    if table.has("in_force") and not solution.worksheets:
        raise table.refusal("in_force", "it stands without worksheets to choose among",
                            'add worksheets = ["std-1.toml"], or leave it out')
    for key, stated in (("concentration", solution.concentration), ("nominal", solution.nominal)):
        if stated and kind_of(stated.unit) == "equivalent concentration" and not solution.reaction:
            raise table.refusal(key, f"{shown(stated.text)} counts equivalents, and which reaction they refer to is "
                                "not said", 'add reaction = "…", or give it in mol/L')
    if table.has("nominal_within") and solution.nominal is None:
        raise table.refusal("nominal_within", "it stands without the nominal concentration",
                            'add nominal = "0.1 mol/L"')
    if table.has("in_use_days") and solution.opened is None:
        raise table.refusal("in_use_days", "it stands without the day of opening", "add opened = 2026-10-01")


def _thermal(table: Table) -> str:
    """Return the law of thermal expansion; a coefficient has to be one."""
    text = table.text("thermal")
    if text[:1].isdigit():
        try:
            read_quantity(text, "/K", decimal_mark=table.conventions.decimal_mark)
        except Refusal as refusal:
            raise refusal.at(table.where("thermal")) from None
    return text


def read_densities(table: Table) -> tuple[tuple[Quantity, Quantity], ...]:
    """Return densities by temperature, at two temperatures or more, in order.

    Raises:
        Refusal: one density alone, one that is none of a liquid, or temperatures that do not rise.
    """
    pairs = table.pairs("densities", "°C", "g/mL")
    if len(pairs) == 1:
        raise table.refusal("densities", "one density does not show how the liquid expands",
                            "give densities at two temperatures or more")
    for reading, density in pairs:
        if not 0 < density.to("g/mL") < 25:
            raise table.refusal("densities", f"{shown(density.text)} is not a density of a liquid",
                                f"check the density at {shown(reading.text)}")
    degrees = [pair[0].to("°C") for pair in pairs]
    if any(not after > before for before, after in pairwise(degrees)):
        raise table.refusal("densities", "the temperatures do not rise from pair to pair",
                            "give each temperature once, the lowest first")
    return pairs


def read_standard(table: Table) -> ReferenceMaterial:
    """Return the weighed standard with its certificate."""
    certificate = read_certificate(table)
    if certificate is None:
        raise table.missing("certificate", '{ id = "RM-…", issued = 2026-01-15, due = 2028-01, traceable_to = "…" }')
    return ReferenceMaterial(
        name=table.needed_text("name", "potassium hydrogen phthalate"),
        formula=table.formula("formula"),
        content=_content(table),
        certificate=certificate,
        basis=table.choice("basis", ("as is", "dried"), "as is"),
        dried=table.text("dried"),
        weighed_as=table.choice("weighed_as", ("in vacuo", "in air"), "in vacuo"),
        density=table.quantity("density", "g/mL", above="0", most="25"),
        minimum_sample=table.quantity("minimum_sample", "g", above="0"),
        use_before=table.last_day("use_before"),
        lot=table.text("lot"),
    )


def _content(table: Table) -> Quantity:
    """Return the certified content in %; % w/w and a mass fraction as a number are turned into it."""
    content = table.needed_quantity("content", "%", "% w/w", example="99.97")
    typed = content
    if content.unit != "%":
        source = "% w/w" if kind_of(content.unit) == "mass fraction" else "%"
        factor, _ = exact_conversion(content.unit, source)
        places = (Decimal(factor.numerator) / Decimal(factor.denominator)).adjusted()
        stated = content.uncertainty
        content = Quantity(content.value.scaleb(places), "%", content.text, stated and StatedUncertainty(
            stated.amount.scaleb(places), stated.form, stated.coverage_factor, stated.degrees_of_freedom))
    if not 0 < content.value <= 105:
        raise table.refusal("content", f"{shown(typed.text)} is not a content of a standard",
                            "give the certified mass fraction in %")
    return content


def read_sample(table: Table) -> Sample:
    """Return what was assayed."""
    return Sample(
        product=table.needed_text("product", "caustic soda solution 20 % w/v"),
        lot=table.needed_text("lot", "0417"),
        density=table.quantity("density", "g/mL", above="0", most="25"),
        taken=table.text("taken"),
        thermal=_thermal(table),
        densities=read_densities(table),
    )
