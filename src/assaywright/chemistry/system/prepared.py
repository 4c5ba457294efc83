"""From a described system to a titration that can be followed, and to the flask that an indicator sees."""

from collections.abc import Callable
from dataclasses import dataclass

from assaywright.chemistry.equilibrium import Titration
from assaywright.chemistry.equilibrium.redox_titration import RedoxTitration
from assaywright.chemistry.indicator_scale import Flask
from assaywright.chemistry.system.acid_base import acid_base_titration, conditions_of
from assaywright.chemistry.system.complexometric import complexometric_titration
from assaywright.chemistry.system.description import System
from assaywright.chemistry.system.precipitation import precipitation_titration
from assaywright.chemistry.system.redox import redox_titration
from assaywright.chemistry.system.species import HYDROXIDE, PROTON, products
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
    formula = "" if first.own is not None else substance(first.substance).formula
    analyte = "" if system.analyte[0].own is not None else substance(system.analyte[0].substance).formula
    return Prepared(titration, Flask(system.flask_mL, first.concentration_mol_per_L * _equivalents(system, titration),
                                     formula, analyte, system.pH, conditions=conditions_of(system)))


def _equivalents(system: System, titration: Titration) -> float:
    """Return the electrons, or the protons that strong acids and bases give or take, of one mole of the titrant."""
    first = system.titrant[0]
    given = () if first.own is not None else products(first.substance)[1]
    if isinstance(titration, RedoxTitration):
        forms = {form: couple.electrons / count for couple in titration.couples for form, count in
                 ((couple.oxidised, couple.oxidised_count), (couple.reduced, couple.reduced_count))}
        return next(product.count * forms[product.species] for product in given if product.species in forms)
    counted = sum(product.count for product in given if product.species in PROTONS_AND_THEIR_LACK)
    return counted or 1.0
