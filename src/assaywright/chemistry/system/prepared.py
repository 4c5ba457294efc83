"""From a described system to a titration that can be followed, and to the flask that an indicator sees."""

from collections.abc import Callable
from dataclasses import dataclass

from assaywright.chemistry.equilibrium import Titration
from assaywright.chemistry.equilibrium.redox_titration import RedoxTitration
from assaywright.chemistry.indicator_scale import Flask
from assaywright.chemistry.system.acid_base import acid_base_titration, conditions_of
from assaywright.chemistry.system.complexometric import complexometric_titration
from assaywright.chemistry.system.description import Portion, System
from assaywright.chemistry.system.precipitation import precipitation_titration
from assaywright.chemistry.system.redox import alike, redox_titration
from assaywright.chemistry.system.species import HYDROXIDE, PROTON, dissolved
from assaywright.metrology.refusal import Refusal
from assaywright.reference.tables import substance

PROTONS_AND_THEIR_LACK = (PROTON, HYDROXIDE, "HSO4-")
BY_KIND: dict[str, Callable[[System], Titration]] = {
    "acid-base": acid_base_titration, "complexometric": complexometric_titration,
    "precipitation": precipitation_titration, "redox": redox_titration,
}


@dataclass(frozen=True, slots=True)
class Prepared:
    """A titration ready to be followed.

    Fields:
        titration: for :func:`assaywright.chemistry.curve.titration_curve`.
        flask: for :func:`assaywright.chemistry.indicator.rank_indicators`.
    """

    titration: Titration
    flask: Flask


def prepared(system: System) -> Prepared:
    """Return the titration that a system describes.

    Arguments:
        system: as a person says it.

    Raises:
        Refusal: a substance or a constant is not held; one sentence says which.
    """
    titration = BY_KIND[system.kind](system)
    first = system.titrant[0]
    titrant_mol_per_L = first.concentration_mol_per_L * _equivalents(system, titration)
    flask = Flask(system.flask_mL, titrant_mol_per_L, _formula(first), _formula(system.analyte[0]), system.pH,
                  conditions=conditions_of(system))
    return Prepared(titration, flask)


def _formula(portion: Portion) -> str:
    """Return the formula of a substance that the table holds; nothing for an ion or a substance of one's own."""
    try:
        return "" if portion.own is not None else substance(portion.substance).formula
    except Refusal:
        return ""


def _equivalents(system: System, titration: Titration) -> float:
    """Return the electrons, or the protons that strong acids and bases give or take, of one mole of the titrant."""
    first = system.titrant[0]
    if first.own is not None:
        return 1.0
    given = dissolved(first.substance)
    if isinstance(titration, RedoxTitration):
        forms = {form: couple.electrons / count for couple in titration.couples for form, count in
                 ((couple.oxidised, couple.oxidised_count), (couple.reduced, couple.reduced_count))}
        return next(product.count * forms[one] for product in given.products
                    for one in alike(product.species, given.acids) if one in forms)
    counted = sum(product.count for product in given.products if product.species in PROTONS_AND_THEIR_LACK)
    return counted or 1.0
