"""Redox couples by name: the half-reactions of what is in flask and burette, from the table of potentials."""

from fractions import Fraction
from functools import cache
from math import lcm

from assaywright.chemistry.equilibrium import Solution
from assaywright.chemistry.equilibrium.redox import Couple, RedoxForm
from assaywright.chemistry.equilibrium.redox_titration import RedoxTitration
from assaywright.chemistry.reaction import Term, parse_reaction
from assaywright.chemistry.system.description import OwnCouple, Portion, System
from assaywright.chemistry.system.species import dissolved, forms_of
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import Potential, all_potentials, couples, potentials

SPECTATORS = ("e-", "H+", "OH-", "H2O")
SOLIDS = ("(s)", "(g)", "(l)")


def redox_titration(system: System) -> RedoxTitration:
    """Return the redox titration that a system describes.

    Couples that are not named are taken from the table: the titrant's first, and for each analyte the first in which it
    gives what the titrant takes, or takes what it gives.

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


def alike(species: str, acids: tuple[str, ...]) -> tuple[str, ...]:
    """Return a species and every other form of its acid: oxalate stands for oxalic acid in a half-reaction."""
    family = next((forms for forms in map(forms_of, acids) if species in forms), ())
    return (species, *(one for one in family if one != species))


def _obvious(system: System) -> tuple[OwnCouple, ...]:
    """Return the first couple of the titrant, and of each analyte the first in which it plays the other part."""
    titrant = _first(system.titrant[0], system.medium, "")
    names = [titrant]
    oxidant = _is_oxidised(system.titrant[0], titrant)
    names += [_first(portion, system.medium, "reduced" if oxidant else "oxidised") for portion in system.analyte]
    return tuple(map(OwnCouple, dict.fromkeys(names)))


def _first(portion: Portion, medium: str, part: str) -> str:
    given = dissolved(portion.substance)
    for product in given.products:
        for name in couples():
            forms = _forms_of_couple(name)
            there = {"oxidised": forms[:1], "reduced": forms[1:]}.get(part, forms)
            fits = not medium or any(one.medium == medium for one in all_potentials(name))
            if fits and set(there) & set(alike(product.species, given.acids)):
                return name
    within = f" in {medium}" if medium else ""
    raise Refusal(f"no redox couple of {portion.substance}{within} is held", where="system",
                  remedy="name the couples as the table of potentials does, such as Fe3+/Fe2+")


def _is_oxidised(portion: Portion, couple: str) -> bool:
    given = dissolved(portion.substance)
    oxidised = _forms_of_couple(couple)[:1]
    return any(set(oxidised) & set(alike(product.species, given.acids)) for product in given.products)


@cache
def _forms_of_couple(name: str) -> tuple[str, ...]:
    """Return the oxidised and the reduced form of a couple in solution; nothing where a solid or gas takes part."""
    half_reaction = all_potentials(name)[0].half_reaction
    reaction = parse_reaction(half_reaction)
    sides = [[term.species.text for term in side if term.species.text not in SPECTATORS]
             for side in (reaction.left, reaction.right)]
    if any(state in half_reaction for state in SOLIDS) or any(len(side) != 1 for side in sides):
        return ()
    return sides[0][0], sides[1][0]


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
        given = dissolved(portion.substance)
        for product in given.products:
            name = next((one for one in alike(product.species, given.acids) if one in forms), "")
            if name:
                amount = product.count * portion.concentration_mol_per_L * dilution
                found[name] = found.get(name, 0.0) + amount
    return tuple((RedoxForm(name), amount) for name, amount in found.items())
