"""Cautions by the strengths that stand on the bench: each solution as its label has it, other strengths left out."""

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from assaywright.assay.method import Cautions, Hazard, Method, Reactant
from assaywright.assay.solution_remarks import is_of
from assaywright.chemistry.solution_hazards import SolutionHazards, is_in_water, mass_percent_of, solution_hazards
from assaywright.metrology.refusal import Refusal
from assaywright.reference.safety import Incompatibility, hazard_statement, incompatibilities
from assaywright.reference.substances import substance

SOLUTIONS = ("titrant", "reagent", "against")
BELOW_LIMITS = "below the limits of classification; goggles all the same"
OTHER_USE = re.compile(r"\bfor the\b")  # a buffer of the same substance is of its own strength
_FIGURE = r"(\d+(?:\.\d+)?)"
_ANY = (0.0, math.inf)
_BANDS = (
    (re.compile(rf"(.+?), {_FIGURE} % to under {_FIGURE} % w/w"), lambda low, high: (float(low), float(high))),
    (re.compile(rf"(.+?), {_FIGURE} % to {_FIGURE} % w/w"), lambda low, high: (float(low), float(high))),
    (re.compile(rf"(.+?), (?:solid and solutions of )?{_FIGURE} % w/w and more"), lambda low: (float(low), math.inf)),
    (re.compile(rf"(.+?),? under {_FIGURE} % w/w"), lambda high: (0.0, float(high))),
    (re.compile(r"(.+?) solution, [\d.]+ mol/L \([^)]*\)$"), lambda: _ANY),
    (re.compile(r"(.+?), solid and solutions$"), lambda: _ANY),
)
_EQUIVALENTS = re.compile(r"(\d+(?:[.,]\d+)?) ?(?:eq/L|N)\b")
_HEAD = re.compile(r"(?:,| solution\b).*")


@dataclass(frozen=True, slots=True)
class _Standing:
    """One solution on the bench: what it is, how strong, and what its label states; none where that is not known."""

    formula: str
    words: str
    percent: float | None
    label: SolutionHazards | None
    instead_of: Reactant | None = None


def of_strength(method: Method, heading: Mapping[str, Any], nominal: str = "") -> tuple[Cautions, tuple[str, ...]]:
    """Return a method's cautions with each solution of a worksheet as its label has it, and the bands left out.

    A solution in water whose classes by strength are held is cautioned about by its very strength, the same as on its
    label; the method's own lines of that substance give way to it. All of them stay where a strength is not known. A
    solution of another substance than the method names stands in its place, with what it must not meet.

    Arguments:
        method: of the worksheet.
        heading: with the nominal concentrations of its solutions, or those found where none is stated.
        nominal: content of the product with its unit.
    """
    standing = tuple(_standing(method, heading, nominal))
    unknown = {one.formula for one in standing if one.percent is None}
    labelled = [one for one in standing if one.label is not None and one.formula not in unknown]
    banded = [(one, *_band(one.substance)) for one in method.cautions.hazards]
    known = {one.formula for one in labelled}
    given_way = [one for one, formula, _, _ in banded if formula in known]
    others = [(one, *band) for one, *band in banded if one not in given_way]
    left_out = [one for one, formula, low, high in banded
                if formula in known and not _fits(labelled, formula, low, high)]
    left_out += _of_strengths(others, standing, unknown)
    gone = [one for one in standing if one.instead_of is not None]
    absent = [one for one in method.cautions.hazards if any(_is_only(one, other, standing) for other in gone)]
    absent += [one for one in method.cautions.hazards if _is_solid_analyte(one, method, standing)]
    out = [*given_way, *left_out, *absent]
    told = tuple(dict.fromkeys(_told(one) for one in labelled))
    hazards = (*told, *(one for one in method.cautions.hazards if one not in out))
    named = tuple(dict.fromkeys(one.substance for one in method.cautions.hazards if one in left_out or one in absent))
    return replace(method.cautions, hazards=hazards, incompatibilities=_pairs(method, gone, standing),
                   notes=(*map(_note, gone), *method.cautions.notes)), named


def of_nominals(method: Method) -> Cautions:
    """Return a method's cautions with its solutions by each nominal concentration that it is meant for.

    A line of the method of another strength stays: of a stock, or of the product.
    """
    named = [one for role in SOLUTIONS if (one := getattr(method, role)) is not None]
    standing = [_solution(one.formula, one.name, nominal.text, None, equivalents=one.equivalents,
                          in_water=is_in_water(one.name) and _is_held(one.name))
                for one in named for nominal in one.nominal]
    labelled = [one for one in standing if one.label is not None]
    kept = (one for one in method.cautions.hazards if not _fits(labelled, *_band(one.substance)))
    return replace(method.cautions, hazards=(*dict.fromkeys(map(_told, labelled)), *kept))


def hazard_words(one: Hazard) -> str:
    """Return a hazard in a sentence: signal word, substance, statements, and what else to know of it."""
    said = "; ".join(one.statements) or ", ".join(one.codes) or "not classified"
    return f"{one.signal_word or 'No signal word'}: {one.substance} ({said}){f': {one.remark}' if one.remark else ''}."


# --- what stands on the bench -----------------------------------------------------------------------------------------


def _standing(method: Method, heading: Mapping[str, Any], nominal: str) -> Iterator[_Standing]:
    for role in SOLUTIONS:
        table, reactant = heading.get(role), getattr(method, role)
        if not isinstance(table, Mapping) or reactant is None:
            continue
        own = _is_own(str(table.get("formula", "")), reactant)
        named = str(table.get("name", ""))
        name, formula = (reactant.name, reactant.formula) if own else (named, str(table.get("formula", "")))
        content = str(table.get("nominal", "") or table.get("concentration", ""))
        of = reactant.equivalents if own else 0
        in_water = is_in_water(named) and is_in_water(name) and (not own or _is_held(name))
        yield _solution(formula, name, content, None if own else reactant, in_water=in_water, equivalents=of)
    if method.kind == "assay" and _is_solution(method, nominal):
        yield _solution(method.analyte.formula, method.analyte.name, nominal, None, in_water=True)


def _is_held(name: str) -> bool:
    """Whether a reactant is a substance by its name: "bromine, from bromate and bromide" is none."""
    try:
        return bool(substance(name))
    except Refusal:
        return False


def _is_own(formula: str, reactant: Reactant) -> bool:
    try:
        return is_of(formula, reactant)
    except Refusal:
        return True


def _is_solution(method: Method, nominal: str) -> bool:
    """Whether a product is a solution, by its unit or by the method's own lines of its strengths."""
    of = _as_held(method.analyte.formula, method.analyte.name)
    return "/L" in nominal or "w/v" in nominal or any(_band(one.substance)[0] == of for one in method.cautions.hazards)


def _solution(formula: str, name: str, content: str, instead_of: Reactant | None, *, in_water: bool,
              equivalents: int = 0) -> _Standing:
    held = _name_held(formula, name)
    percent = mass_percent_of(held, _of_entities(content, equivalents))
    label = None
    if percent is not None and in_water:
        try:
            label = solution_hazards(held, percent)
        except Refusal:
            label = None
    words = label.substance if label else name or formula
    named = "solution" in words or (instead_of is not None and label is None)
    words += f"{'' if named else ' solution'}, {content}"
    if percent is not None and "w/w" not in content and not content.endswith("%"):
        words += f", {percent:.3g} % w/w"
    return _Standing(_as_held(formula, name), words, percent, label, instead_of)


def _of_entities(content: str, equivalents: int) -> str:
    """Return a concentration in eq/L as one in mol/L of the entities that the method's reaction counts."""
    found = _EQUIVALENTS.match(content)
    return f"{float(found[1].replace(',', '.')) / equivalents:g} mol/L" if found and equivalents else content


def _name_held(formula: str, name: str) -> str:
    """Return what the table of substances knows a solution by: its formula, or its name where that is of several."""
    for one in (formula, name):
        try:
            return substance(one).name
        except Refusal:
            continue
    return formula


def _as_held(formula: str, name: str = "") -> str:
    """Return a formula as the table of substances writes it; as it is where none is held."""
    try:
        return substance(_name_held(formula, name)).formula
    except Refusal:
        return formula


# --- which lines of the method go with it -----------------------------------------------------------------------------


def _band(words: str) -> tuple[str, float, float]:
    """Return formula and band of mass fraction [%] of a caution; no formula where it is of no band."""
    for pattern, ends in _BANDS:
        found = pattern.match(words)
        if found is None or OTHER_USE.search(words):
            continue
        try:
            formula = substance(found[1].removesuffix(" solution")).formula
        except Refusal:
            break
        return formula, *ends(*found.groups()[1:])
    return "", 0.0, 0.0


def _fits(standing: Sequence[_Standing], formula: str, low: float, high: float) -> bool:
    return any(one.formula == formula and one.percent is not None and low <= one.percent < high for one in standing)


def _of_strengths(banded: Sequence[Any], standing: Sequence[_Standing], unknown: set[str]) -> list[Hazard]:
    """Return the lines of other bands of a substance whose classes by strength are not held, where one band fits."""
    fitting = {formula for _, formula, low, high in banded if _fits(standing, formula, low, high)} - unknown
    return [one for one, formula, low, high in banded if formula in fitting and not _fits(standing, formula, low, high)]


def _is_only(hazard: Hazard, gone: _Standing, standing: Sequence[_Standing]) -> bool:
    """Whether a line speaks of the method's own solution alone, which another one takes the place of."""
    own = gone.instead_of
    if own is None or OTHER_USE.search(hazard.substance):
        return False
    formula = _as_held(own.formula, own.name)
    if any(one.formula == formula for one in standing):
        return False
    head = _HEAD.sub("", hazard.substance)
    held = _as_held(head)
    return _band(hazard.substance)[0] == formula or head == own.name or (held != head and _is_own(held, own))


def _is_solid_analyte(hazard: Hazard, method: Method, standing: Sequence[_Standing]) -> bool:
    """Whether a line speaks of the analyte as a solid, while the product is a solution of it."""
    if method.kind != "assay" or not hazard.substance.endswith(", solid"):
        return False
    formula = _as_held(method.analyte.formula, method.analyte.name)
    dissolved = any(one.formula == formula and one.label is not None for one in standing)
    return dissolved and _as_held(_HEAD.sub("", hazard.substance)) == formula


def _told(one: _Standing) -> Hazard:
    label = one.label
    if label is None:
        raise TypeError(one.words)
    remark = "; ".join((*([] if label.codes else [BELOW_LIMITS]), *label.near))
    return Hazard(one.words, label.codes, label.signal_word, "; ".join(label.sources),
                  tuple(f"{code} {hazard_statement(code)}" for code in label.codes), remark)


# --- a solution of another substance ----------------------------------------------------------------------------------


def _note(one: _Standing) -> str:
    own = one.instead_of.name if one.instead_of else ""
    held = "" if one.label else ", whose hazards are not held here at its strength"
    return f"{one.words} stands on the bench in place of {own}{held}: read its safety data sheet first"


def _pairs(method: Method, gone: Sequence[_Standing], standing: Sequence[_Standing]) -> tuple[str, ...]:
    """Return what must not meet: the method's pairs without those of a solution not here, and those of the other."""
    absent = {one.instead_of.name for one in gone if one.instead_of
              and not any(other.formula == _as_held(one.instead_of.formula) for other in standing)}
    kept = [one for one in method.cautions.incompatibilities if not any(one.startswith(name) for name in absent)]
    for one in gone:
        name = _name_held(one.formula, "")
        partners = dict.fromkeys(partner for pair in _held_pairs(name) if (partner := _partner(pair, name)))
        if partners:
            kept.append(f"{name} is kept apart from {'; '.join(partners)}")
    return tuple(kept)


def _held_pairs(name: str) -> tuple[Incompatibility, ...]:
    try:
        return incompatibilities(name)
    except Refusal:
        return ()


def _partner(pair: Incompatibility, name: str) -> str:
    """Return what a solution must not meet, and what then happens; empty for what only the strong one does."""
    named = name in pair.one
    own, partner = (pair.one, pair.other) if named else (pair.other, pair.one)
    if "concentrated" in own or not (pair.severity == "severe" or named):
        return ""
    return f"{partner} ({pair.effect}{f': {pair.product}' if pair.product else ''})"
