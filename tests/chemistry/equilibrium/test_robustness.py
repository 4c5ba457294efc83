"""Random systems, fewer than the command of the module ``robustness`` solves, in every run of the tests."""

import numpy as np
import pytest

from assaywright.chemistry.equilibrium import acid_base, solve_acid_base
from tests.chemistry.equilibrium import laws, random_systems, robustness

SYSTEMS_OF_A_KIND = 1000


@pytest.mark.parametrize("kind", robustness.KINDS)
def test_random_systems_of_every_kind_obey_their_laws(kind):
    found = robustness.breaches(kind, SYSTEMS_OF_A_KIND, at_once=20, seed=1)
    assert found.size == SYSTEMS_OF_A_KIND
    assert robustness.failures(found) == 0, f"worst breach {np.max(found):.1e}"


def test_a_system_without_an_answer_and_one_that_breaks_a_law_count_as_failures():
    assert robustness.failures(np.array([0.0, np.nan, 2e-10, 1e-11, np.inf])) == 3


def test_brackets_alone_find_what_the_quick_way_finds(monkeypatch):
    chance = np.random.default_rng(3)
    systems = [random_systems.acid_base(chance, 20) for _ in range(20)]
    quick = [solve_acid_base(*one) for one in systems]
    monkeypatch.setattr(acid_base, "GREATEST_TURNS", 0)
    for one, found in zip(systems, quick, strict=True):
        sure = solve_acid_base(*one)
        # Where hardly anything but neutral salts is dissolved, rounding leaves the pH less than twelve digits.
        assert sure.pH == pytest.approx(found.pH, abs=1e-6)
        assert sure.ionic_strength_mol_per_L == pytest.approx(found.ionic_strength_mol_per_L, rel=1e-9)
        assert np.max(sure.relative_residual) < robustness.GREATEST_BREACH


def test_a_slightly_wrong_answer_is_noticed(monkeypatch):
    right = laws.solve_acid_base

    def slightly_wrong(*system):
        state = right(*system)
        return type(state)(state.pH + 1e-8, *(getattr(state, name) for name in state.__slots__[1:]))

    monkeypatch.setattr(laws, "solve_acid_base", slightly_wrong)
    found = robustness.breaches("acid-base", 100, at_once=20, seed=1)
    assert robustness.failures(found) == 100
