"""A method as a person reads it: cautions first, then the reaction, the steps, the figures and the references."""

from collections.abc import Iterator

from assaywright.assay.bench.cautioned import hazard_words, of_nominals
from assaywright.assay.method import Endpoint, Method, Reactant
from assaywright.assay.turned_by_curve import error_in_words
from assaywright.cli.tables import Column, drawn, heading, paragraph

RESPONSIBLE = (
    "Local codes and licensed practice go before anything printed here; a qualified person answers for the work."
)


def list_lines(methods: list[Method], width: int) -> list[str]:
    """Return a table of all methods for each kind."""
    lines: list[str] = []
    for kind, words in (("assay", "ASSAYS"), ("standardisation", "STANDARDISATIONS")):
        of_kind = [method for method in methods if method.kind == kind]
        if of_kind:
            columns = [Column("name"), Column("determines", flexible=True)]
            lines += ["", f"{words} ({len(of_kind)})"] if lines else [f"{words} ({len(of_kind)})"]
            lines += drawn(columns, [[one.name, one.determines] for one in of_kind], width, indent="")
    return lines


def method_lines(method: Method, width: int) -> Iterator[str]:
    """Yield the lines that tell a method."""
    yield from paragraph(f"{method.title} (method {method.name}, edition {method.edition})", width, first="")
    route = "" if method.route == "straight" else f", by {method.route}"
    yield from paragraph(f"determines {method.determines}; {method.kind}, {method.scheme}, {method.type}{route}", width)
    yield from _cautions(method, width)
    yield from _chemistry(method, width)
    yield from _procedure(method, width)
    yield from _figures(method, width)
    yield from heading("references")
    for reference in method.references:
        yield from paragraph(f"{reference.text} ({reference.status})", width)
    yield from heading("worked example")
    for example in method.examples:
        yield from paragraph(f"{example.title}: {example.source}, {example.clause} ({example.status})", width)


def _cautions(method: Method, width: int) -> Iterator[str]:
    cautions = of_nominals(method)
    yield from heading("cautions, before the first step")
    yield from paragraph(f"Wear {', '.join(cautions.protective_equipment)}.", width)
    for hazard in cautions.hazards:
        yield from paragraph(hazard_words(hazard), width)
    for sentence in (*cautions.incompatibilities, *cautions.notes, cautions.text, RESPONSIBLE):
        yield from paragraph(f"{sentence[0].upper()}{sentence[1:].rstrip('.')}.", width)


def _chemistry(method: Method, width: int) -> Iterator[str]:
    yield from heading("reaction")
    yield f"  {method.reaction}"
    if method.reagent_reaction:
        yield f"  {method.reagent_reaction}"
    roles: tuple[tuple[str, Reactant | None], ...] = (
        ("analyte", method.analyte), ("titrant", method.titrant), ("reagent in excess", method.reagent),
        ("standard", method.standard), ("set against", method.against))
    rows = [[role, one.name, one.formula, str(one.equivalents)] for role, one in roles if one is not None]
    columns = [Column("part"), Column("substance", flexible=True), Column("formula"), Column("equivalents", right=True)]
    yield from drawn(columns, rows, width)
    yield from paragraph(f"{method.titrimetric_equivalent.text} ({method.titrimetric_equivalent.source})", width)


def _procedure(method: Method, width: int) -> Iterator[str]:
    yield from heading("procedure")
    for sentence in method.sample.text:
        yield from paragraph(sentence, width)
    for number, step in enumerate(method.procedure, start=1):
        yield from paragraph(step, width, first=f"  {number:>2}. ")
    if method.first_endpoint is not None:
        yield from paragraph(_endpoint("first endpoint", method.first_endpoint), width)
    yield from paragraph(_endpoint("endpoint", method.endpoint), width)
    required = "required" if method.blank.required else "not required"
    blank = "none" if method.blank.kind == "none" else f"{method.blank.kind}, {required}"
    yield from paragraph(f"blank: {blank}. {method.blank.text}".strip(), width)


def _endpoint(name: str, one: Endpoint) -> str:
    seen = f"{one.indicator}, {one.colour_change}" if one.indicator else one.kind
    return f"{name}: {seen}; {error_in_words(one)}: {one.reason}"


def _figures(method: Method, width: int) -> Iterator[str]:
    yield from heading("figures")
    found = method.repeatability
    yield from paragraph(f"determinations: {method.replicates}", width)
    for rule in method.acceptance:
        limit = f" {rule.limit.text}" if rule.limit else ""
        yield from paragraph(f"acceptance: {rule.rule}{limit} ({rule.source})", width)
    yield from paragraph(f"repeatability of one determination: {found.pooled.text}, {found.degrees_of_freedom:g} "
                         f"degrees of freedom ({found.source})", width)
    yield from paragraph(f"result: {method.result.unit} as {method.result.species}", width)
    for one in method.result.measurands:
        yield from paragraph(f"{one.name}: {one.unit} as {one.formula}, {one.reaction}", width, first="    ")
