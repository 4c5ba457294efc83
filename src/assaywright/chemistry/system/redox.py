"""Redox couples by name: the half-reactions of what is in flask and burette, from the table of potentials."""

from collections.abc import Iterator
from fractions import Fraction
from itertools import islice
from math import lcm

from assaywright.chemistry.equilibrium import Solution
from assaywright.chemistry.equilibrium.redox import Couple, RedoxForm
from assaywright.chemistry.equilibrium.redox_titration import RedoxTitration
from assaywright.chemistry.reaction import Term, parse_reaction
from assaywright.chemistry.system.description import OwnCouple, Portion, System
from assaywright.chemistry.system.species import products, species_of
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import Potential, all_potentials, couples, potentials

SPECTATORS = ("e-", "H+", "OH-", "H2O")
NO_FORMS = ("(s)", "(g)", "(l)")


def redox_titration(system: System) -> RedoxTitration:
    """Return the redox titration that a system describes.

    Couples that are not named are taken from the table: for each substance the first that holds one of its species
    and no solid or gas.

    Arguments:
        system: of kind "redox".

    Raises:
        Refusal: no couple is held, or its potential in the medium is not.
    """
    named = system.couples or _obvious(system)
    found = tuple(_couple(one, system.medium) for one in named)
    forms = {form for one in found for form in (one.oxidised, one.reduced)}
    flask, burette = (_forms(portions, forms, dilution)
                      for portions, dilution in ((system.analyte, system.dilution), (system.titrant, 1.0)))
    return RedoxTitration(Solution(flask), system.flask_mL, Solution(burette), found,
                          0.0 if system.pH is None else system.pH, system.temperature_degC)


def _obvious(system: System) -> tuple[OwnCouple, ...]:
    names: list[str] = []
    for portion in (*system.analyte, *system.titrant):
        fitting = (name for one in products(portion.substance)[1] for name in _fitting(one.species, system.medium))
        names += list(islice(fitting, 1))
    if len(set(names)) < 2:
        raise Refusal("two redox couples are needed, and the table shows "
                      f"{' and '.join(names) or 'none'} for these substances", where="system",
                      remedy="name the couples as in the table of potentials, such as Fe3+/Fe2+")
    return tuple(map(OwnCouple, dict.fromkeys(names)))


def _fitting(species: str, medium: str) -> Iterator[str]:
    """Yield the couples in solution that hold a species, those with a potential in the medium only."""
    for name in couples():
        if not any(state in name for state in NO_FORMS) and species in species_of(tuple(name.split("/"))):
            held = {one.medium for one in all_potentials(name)}
            if not medium or medium in held:
                yield name


def _couple(one: OwnCouple, medium: str) -> Couple:
    wanted = one.medium or medium
    held = potentials(one.name, wanted if one.potential_V is None else "")
    chosen = next((each for each in held if each.couple == one.name), held[0])
    return _from_table(chosen, chosen.potential_V if one.potential_V is None else one.potential_V, wanted)


def _from_table(chosen: Potential, potential_V: float, medium: str) -> Couple:
    reaction = parse_reaction(chosen.half_reaction)
    left, right = ([term for term in side if term.species.text not in SPECTATORS]
                   for side in (reaction.left, reaction.right))
    if len(left) != 1 or len(right) != 1:
        raise Refusal(f"the half-reaction {chosen.half_reaction} has more than one form on a side", where="system",
                      remedy="choose another couple")
    whole = lcm(*(term.coefficient.denominator for term in (*reaction.left, *reaction.right)))
    electrons, protons = (int(whole * _count(reaction.left, what)) for what in ("e-", "H+"))
    hydroxide = int(whole * _count(reaction.right, "OH-"))
    return Couple(
        left[0].species.text, right[0].species.text, electrons, potential_V,
        0 if medium else protons + hydroxide, int(whole * left[0].coefficient), int(whole * right[0].coefficient),
        medium,
    )


def _count(side: tuple[Term, ...], species: str) -> Fraction:
    return sum((term.coefficient for term in side if term.species.text == species), Fraction(0))


def _forms(portions: tuple[Portion, ...], forms: set[str], dilution: float) -> tuple[tuple[RedoxForm, float], ...]:
    found: dict[str, float] = {}
    for portion in portions:
        for one in products(portion.substance)[1]:
            if one.species in forms:
                amount = one.count * portion.concentration_mol_per_L * dilution
                found[one.species] = found.get(one.species, 0.0) + amount
    return tuple((RedoxForm(name), amount) for name, amount in found.items())
