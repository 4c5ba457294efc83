"""A plan on the terminal: the best option and what limits it, the others beside it, how it was ranked."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from assaywright.assay.plan.result import Option, Plan
from assaywright.assay.plan.setup import BARIUM_CHLORIDE
from assaywright.assay.plan.standardise import Conditioning
from assaywright.assay.plan.words import decimals, per_cent, way_words, whole_per_cent
from assaywright.assay.result import Result
from assaywright.assay.wording import written_figures, written_limits, written_probability
from assaywright.cli.figures import signed
from assaywright.cli.tables import Column, drawn, heading, paragraph

if TYPE_CHECKING:
    from assaywright.cli.plan import Planned

LABEL = 22
BUDGET_SHOWN = 6
HELD = "!"  # beside a titrant whose result would be held back


def plan_lines(found: "Planned", width: int) -> Iterator[str]:
    """Yield the lines of a plan.

    Arguments:
        found: with its day.
        width: of the terminal.
    """
    plan = found.plan
    yield from paragraph(plan.title, width, first="")
    yield from _cautions(plan, width)
    for label, text in _asked(plan):
        yield from paragraph(text, width, first=f"  {label:<{LABEL}}")
    for one in found.conditioning:
        yield from _conditioning(one, width)
    yield from heading("options, best first")
    columns = [Column("no.", right=True), Column("portion", flexible=True), Column("titrant, burette"),
               Column("titre/mL", right=True), Column("use", right=True), Column("n", right=True),
               Column("U", right=True), Column("min", right=True)]
    several = len({one.setup.method.name for one in plan.options}) > 1
    yield from drawn(columns, [_row(one, named=several) for one in plan.options], width)
    yield from _under_the_table(plan, width)
    yield from heading("the best")
    yield from paragraph(plan.why, width)
    yield from _best(plan.options[0], width)
    yield from heading("how they were ranked")
    yield from paragraph(plan.rule, width)
    if plan.notes:
        yield from heading("to know")
    for note in plan.notes:
        yield from paragraph(note, width)


def _under_the_table(plan: Plan, width: int) -> Iterator[str]:
    """Yield what the headings and marks of the table mean, and what is to be said against single options."""
    yield from paragraph("use: of the burette; n: number of determinations; U: expanded uncertainty of their mean at "
                         "95 %, relative; min: rough bench time, common practice without a source.", width)
    if not all(one.reaches for one in plan.options):
        yield from paragraph("* does not reach the uncertainty wanted", width)
    for told in dict.fromkeys(sentence for one in plan.options for sentence in one.held):
        yield from paragraph(f"{HELD} its result would be held back: {told}", width)
    for one in plan.options:
        for remark in one.remarks:
            yield from paragraph(f"no. {one.number}: {remark}", width)


def _cautions(plan: Plan, width: int) -> Iterator[str]:
    cautions = plan.options[0].setup.method.cautions
    yield from paragraph(f"Before the first step: {'; '.join(cautions.protective_equipment)}. {cautions.text}", width)
    yield ""


def _asked(plan: Plan) -> Iterator[tuple[str, str]]:
    """Yield what was asked, with labels."""
    product = plan.product
    if product is not None and product.width is not None:
        yield "Specification", written_limits(product.specification)
    if product is not None and product.specification.prior is not None:
        mean, deviation = product.specification.prior
        yield "Lots (prior)", f"mean {mean.text}, standard deviation {deviation.text}, from {product.lots_source}"
    if plan.wanted is not None:
        nominal, unit = plan.options[0].result.estimate.value, plan.options[0].result.estimate.unit
        yield "Uncertainty wanted", (f"{per_cent(plan.wanted / nominal)}, that is {written_figures(plan.wanted, 2)} "
                                     f"{unit}: {plan.wanted_from}")
    yield "Combinations", (f"{plan.considered} considered, {plan.feasible} feasible" +
                           (f", {plan.reaching} reach{'es' if plan.reaching == 1 else ''} the uncertainty wanted"
                            if plan.wanted is not None else ""))


def _row(one: Option, *, named: bool) -> list[str]:
    """Return the row of an option, with its method where the plan has several."""
    setup = one.setup
    told = f"{way_words(setup)}; {setup.method.name}" if named else way_words(setup)
    burette = f"{setup.in_burette.name}, {setup.burette.nominal.text}{f' {HELD}' if one.held else ''}"
    mark = "" if one.reaches else " *"
    return [str(one.number), told, burette, decimals(setup.titre_mL, 2), whole_per_cent(one.burette_use),
            str(setup.determinations), f"{per_cent(one.relative_uncertainty)}{mark}", f"{one.minutes:.0f}"]


def _best(one: Option, width: int) -> Iterator[str]:
    """Yield the best option in full."""
    for label, text in _told(one):
        yield from paragraph(text, width, first=f"  {label:<{LABEL}}")
    yield from heading("what makes the best uncertain")
    rows = [[each.name, whole_per_cent(each.share)] for each in one.influences[:BUDGET_SHOWN]]
    yield from drawn([Column("influence", flexible=True), Column("of the variance", right=True)], rows, width)
    if one.other_indicators:
        yield from _indicators(one, width)


def _told(one: Option) -> Iterator[tuple[str, str]]:
    """Yield what is to be told of the best option, with labels."""
    setup, result = one.setup, one.result
    yield "Method", f"{setup.method.name}: {setup.method.title}"
    yield "Expected", f"{_stated(result)}, k = {decimals(result.coverage_factor, 2)}"
    for each in one.further:
        yield "", f"{each.measurand} {_stated(each)}"
    blanks = f" and {setup.blanks} blanks of about {decimals(setup.blank_mL, 1)} mL" if setup.blanks else ""
    yield "From the burette", f"{decimals(one.titrant_mL, 0)} mL for {setup.determinations} determinations{blanks}"
    first = setup.method.first_endpoint
    if first is not None and setup.first_mL is not None:
        words = "after barium chloride, at" if setup.method.scheme == BARIUM_CHLORIDE else "to the first endpoint, at"
        yield "Also", f"{words} {decimals(setup.first_mL, 2)} mL by {first.indicator}"
    yield "Indicator", setup.method.endpoint.indicator or f"none: {setup.method.endpoint.kind} endpoint"
    if one.share_of_width is not None:
        yield "2U of the width", whole_per_cent(one.share_of_width)
    if one.risks is not None:
        yield "Global risks", (f"a bad lot accepted {written_probability(one.risks.consumer)}, a good one rejected "
                               f"{written_probability(one.risks.producer)}")
    yield "Steps", "; ".join(f"{each.name}{f' × {each.times}' if each.times > 1 else ''}, {each.minutes:.0f} min"
                             for each in one.steps)


def _stated(result: Result) -> str:
    return f"({result.value_text} ± {result.uncertainty_text}) {result.estimate.unit}"


def _indicators(one: Option, width: int) -> Iterator[str]:
    """Yield the other indicators of the best option, with what each would give."""
    yield from heading("other indicators for the best")
    rows = [[each.name, " to ".join(each.colours[:2]), signed(each.titration_error_mL, 3),
             decimals(each.standard_uncertainty_mL, 3),
             f"{per_cent(each.relative_uncertainty)}{'' if each.reaches else ' *'}"] for each in one.other_indicators]
    columns = [Column("indicator", flexible=True), Column("stop at", flexible=True), Column("error/mL", right=True),
               Column("u/mL", right=True), Column("U", right=True)]
    yield from drawn(columns, rows, width)
    yield from paragraph(f"With {one.setup.method.endpoint.indicator}, the method's own, U is "
                         f"{per_cent(one.relative_uncertainty)}. The error of the others is computed from the curve "
                         "and left in the uncertainty, with the last half drop; nobody has tried them in this method.",
                         width)


def _conditioning(one: Conditioning, width: int) -> Iterator[str]:
    """Yield what is known of drying and keeping a standard, with the sources side by side."""
    yield from heading("the standard", one.standard)
    yield from paragraph(f"{one.certificate}. Smallest portion: {one.least}.", width)
    if one.hygroscopicity:
        yield from paragraph(f"It is {one.hygroscopicity}.", width)
    if one.disagreement:
        yield from paragraph(one.disagreement, width)
    rows = [[each.temperature_degC or "none", each.time_h or "not said", each.condition,
             f"{each.source} ({each.status})"] for each in one.drying]
    if rows:
        yield from drawn([Column("°C"), Column("h", flexible=True), Column("condition", flexible=True),
                          Column("source", flexible=True)], rows, width)
