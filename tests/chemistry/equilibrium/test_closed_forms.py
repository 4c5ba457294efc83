"""The solvers beside closed forms that hold without activity coefficients: another road to the same number."""

import numpy as np
import pytest

from assaywright.chemistry.activity import IDEAL
from assaywright.chemistry.equilibrium import (
    Acid,
    AcidBaseTitration,
    ComplexometricTitration,
    Conditions,
    Couple,
    Ion,
    Medium,
    Metal,
    PrecipitationTitration,
    RedoxForm,
    RedoxTitration,
    Salt,
    Solution,
    StrongIon,
    solve_acid_base,
    solve_precipitation,
)
from assaywright.chemistry.temperature import nernst_slope_V

KW = 1e-14
PLAIN = Conditions(activity=IDEAL, pKw=14.0)
SODIUM, CHLORIDE = StrongIon("Na+", 1), StrongIon("Cl-", -1)
VOLUMES = np.concatenate((np.linspace(0.0, 24.9, 40), [24.999, 25.0, 25.001], np.linspace(25.1, 50.0, 40)))


def only_root_above_zero(coefficients):
    """Return the positive real root of a polynomial that has just one, by the eigenvalues of its companion matrix."""
    roots = np.roots(coefficients)
    real = roots[(np.abs(roots.imag) < 1e-6 * np.abs(roots.real)) & (roots.real > 0)].real
    assert real.size == 1
    return real[0]


def test_strong_acid_with_strong_base_is_a_quadratic():
    excess = (0.1 * 25.0 - 0.1 * VOLUMES) / (25.0 + VOLUMES)
    root = np.sqrt(excess**2 + 4 * KW)
    hydrogen = np.where(excess > 0, (excess + root) / 2, 2 * KW / (root - excess))
    titration = AcidBaseTitration(Solution(((CHLORIDE, 0.1),)), 25.0, Solution(((SODIUM, 0.1),)), PLAIN)
    assert titration.points(VOLUMES).values == pytest.approx(-np.log10(hydrogen), abs=1e-9)


@pytest.mark.parametrize("pKa", [2.0, 4.757, 9.25])
def test_a_weak_acid_with_strong_base_is_a_cubic(pKa):
    titration = AcidBaseTitration(
        Solution(((Acid("acid", (pKa,)), 0.1),)), 25.0, Solution(((SODIUM, 0.1),)), PLAIN)
    Ka = 10.0**-pKa
    for volume in VOLUMES[::5]:
        base, acid = 0.1 * volume / (25.0 + volume), 2.5 / (25.0 + volume)
        h = only_root_above_zero([1.0, Ka + base, Ka * (base - acid) - KW, -KW * Ka])
        assert titration.points(np.array([volume])).values[0] == pytest.approx(-np.log10(h), abs=1e-7)


def test_a_triprotic_acid_with_strong_base_is_a_quintic():
    pKa = (2.148, 7.198, 12.375)
    K1, K2, K3 = (10.0**-one for one in pKa)
    titration = AcidBaseTitration(
        Solution(((Acid("phosphoric acid", pKa), 0.1),)), 25.0, Solution(((SODIUM, 0.1),)), PLAIN)
    for volume in np.linspace(0.0, 90.0, 25):
        base, acid = 0.1 * volume / (25.0 + volume), 2.5 / (25.0 + volume)
        forms = np.array([1.0, K1, K1 * K2, K1 * K2 * K3])
        lost = np.array([0.0, K1, 2 * K1 * K2, 3 * K1 * K2 * K3])
        whole = np.polysub(np.polymul(forms, [1.0, base, -KW]), np.polymul([acid, 0.0], lost))
        h = only_root_above_zero(whole)
        assert titration.points(np.array([volume])).values[0] == pytest.approx(-np.log10(h), abs=1e-6)


def test_the_volume_at_a_pH_is_explicit():
    # V = V0 (charge of the analyte + [H+] - [OH-]) / (charge the titrant brings - [H+] + [OH-]); Butler 1998.
    pKa = (3.128, 4.761, 6.396)
    citric = Acid("citric acid", pKa)
    titration = AcidBaseTitration(Solution(((citric, 0.03),)), 25.0, Solution(((SODIUM, 0.1),)), PLAIN)
    pH = np.linspace(2.4, 11.5, 60)
    h = 10.0**-pH
    terms = [np.ones_like(h), *np.cumprod([10.0**-one / h for one in pKa], axis=0)]
    lost = sum(k * term for k, term in enumerate(terms)) / sum(terms)
    excess = KW / h - h
    volume = 25.0 * (0.03 * lost + excess) / (0.1 - excess)
    assert titration.points(volume).values == pytest.approx(pH, abs=1e-11)


def test_a_metal_with_its_ligand_is_a_quadratic():
    K = 10.0**10.65
    titration = ComplexometricTitration(
        Solution(((Metal("Ca2+", 2, 10.65), 0.01),)), 25.0, Solution(((Acid("ligand", (-3.0,)), 0.01),)),
        Medium(10.0, conditions=PLAIN), "Ca2+")
    metal, ligand = 0.25 / (25.0 + VOLUMES), 0.01 * VOLUMES / (25.0 + VOLUMES)
    b = 1 / K + ligand - metal
    root = np.sqrt(b**2 + 4 * metal / K)
    free = np.where(b < 0, (root - b) / 2, 2 * metal / K / (root + b))
    assert titration.points(VOLUMES).values == pytest.approx(-np.log10(free), abs=1e-7)


def test_a_salt_of_one_to_one_is_a_quadratic():
    Ksp = 10.0**-9.74
    titration = PrecipitationTitration(
        Solution(((Ion("Cl-", -1), 0.1),)), 25.0, Solution(((Ion("Ag+", 1), 0.1),)), (Salt("AgCl", "Cl-", 9.74),),
        "Ag+", "Ag+", PLAIN)
    volumes = VOLUMES[1:]
    excess = (0.1 * volumes - 2.5) / (25.0 + volumes)
    root = np.sqrt(excess**2 + 4 * Ksp)
    silver = np.where(excess > 0, (excess + root) / 2, 2 * Ksp / (root - excess))
    assert titration.points(volumes).values == pytest.approx(-np.log10(silver), abs=1e-8)


def test_a_salt_of_two_to_one_is_a_cubic():
    Ksp = 10.0**-11.95
    ions = ((Ion("Ag+", 1), 0.05), (Ion("CrO4 2-", -2), 0.01))
    state = solve_precipitation(ions, (Salt("Ag2CrO4", "CrO4 2-", 11.95, 2, 1),), "Ag+", PLAIN)
    # [Ag]^3 + (2 c - a) [Ag]^2 - 2 Ksp = 0 from 0.05 - [Ag] = 2 (0.01 - Ksp/[Ag]^2)
    silver = only_root_above_zero([1.0, 2 * 0.01 - 0.05, 0.0, -2 * Ksp])
    assert float(state.free["Ag+"]) == pytest.approx(silver, rel=1e-10)
    assert float(state.precipitated["Ag2CrO4"]) == pytest.approx(0.01 - Ksp / silver**2, rel=1e-10)


def equivalence_potential(couples, analyte, titrant, volume_mL, pH=0.0):
    titration = RedoxTitration(Solution(((RedoxForm(analyte), 0.1),)), 25.0, Solution(((RedoxForm(titrant), 0.02),)),
                               couples, pH)
    [point] = titration.equivalence_points()
    assert float(point.volume_mL) == pytest.approx(volume_mL, rel=1e-12)
    return float(titration.points(np.array([volume_mL])).values[0])


def test_the_equivalence_potential_is_the_mean_weighted_by_electrons():
    # (n1 E1 + n2 E2)/(n1 + n2) for iron(II) with permanganate at pH 0; Kolthoff and Furman 1931.
    couples = (Couple("Fe3+", "Fe2+", 1, 0.771), Couple("MnO4-", "Mn2+", 5, 1.51, protons=8))
    found = equivalence_potential(couples, "Fe2+", "MnO4-", 25.0)
    assert found == pytest.approx((0.771 + 5 * 1.51) / 6, abs=1e-4)


def test_the_equivalence_potential_with_permanganate_falls_with_the_pH():
    couples = (Couple("Fe3+", "Fe2+", 1, 0.771), Couple("MnO4-", "Mn2+", 5, 1.51, protons=8))
    found = equivalence_potential(couples, "Fe2+", "MnO4-", 25.0, pH=1.0)
    assert found == pytest.approx((0.771 + 5 * 1.51 - 8 * float(nernst_slope_V(25.0))) / 6, abs=1e-4)


def test_the_equivalence_potential_with_dichromate_depends_on_the_chromium():
    # E = (E1 + 6 E2)/7 + k/7 lg{[H+]^14/(2 [Cr3+])}; Skoog and West, from memory; it follows from Nernst's law.
    couples = (Couple("Fe3+", "Fe2+", 1, 0.771), Couple("Cr2O7 2-", "Cr3+", 6, 1.33, 14, 1, 2))
    volume = 25.0 * 0.1 / (6 * 0.02)
    found = equivalence_potential(couples, "Fe2+", "Cr2O7 2-", volume)
    chromium = 2 * 0.02 * volume / (25.0 + volume)
    by_chromium = float(nernst_slope_V(25.0)) * np.log10(2 * chromium)
    assert found == pytest.approx((0.771 + 6 * 1.33 - by_chromium) / 7, abs=1e-4)


def test_half_way_and_twice_the_equivalence_volume_stand_at_the_formal_potentials():
    couples = (Couple("Fe3+", "Fe2+", 1, 0.68, medium="1 mol/L H2SO4"),
               Couple("Ce4+", "Ce3+", 1, 1.44, medium="1 mol/L H2SO4"))
    titration = RedoxTitration(Solution(((RedoxForm("Fe2+"), 0.1),)), 25.0, Solution(((RedoxForm("Ce4+"), 0.1),)),
                               couples)
    assert titration.points(np.array([12.5, 50.0])).values == pytest.approx([0.68, 1.44], abs=1e-12)


def test_pure_water_is_neutral_at_every_temperature():
    for degrees in (5.0, 25.0, 50.0):
        conditions = Conditions(degrees)
        state = solve_acid_base(Solution(()), conditions)
        assert float(state.pH) == pytest.approx(conditions.ionisation_of_water / 2, abs=1e-6)


def test_an_open_carbonate_solution_has_its_closed_form():
    # [H+] = K1 c + Kw over [H+] for water under carbon dioxide, second step left out; Stumm and Morgan, chapter 4.
    from assaywright.chemistry.equilibrium import HeldAcid

    carbonic = Acid("carbonic acid", (6.352, 10.329))
    state = solve_acid_base(Solution(()), PLAIN, HeldAcid(carbonic, 1.43e-5))
    assert float(state.pH) == pytest.approx(-0.5 * np.log10(10.0**-6.352 * 1.43e-5 + KW), abs=1e-4)
