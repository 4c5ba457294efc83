"""What is dissolved: a substance by its name or formula, with and without its water of crystallisation."""

import math
import re
from dataclasses import dataclass

from assaywright.chemistry.formula import Formula, molar_mass, parse_formula
from assaywright.chemistry.reaction import parse_reaction
from assaywright.metrology.refusal import Refusal
from assaywright.reference.constants import SolubilityProduct, solids
from assaywright.reference.constants import solubility as product_of
from assaywright.reference.densities import Solubility, density_tables, solubilities
from assaywright.reference.substances import Substance, substance, substances

WARMEST_FOR_SOLUBILITY_DEGC = 25.0
SUPERSATURATION = 1.05
DISSOLVED_WITH_HELP = ("iodine",)  # in water alone hardly; a solution of it is one in iodide

MANY_TIMES = 30.0

_WATER = re.compile(r"(?:\d+(?:\.\d+)?|[½¼¾⅓⅔]|\d+/\d+)?\s*H2O")
_DOTS = re.compile(r"[·⋅•∙*․]")
_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


@dataclass(frozen=True, slots=True)
class Solute:
    """A substance as it is weighed and as it stands in solution.

    Fields:
        name: as the tables name it; the formula where they do not.
        formula: as weighed, with its water of crystallisation.
        anhydrous: without that water, as tables of solutions count it.
    """

    name: str
    formula: Formula
    anhydrous: Formula

    @property
    def is_hydrate(self) -> bool:
        """Whether it is weighed with water of crystallisation."""
        return not self.formula.is_same_entity(self.anhydrous)

    @property
    def anhydrous_share(self) -> float:
        """Mass of the anhydrous substance in a unit of mass as weighed [g/g]."""
        if not self.is_hydrate:
            return 1.0
        return molar_mass(self.anhydrous).value / molar_mass(self.formula).value

    def is_the_one(self, name: str, formula: str) -> bool:
        """Whether a table that counts a substance of this name and formula counts this solute.

        Carbon compounds of one formula may differ, so the first word of their names must agree as well.
        """
        if self.name.casefold() == name.casefold():
            return True
        if not self.anhydrous.is_same_entity(parse_formula(formula)):
            return False
        same_word = self.name.casefold().split()[0].strip(",") == name.casefold().split()[0].strip(",")
        return not self.anhydrous.count("C") or same_word or self.name == self.formula.text


def find_solute(name_or_formula: str) -> Solute:
    """Return a substance by its name, an alias or its formula.

    Arguments:
        name_or_formula: of a substance that is held; or any formula that can be read.

    Raises:
        Refusal: neither a name that is held nor a formula, or a formula that carries a charge.

    Example:
        >>> find_solute("sodium thiosulfate pentahydrate").anhydrous.text
        'Na2S2O3'
    """
    wanted = name_or_formula.strip()
    for one in density_tables():
        if wanted.casefold() == one.substance.casefold():
            return _solute(one.substance, one.formula)
    try:
        held = substance(wanted)
    except Refusal as unknown:
        gas = _gas_of(wanted)
        return _solute(gas.name, gas.formula) if gas is not None else _by_formula(wanted, unknown)
    return _solute(held.name, held.formula)


def _gas_of(formula: str) -> Substance | None:
    """Return the one gas of a formula; it stands for itself and for its solutions, which are held beside it."""
    found = [one for one in map(substance, substances()) if one.formula == formula]
    gases = [one for one in found if one.state == "gas"]
    others = [one for one in found if one.state not in ("gas", "solution")]
    return gases[0] if len(gases) == 1 and not others else None


def _by_formula(text: str, unknown: Refusal) -> Solute:
    """Return the solute of a formula that no substance held, or more than one, answers to."""
    try:
        formula = parse_formula(text)
    except Refusal as unreadable:
        raise (unreadable if re.match(r"[A-Z(\[][A-Za-z0-9()\[\]]*\d", text) else unknown) from None
    if formula.charge or not formula.atoms:
        raise Refusal(f"'{text}' is an ion, and a solution is made of a substance", where="substance",
                      remedy="name the substance, and the ion as what it is expressed as")
    return _solute(text, text)


def _solute(name: str, formula: str) -> Solute:
    parts = [part.strip() for part in _DOTS.split(formula.translate(_SUBSCRIPTS))]
    dry = [part for part in parts if not _WATER.fullmatch(part)]
    return Solute(name, parse_formula(formula), parse_formula("·".join(dry) or formula))


def other_forms(solute: Solute) -> tuple[Solute, ...]:
    """Return the solids held that differ from a substance by their water of crystallisation alone.

    Example:
        >>> [one.name for one in other_forms(find_solute("disodium edetate"))]
        ['disodium edetate dihydrate']
    """
    held = [_solute(one.name, one.formula) for one in map(substance, substances()) if one.state == "solid"]
    return tuple(one for one in held if one.anhydrous.is_same_entity(solute.anhydrous)
                 and not one.formula.is_same_entity(solute.formula))


def solubility(solute: Solute) -> Solubility | None:
    """Return how much of a solid dissolves in water, where that is held."""
    return next((one for one in solubilities() if solute.is_the_one(one.substance, one.formula)), None)


def check_dissolves(solute: Solute, mass_percent: float, temperature_degC: float) -> None:
    """Refuse a content that cannot be: below zero, above 100 % w/w, or more than dissolves.

    Arguments:
        solute: what is dissolved.
        mass_percent: of the solute as weighed [g in 100 g of solution].
        temperature_degC: of the solution; above 25 °C the solubility held says nothing [°C].

    Raises:
        Refusal: the content lies outside, or more than 5 % beyond the solubility at 20 °C.
    """
    if not 0 <= mass_percent <= 100 * (1 + 1e-12):
        raise Refusal(f"{mass_percent:.5g} % w/w of {solute.name} cannot be", where="content",
                      remedy="give a content from 0 to 100 % w/w; check the unit and the density")
    known = None if solute.name in DISSOLVED_WITH_HELP else solubility(solute)
    if known is None or temperature_degC > WARMEST_FOR_SOLUBILITY_DEGC:
        return
    counted = mass_percent * solute.anhydrous_share
    if counted > known.mass_percent * SUPERSATURATION:
        raise Refusal(
            f"{counted:.3g} % w/w of {solute.anhydrous.text} is more than dissolves in water at "
            f"{known.temperature_degC:g} °C, {known.mass_percent:.3g} % w/w", where="content",
            remedy=f"check the content and its unit (solubility: {known.source}, {known.status})",
        )


def greatest_dissolved_percent(solute: Solute, temperature_degC: float) -> float | None:
    """Return the mass per cent up to which a solution is believed: its solubility and 5 % of that [% w/w].

    Arguments:
        solute: what is dissolved; counted as weighed.
        temperature_degC: of the solution [°C].

    Returns: none where no solubility is held, or above 25 °C.
    """
    known = None if solute.name in DISSOLVED_WITH_HELP else solubility(solute)
    if known is None or temperature_degC > WARMEST_FOR_SOLUBILITY_DEGC:
        return None
    return known.mass_percent * SUPERSATURATION / solute.anhydrous_share


def check_sparing(solute: Solute, mass_concentration_g_per_L: float) -> None:
    """Refuse a solution of a sparingly soluble salt that holds many times what its solubility product allows.

    s = [Ksp / (a^a b^b)]^(1/(a + b)) of a salt of a and b ions, without activities, protons taken up or ion pairs,
    which let more dissolve; so only thirty times as much is refused. Of several solids the most soluble one counts.

    Arguments:
        solute: what is dissolved.
        mass_concentration_g_per_L: of the solute as weighed [g/L].

    Raises:
        Refusal: the content lies beyond that.

    Source: definition of the solubility product; the factor is common practice, no source.
    """
    products = [one for one in map(product_of, solids()) if one.chosen and _is_salt(one.formula, solute)]
    if not products:
        return
    lg_s, product = max(((_lg_solubility(one), one) for one in products), key=lambda pair: pair[0])
    dissolved_g_per_L = 10.0**lg_s * molar_mass(solute.anhydrous).value
    if mass_concentration_g_per_L * solute.anhydrous_share > MANY_TIMES * dissolved_g_per_L:
        raise Refusal(
            f"{mass_concentration_g_per_L:.3g} g/L of {solute.name} is far more than dissolves in water, about "
            f"{dissolved_g_per_L:.2g} g/L by its solubility product", where="content",
            remedy=f"check the content and its unit (pKsp {product.pKsp:g}: {product.source}, {product.status})",
        )


def _lg_solubility(product: SolubilityProduct) -> float:
    """Return the logarithm of s [mol/L] of one solid."""
    counts = [float(term.coefficient) for term in parse_reaction(product.equilibrium).right
              if term.species.text != "H2O"]
    return (-product.pKsp - sum(count * math.log10(count) for count in counts)) / sum(counts)


def _is_salt(formula: str, solute: Solute) -> bool:
    return solute.anhydrous.is_same_entity(_solute(formula, formula).anhydrous)
