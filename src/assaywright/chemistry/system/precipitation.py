"""Precipitates by name: which salts the ions of flask and burette can form, from the table of solubility products."""

from functools import cache

from assaywright.chemistry.equilibrium import Solution
from assaywright.chemistry.equilibrium.precipitation import Ion, Salt
from assaywright.chemistry.equilibrium.precipitation_titration import PrecipitationTitration
from assaywright.chemistry.reaction import parse_reaction
from assaywright.chemistry.system.acid_base import conditions_of
from assaywright.chemistry.system.description import Portion, System
from assaywright.chemistry.system.species import dissolved
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import SolubilityProduct, solids, solubility

SILVER = "Ag+"
Counts = tuple[tuple[str, int], ...]


def precipitation_titration(system: System) -> PrecipitationTitration:
    """Return the titration by precipitation that a system describes; the silver ion is followed where there is one.

    Arguments:
        system: of kind "precipitation".

    Raises:
        Refusal: nothing in the burette precipitates with anything in the flask, as far as the table goes.
    """
    flask, burette = _ions(system.analyte, system.dilution), _ions(system.titrant, 1.0)
    every = flask | burette
    common = _common_ion(flask, burette)
    salts = tuple(_salt(product, counts, common) for product, counts in _products()
                  if _pairs(counts, common) and all(ion in every for ion, _count in counts))
    followed = system.followed or common
    return PrecipitationTitration(Solution(tuple(flask.values())), system.flask_mL, Solution(tuple(burette.values())),
                                  salts, common, followed, conditions_of(system))


def salts_between(one: str, other: str) -> bool:
    """Whether the table holds a sparingly soluble salt of two ions."""
    return any({ion for ion, _count in counts} == {one, other} for _product, counts in _products())


def _ions(portions: tuple[Portion, ...], dilution: float) -> dict[str, tuple[Ion, float]]:
    found: dict[str, tuple[Ion, float]] = {}
    for portion in portions:
        for one in dissolved(portion.substance).products:
            if one.charge:
                before = found.get(one.species, (None, 0.0))[1]
                amount = before + one.count * portion.concentration_mol_per_L * dilution
                found[one.species] = (Ion(one.species, one.charge), amount)
    return found


def _common_ion(flask: dict[str, tuple[Ion, float]], burette: dict[str, tuple[Ion, float]]) -> str:
    """Return the ion that all precipitates share: silver where it is there, else the burette's."""
    found = [(ours, theirs) for theirs in burette for ours in flask if salts_between(ours, theirs)]
    if not found:
        raise Refusal(f"no sparingly soluble salt is held of {', '.join(burette)} with {', '.join(flask)}",
                      where="system", remedy="name a titrant that precipitates the analyte")
    return SILVER if any(SILVER in pair for pair in found) else found[0][1]


def _pairs(counts: Counts, common: str) -> bool:
    return len(counts) == 2 and common in dict(counts)


def _salt(product: SolubilityProduct, counts: Counts, common: str) -> Salt:
    counter, counter_count = next((ion, count) for ion, count in counts if ion != common)
    return Salt(product.formula, counter, product.pKsp, dict(counts)[common], counter_count,
                product.enthalpy_kJ_per_mol or 0.0, product.temperature_degC, product.ionic_strength_mol_per_L)


@cache
def _products() -> tuple[tuple[SolubilityProduct, Counts], ...]:
    """Return the chosen product of every solid that dissolves into two kinds of ion, one solid for each pair."""
    found: dict[frozenset[str], tuple[SolubilityProduct, Counts]] = {}
    for solid in solids():
        product = solubility(solid)
        right = [term for term in parse_reaction(product.equilibrium).right if term.species.text != "H2O"]
        counts = tuple((term.species.text, int(term.coefficient)) for term in right)
        if len(counts) == 2 and len(parse_reaction(product.equilibrium).left) == 1:
            found.setdefault(frozenset(dict(counts)), (product, counts))
    return tuple(found.values())
