"""How much of an alkali is carbonate: what two endpoints lie apart by, and what other indicators stop short of."""

from dataclasses import replace

from assaywright.assay.method import ALKALI_SCHEMES, Method
from assaywright.assay.plan.product import Product
from assaywright.chemistry.content_units import AS_AMOUNT, AS_EQUIVALENTS
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.system import Portion, System

# How much of an alkali is taken to be carbonate where the product does not say: common practice, no source.
ASSUMED_CARBONATE = 0.01
CARBONATES = {"NaOH": "Na2CO3", "KOH": "K2CO3"}  # what the air makes of a hydroxide, two equivalents to one carbonate
PROTONS = 2


def carbonate_share(wanted: Product, method: Method) -> float:
    """Return which share of the alkali is carbonate, in equivalents [1]; none but for the methods that find both."""
    if method.scheme not in ALKALI_SCHEMES:
        return 0.0
    parts = {one.part: one for one in method.result.measurands}
    soda, total = parts["carbonate"], parts["total"]
    return _share(wanted, (total.formula, total.equivalents), (soda.formula, soda.equivalents))


def carbonate_beside(wanted: Product, method: Method) -> float:
    """Return which share of a hydroxide titrated as one is carbonate, in equivalents [1]; none for anything else.

    Arguments:
        wanted: the product, which may state it.
        method: a direct titration of a hydroxide with acid.
    """
    formula = method.analyte.formula
    if formula not in CARBONATES or method.scheme != "direct" or method.type != "acid-base":
        return 0.0
    return _share(wanted, (formula, 1), (CARBONATES[formula], PROTONS))


def with_carbonate(system: System, share: float) -> System:
    """Return the titration of a hydroxide with a share of its alkali as carbonate, the acid it takes being the same.

    Arguments:
        system: with the hydroxide alone in the flask.
        share: in equivalents [1].
    """
    if not share or len(system.analyte) != 1 or system.analyte[0].substance not in CARBONATES:
        return system
    whole = system.analyte[0]
    soda = Portion(CARBONATES[whole.substance], whole.concentration_mol_per_L * share / PROTONS)
    hydroxide = replace(whole, concentration_mol_per_L=whole.concentration_mol_per_L * (1 - share))
    return replace(system, analyte=(hydroxide, soda))


def _share(wanted: Product, alkali: tuple[str, int], soda: tuple[str, int]) -> float:
    """Return the share, from formulas and equivalents; by what the product states, else as assumed."""
    if wanted.carbonate is None:
        return ASSUMED_CARBONATE
    share = float(wanted.carbonate.value / wanted.nominal.value)
    if wanted.nominal.unit in AS_EQUIVALENTS:
        return share
    share *= soda[1] / alkali[1]
    if wanted.nominal.unit in AS_AMOUNT:
        return share
    return share * molar_mass(alkali[0]).value / molar_mass(soda[0]).value
