"""Which of a method's cautions go with the strengths that stand on the bench: others are named as left out, no more."""

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from assaywright.assay.method import Cautions, Method
from assaywright.assay.solution_remarks import is_of
from assaywright.chemistry.classification import classify_solution
from assaywright.chemistry.strength import strength_of_concentration
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.reference.substances import substance

SOLUTIONS = ("titrant", "reagent", "against")
OTHER_USE = re.compile(r"\bfor the\b")  # a buffer of the same substance is of its own strength
_FIGURE = r"(\d+(?:\.\d+)?)"
_BANDS = (
    (re.compile(rf"(.+?), {_FIGURE} % to under {_FIGURE} % w/w"), lambda low, high: (float(low), float(high))),
    (re.compile(rf"(.+?), {_FIGURE} % w/w and more"), lambda low: (float(low), math.inf)),
    (re.compile(rf"(.+?),? under {_FIGURE} % w/w"), lambda high: (0.0, float(high))),
)


def of_strength(method: Method, heading: Mapping[str, Any], nominal: str = "") -> tuple[Cautions, tuple[str, ...]]:
    """Return a method's cautions with the bands of strength that a worksheet's solutions fall in, and those left out.

    A solution of another substance than the method names is cautioned about besides.

    All bands of a substance stay where one of its strengths is not known, and where none of them fits.

    Arguments:
        method: of the worksheet.
        heading: with the nominal concentrations of its solutions.
        nominal: content of the product with its unit.
    """
    strengths = _strengths(method, heading, nominal)
    banded = [(one, *_band(one.substance)) for one in method.cautions.hazards]
    fitting = {formula for _, formula, low, high in banded for found in strengths.get(formula, ())
               if low <= found < high}
    left_out = [one for one, formula, low, high in banded if formula in fitting
                and not any(low <= found < high for found in strengths[formula])]
    kept = tuple(one for one in method.cautions.hazards if one not in left_out)
    notes = (*_of_another_kind(method, heading), *method.cautions.notes)
    return replace(method.cautions, hazards=kept, notes=notes), tuple(one.substance for one in left_out)


def _of_another_kind(method: Method, heading: Mapping[str, Any]) -> Iterator[str]:
    """Yield a caution for each solution on the bench that is of another substance than the method names."""
    for role in SOLUTIONS:
        table, reactant = heading.get(role), getattr(method, role)
        if not isinstance(table, Mapping) or reactant is None:
            continue
        formula = str(table.get("formula", ""))
        try:
            if is_of(formula, reactant):
                continue
        except Refusal:
            continue
        name = str(table.get("name", "")) or formula
        yield (f"{name} ({formula}) stands on the bench, and these cautions are written for {reactant.name}: "
               f"{_codes(formula, str(table.get('nominal', '')))}. Read its safety data sheet first")


def _codes(formula: str, nominal: str) -> str:
    """Return the hazard statements of a solution by its strength, in words that say where none is known."""
    percent = _mass_percent(_as_held(formula), nominal)
    try:
        classes = classify_solution(substance(formula).name, percent) if percent is not None else None
    except Refusal:
        classes = None
    if classes is None:
        return "its hazards are not held here"
    return ", ".join(dict.fromkeys(one.code for one in classes if one.code)) or "not classified at this strength"


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


def _strengths(method: Method, heading: Mapping[str, Any], nominal: str) -> dict[str, list[float]]:
    """Return the mass fractions [%] of each substance on the bench, by its formula; none where one is not known."""
    found: dict[str, list[float]] = {}
    unknown = set()
    for written, text in _stated(method, heading, nominal):
        formula = _as_held(written)
        percent = _mass_percent(formula, text)
        if percent is None:
            unknown.add(formula)
        else:
            found.setdefault(formula, []).append(percent)
    return {formula: one for formula, one in found.items() if formula not in unknown}


def _stated(method: Method, heading: Mapping[str, Any], nominal: str) -> Iterator[tuple[str, str]]:
    for role in SOLUTIONS:
        if isinstance(table := heading.get(role), Mapping):
            yield str(table.get("formula", "")), str(table.get("nominal", ""))
    if method.kind == "assay":
        yield method.analyte.formula, nominal


def _as_held(formula: str) -> str:
    """Return a formula as the table of substances writes it; as it is where none is held."""
    try:
        return substance(formula).formula
    except Refusal:
        return formula


def _mass_percent(formula: str, text: str) -> float | None:
    text = text.replace(",", ".").replace(" w/w", "")
    try:
        if text.endswith("%"):
            return float(text.removesuffix("%"))
        concentration = float(read_quantity(text, "mol/L").to("mol/L"))
        return strength_of_concentration(substance(formula), concentration).mass_percent
    except (Refusal, ValueError):
        return None
