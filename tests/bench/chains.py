"""Chains of worksheets, one kind for each shape of assay: standardise, then assay with what was standardised."""

from collections.abc import Callable, Mapping

from tests.bench.chance import Chance
from tests.bench.equipment import ALIKE_mL
from tests.bench.laboratory import Laboratory
from tests.bench.materials import Powder, PrimaryStandard, Sample, Titrant
from tests.bench.sheets import (
    Sheet,
    assay_back,
    assay_diluted,
    assay_pipetted,
    assay_two_endpoints,
    assay_weighed,
    standardise_by_solution,
    standardise_by_weighing,
)

NAOH = {"Na": 1, "O": 1, "H": 1}
PHTHALATE = PrimaryStandard(
    "potassium hydrogen phthalate", "C8H5KO4", {"C": 8, "H": 5, "K": 1, "O": 4}, 1, 1636.0, 99.98, 0.05
)
CARBONATE = PrimaryStandard("sodium carbonate", "Na2CO3", {"Na": 2, "C": 1, "O": 3}, 2, 2533.0, 99.97, 0.06)

Chain = tuple[Sheet, ...]


def _titrant(lab: Laboratory, name: str, formula: str, nominal: float) -> Titrant:
    concentration = nominal * (1 + lab.chance.uniform(-0.03, 0.03))
    return Titrant(name, formula, f"{nominal:g} mol/L", lab.solution(formula, concentration))


def _acid_by_carbonate(lab: Laboratory, nominal: float, number_n: int) -> tuple[Sheet, Titrant]:
    acid = _titrant(lab, "hydrochloric acid", "HCl", nominal)
    portion = nominal * 38 / 1000 * 105.988 / 2
    return standardise_by_weighing(lab, "first.toml", "hcl-by-sodium-carbonate", acid, CARBONATE, portion, number_n)


def _base_by_phthalate(lab: Laboratory, nominal: float, number_n: int) -> tuple[Sheet, Titrant]:
    base = _titrant(lab, "sodium hydroxide", "NaOH", nominal)
    portion = nominal * 38 / 1000 * 204.22
    return standardise_by_weighing(lab, "first.toml", "naoh-by-khp", base, PHTHALATE, portion, number_n)


def _caustic(lab: Laboratory, concentration: float, solute: str = "NaOH", thermal: str = "") -> Sample:
    solution = lab.solution(solute, concentration * (1 + lab.chance.uniform(-0.03, 0.03)))
    return Sample("caustic soda", "NaOH", NAOH, solution, solute, thermal)


def pipetted(lab: Laboratory, number_n: int) -> Chain:
    """Hydrochloric acid 0.5 mol/L by sodium carbonate, then caustic soda 0.5 mol/L by pipette."""
    standardisation, acid = _acid_by_carbonate(lab, 0.5, number_n)
    sample = _caustic(lab, 0.7, thermal="half_H2SO4_0.5_NaOH_0.5")
    return standardisation, assay_pipetted(lab, "assay.toml", "caustic-soda-by-acid", sample, acid, 25, number_n)


def weighed(lab: Laboratory, number_n: int) -> Chain:
    """Hydrochloric acid 0.5 mol/L by sodium carbonate, then caustic soda 17 % w/w by weighed portions."""
    standardisation, acid = _acid_by_carbonate(lab, 0.5, number_n)
    sample = _caustic(lab, 5.0, "strong NaOH")
    return standardisation, assay_weighed(lab, "assay.toml", "caustic-soda-by-acid", sample, acid, 4.0, number_n)


def diluted(lab: Laboratory, number_n: int) -> Chain:
    """Hydrochloric acid 0.5 mol/L by sodium carbonate, then caustic soda 20 % w/v diluted ten times."""
    standardisation, acid = _acid_by_carbonate(lab, 0.5, number_n)
    sample = _caustic(lab, 6.5, "strong NaOH")
    return standardisation, assay_diluted(lab, "assay.toml", "caustic-soda-by-acid", sample, acid, 25, 250, number_n)


def _acid_against_base(lab: Laboratory, strength: float, number_n: int) -> tuple[Sheet, Sheet, Titrant]:
    """Caustic by phthalate, and hydrochloric acid of the same strength [mol/L] against it."""
    first, base = _base_by_phthalate(lab, strength, number_n)
    sought = _titrant(lab, "hydrochloric acid", "HCl", strength)
    second, acid = standardise_by_solution(lab, "second.toml", "hcl-against-naoh", sought, base, 25, number_n)
    return first, second, acid


def chain_of_three(lab: Laboratory, number_n: int) -> Chain:
    """Caustic 0.5 mol/L by phthalate, hydrochloric acid against it, then caustic soda 0.6 mol/L by that acid."""
    first, second, acid = _acid_against_base(lab, 0.5, number_n)
    sample = _caustic(lab, 0.6, thermal="half_H2SO4_0.5_NaOH_0.5")
    return first, second, assay_pipetted(lab, "assay.toml", "caustic-soda-by-acid", sample, acid, 25, number_n)


def _lime(lab: Laboratory) -> Powder:
    content = 0.985 + lab.chance.uniform(-0.01, 0.01)
    return Powder("calcium carbonate", "CaCO3", {"Ca": 1, "C": 1, "O": 3}, 2, content, 2710.0)


def back(lab: Laboratory, number_n: int) -> Chain:
    """Caustic 1 mol/L by phthalate, hydrochloric acid against it, then calcium carbonate by excess of that acid."""
    first, base = _base_by_phthalate(lab, 1.0, number_n)
    sought = _titrant(lab, "hydrochloric acid", "HCl", 1.0)
    second, acid = standardise_by_solution(lab, "second.toml", "hcl-against-naoh", sought, base, 25, number_n)
    return first, second, assay_back(lab, "assay.toml", _lime(lab), base, acid, 1.0, 50, number_n)


def back_with_blank(lab: Laboratory, number_n: int) -> Chain:
    """Caustic 1 mol/L by phthalate, then calcium carbonate by excess of an acid, with blanks titrated likewise."""
    first, base = _base_by_phthalate(lab, 1.0, number_n)
    acid = _titrant(lab, "hydrochloric acid", "HCl", 1.0)
    return first, assay_back(lab, "assay.toml", _lime(lab), base, acid, 0.8, 25, number_n, blanks=3)


def two_endpoints(lab: Laboratory, number_n: int) -> Chain:
    """Hydrochloric acid 0.5 mol/L by sodium carbonate, then caustic soda with carbonate to two endpoints."""
    standardisation, acid = _acid_by_carbonate(lab, 0.5, number_n)
    sample = _caustic(lab, 0.5, thermal="half_H2SO4_0.5_NaOH_0.5")
    carbonate = 0.06 * (1 + lab.chance.uniform(-0.1, 0.1))
    return standardisation, assay_two_endpoints(lab, "assay.toml", sample, carbonate, acid, 25, number_n)


def standardisation_by_weighing(lab: Laboratory, number_n: int) -> Chain:
    """Caustic 0.1 mol/L by phthalate, and no assay."""
    return (_base_by_phthalate(lab, 0.1, number_n)[0],)


def standardisation_by_solution(lab: Laboratory, number_n: int) -> Chain:
    """Caustic 0.1 mol/L by phthalate, hydrochloric acid against it, and no assay."""
    return _acid_against_base(lab, 0.1, number_n)[:2]


SCHEMES: Mapping[str, Callable[[Laboratory, int], Chain]] = {
    "standardisation by weighing": standardisation_by_weighing,
    "standardisation by solution": standardisation_by_solution,
    "direct, pipetted": pipetted,
    "direct, weighed": weighed,
    "diluted, then aliquots": diluted,
    "back titration, reagent known": back,
    "back titration, blank likewise": back_with_blank,
    "two endpoints": two_endpoints,
    "standard solution against another, chain of three": chain_of_three,
}


def play(
    scheme: str,
    chance: Chance,
    *,
    number_n: int = 3,
    calibrated_burette: bool = False,
    alike_mL: tuple[float, float] = ALIKE_mL,
    at_20: bool = False,
) -> Chain:
    """Play one chain in a laboratory of its own.

    Arguments:
        scheme: a key of :data:`SCHEMES`.
        number_n: determinations in each worksheet.
        calibrated_burette, alike_mL, at_20: as for the laboratory.
    """
    lab = Laboratory(chance, calibrated_burette=calibrated_burette, alike_mL=alike_mL, at_20=at_20)
    return SCHEMES[scheme](lab, number_n)
