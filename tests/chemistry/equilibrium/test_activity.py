"""Models of activity beside measured mean coefficients of strong electrolytes, and what they do to a pH."""

import numpy as np
import pytest

from assaywright.chemistry.activity import DAVIES, IDEAL, SpecificInteraction, lg_gamma
from assaywright.chemistry.equilibrium import Acid, Conditions, Solution, StrongIon, solve_acid_base

# Robinson and Stokes, Electrolyte Solutions (1959), Appendix 8.10, mean molal coefficients at 25 °C, from memory.
MEASURED = {
    ("H+", "Cl-"): {0.1: 0.796, 0.5: 0.757, 1.0: 0.809, 2.0: 1.009, 3.0: 1.316},
    ("Na+", "Cl-"): {0.1: 0.778, 0.5: 0.681, 1.0: 0.657, 2.0: 0.668, 3.0: 0.714},
    ("Na+", "OH-"): {0.1: 0.764, 0.5: 0.688, 1.0: 0.677, 2.0: 0.707, 3.0: 0.782},
    ("K+", "Cl-"): {0.1: 0.770, 0.5: 0.649, 1.0: 0.604, 2.0: 0.573, 3.0: 0.569},
}
SPECIFIC = SpecificInteraction()


def mean_gamma(model, cation, anion, strength):
    """Return the mean activity coefficient of a salt of two single charges."""
    both = ((cation, strength), (anion, strength))
    screening = model.screening(strength, 25.0)
    each = [float(lg_gamma(model, 1, screening, strength)) + model.specific(ion, both) for ion in (cation, anion)]
    return 10.0 ** (sum(each) / 2)


@pytest.mark.parametrize("salt", MEASURED)
def test_specific_interaction_keeps_to_measured_coefficients_within_four_per_cent_up_to_three_molal(salt):
    for strength, measured in MEASURED[salt].items():
        assert mean_gamma(SPECIFIC, *salt, strength) == pytest.approx(measured, rel=0.045)


@pytest.mark.parametrize("salt", MEASURED)
def test_Davies_keeps_to_measured_coefficients_within_its_limit(salt):
    assert mean_gamma(DAVIES, *salt, 0.1) == pytest.approx(MEASURED[salt][0.1], rel=0.03)
    assert mean_gamma(DAVIES, *salt, 0.5) == pytest.approx(MEASURED[salt][0.5], rel=0.14)


def test_beyond_the_limit_of_Davies_only_specific_interaction_is_of_use():
    errors = {
        model: max(abs(mean_gamma(model, *salt, 1.0) / measured[1.0] - 1) for salt, measured in MEASURED.items())
        for model in (DAVIES, SPECIFIC)
    }
    assert errors[SPECIFIC] < 0.045
    assert errors[DAVIES] > 0.1


def test_activity_coefficients_are_one_where_nothing_is_dissolved():
    for model in (IDEAL, DAVIES, SPECIFIC):
        assert float(model.screening(0.0, 25.0)) == 0.0
        assert model.specific("H+", ()) == 0.0


def test_strong_acid_of_one_molar_has_the_pH_of_its_single_coefficient():
    state = solve_acid_base(Solution(((StrongIon("Cl-", -1), 1.0),)), Conditions(activity=SPECIFIC))
    # lg gamma(H+) = -D + 0.12 I; the convention that parts the mean coefficient is the model's own.
    assert float(state.pH) == pytest.approx(0.2040 - 0.12, abs=1e-3)
    assert float(state.hydrogen_mol_per_L) == pytest.approx(1.0, rel=1e-12)


def test_pKw_in_salt_water_passes_a_minimum_as_measured():
    # Harned and Owen, The Physical Chemistry of Electrolytic Solutions, ionisation of water in sodium chloride, from
    # memory: -lg [H+][OH-] falls to about 13.7 near 0.5 to 1 mol/kg and rises again.
    salt = np.array([0.01, 0.5, 1.0, 3.0])
    ions = ((StrongIon("Na+", 1), salt), (StrongIon("Cl-", -1), salt))
    state = solve_acid_base(Solution(ions), Conditions(activity=SPECIFIC))
    found = -np.log10(state.hydrogen_mol_per_L * state.hydroxide_mol_per_L)
    assert found[1:3] == pytest.approx([13.73, 13.75], abs=0.05)
    assert found[0] > found[1] < found[3]
    assert not state.beyond_limit.any()


def test_the_forms_of_an_acid_named_take_part_in_specific_interaction():
    plain = Acid("acetic acid", (4.757,))
    named = Acid("acetic acid", (4.757,), forms=("CH3COOH", "CH3COO-"))
    ions = ((StrongIon("Na+", 1), 1.05), (StrongIon("Cl-", -1), 1.0))
    without, with_forms = (
        float(solve_acid_base(Solution(((one, 0.1), *ions)), Conditions(activity=SPECIFIC)).pH)
        for one in (plain, named))
    # epsilon(Na+, CH3COO-) = 0.08 makes acetate more active, by 0.08 times the sodium.
    assert with_forms - without == pytest.approx(0.08 * 1.05, abs=0.001)
