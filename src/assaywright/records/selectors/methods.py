"""The methods: the program's and the laboratory's own, which of them are adopted, and one of them in full."""

from dataclasses import dataclass

from assaywright.assay.bench.cautioned import of_nominals
from assaywright.assay.method import Endpoint, Method, library_text, load_method, method_names, parse_method
from assaywright.assay.turned_by_curve import error_in_words
from assaywright.metrology.refusal import Refusal
from assaywright.records.methods import method_of
from assaywright.records.models import MethodEdition
from assaywright.records.selectors.assays import cautions_of
from assaywright.reports.curve_picture import typographic
from assaywright.reports.method_curve import library_curve_svg, method_curve_svg

OWN = ".toml"


@dataclass(frozen=True)
class MethodLine:
    """A method as the list shows it.

    Fields:
        named: as worksheets name it; a laboratory's own with its ending.
        adopted: edition that the laboratory adopted; empty where it has not.
    """

    named: str
    title: str
    kind: str
    determines: str
    edition: str
    adopted: str


@dataclass(frozen=True)
class MethodShown:
    """What a method's page says.

    Fields:
        named: as worksheets name it.
        method: itself.
        cautions: sentences, to be read before the first step.
        reactions: as they are written.
        parts: substances with the part they play: part, name, formula, equivalents.
        endpoints: in sentences.
        acceptance: rules in sentences.
        examples: worked examples, each in a line.
        text: the file.
        curve: the drawing, SVG; empty where there is none.
        why_no_curve: the reason then.
        editions: that the laboratory adopted.
        adopted: whether the present edition is among them.
    """

    named: str
    method: Method
    cautions: tuple[str, ...]
    reactions: tuple[str, ...]
    parts: tuple[tuple[str, str, str, int], ...]
    endpoints: tuple[str, ...]
    acceptance: tuple[str, ...]
    examples: tuple[str, ...]
    text: str
    curve: str
    why_no_curve: str
    editions: tuple[MethodEdition, ...]
    adopted: bool


def method_lines(words: str = "") -> list[MethodLine]:
    """Return the methods in which all the words stand: the laboratory's own first, then those adopted, then others."""
    adopted = {one.name: one for one in MethodEdition.objects.order_by("id")}
    own = [name for name, one in adopted.items() if one.content.get("text")]
    found = [_line(f"{name}{OWN}", method_of(f"{name}{OWN}"), adopted[name].edition) for name in own]
    found += [_line(name, load_method(name), adopted[name].edition if name in adopted and name not in own else "")
              for name in method_names()]
    wanted = words.casefold().split()
    kept = [one for one in found
            if all(word in f"{one.named} {one.title} {one.determines} {one.kind}".casefold() for word in wanted)]
    return sorted(kept, key=lambda one: (not one.named.endswith(OWN), not one.adopted, one.named))


def method_shown(named: str) -> MethodShown:
    """Return what a method's page says.

    Raises:
        Refusal: there is no such method.
    """
    method = method_of(named)
    name = named.removesuffix(OWN)
    editions = tuple(one for one in MethodEdition.objects.filter(name=name).order_by("-id")
                     if bool(one.content.get("text")) == named.endswith(OWN))
    text = str(editions[0].content["text"]) if named.endswith(OWN) else library_text(named)
    curve, reason = _curve(named, method)
    roles = (("analyte", method.analyte), ("titrant", method.titrant), ("reagent in excess", method.reagent),
             ("standard", method.standard), ("set against", method.against))
    return MethodShown(
        named, method, cautions_of(of_nominals(method)),
        tuple(_reaction(one) for one in (method.reaction, method.reagent_reaction) if one),
        tuple((role, one.name, typographic(one.formula), one.equivalents) for role, one in roles if one is not None),
        tuple(_endpoint(one) for one in (method.first_endpoint, method.endpoint) if one is not None),
        tuple(f"{one.rule} {one.limit.text if one.limit else ''}".strip() + f" ({one.source})"
              for one in method.acceptance),
        tuple(f"{one.title}: {one.source}, {one.clause} ({one.status})" for one in method.examples),
        text, curve, reason, editions, any(one.sha256 == method.sha256 for one in editions))


def name_of(text: str) -> str:
    """Return the name that a method file gives itself.

    Raises:
        Refusal: it breaks a rule of method files; one sentence says which.
    """
    return parse_method(text, "the method").name


def _reaction(text: str) -> str:
    """Return a reaction with its digits lowered, its charges raised, and an arrow."""
    return " ".join("→" if one == "->" else one if one == "+" or one.isdigit() else typographic(one)
                    for one in text.split())


def _line(named: str, method: Method, adopted: str) -> MethodLine:
    return MethodLine(named, method.title, method.kind, method.determines, method.edition, adopted)


def _curve(named: str, method: Method) -> tuple[str, str]:
    try:
        return (method_curve_svg(method) if named.endswith(OWN) else library_curve_svg(named)), ""
    except Refusal as refusal:
        return "", f"{refusal.what[:1].upper()}{refusal.what[1:]}."


def _endpoint(one: Endpoint) -> str:
    seen = f"{one.indicator}, {one.colour_change}" if one.indicator else one.kind
    return f"{seen}; {error_in_words(one)}: {one.reason}"
