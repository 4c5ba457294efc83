"""Nominal concentrations in equivalents: the law of thermal expansion is that of the moles they stand for."""

from decimal import Decimal

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method
from assaywright.assay.nominal import nominal_in_moles
from assaywright.assay.observations import Solution
from assaywright.assay.solutions import law_of
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity

BY_ACID = "NaOH + HCl -> NaCl + H2O"
DICHROMATE = load_method("iron-by-dichromate").reaction
PERMANGANATE = load_method("oxalic-acid-by-permanganate").reaction


@pytest.mark.parametrize(("method", "formula", "reaction", "nominal", "moles"), [
    # one mole counts 1, 6 and 5 (definitions of the equivalent in these reactions, any textbook of volumetric analysis)
    ("caustic-soda-by-acid", "HCl", BY_ACID, "1 eq/L", "1"),
    ("caustic-soda-by-acid", "HCl", BY_ACID, "500 meq/L", "0.5"),
    ("caustic-soda-by-acid", "HCl", "", "500 mmol/L", "0.5"),
    ("iron-by-dichromate", "K2Cr2O7", DICHROMATE, "0.1 eq/L", "0.016667"),
    ("oxalic-acid-by-permanganate", "KMnO4", PERMANGANATE, "0.1 eq/L", "0.02"),
])
def test_a_nominal_concentration_is_brought_to_moles_by_its_reaction(method, formula, reaction, nominal, moles):
    loaded = load_method(method)
    solution = Solution(formula, formula, read_quantity(nominal), reaction=reaction)
    found = nominal_in_moles(solution, loaded.titrant, loaded, "titrant")
    assert (found.value, found.unit) == (Decimal(moles), "mol/L")
    assert law_of(solution, loaded.titrant, loaded, "titrant").law == dict(loaded.titrant.thermal)[f"{moles} mol/L"]


def test_without_its_reaction_it_is_refused_unless_the_solution_names_its_own_law():
    loaded = load_method("caustic-soda-by-acid")
    solution = Solution("acid", "HCl", read_quantity("1 eq/L"))
    with pytest.raises(Refusal, match="names no reaction"):
        law_of(solution, loaded.titrant, loaded, "titrant")
    assert law_of(Solution("acid", "HCl", read_quantity("1 eq/L"), thermal="HCl_1"), loaded.titrant, loaded,
                  "titrant").law == "HCl_1"


def test_a_titrant_in_equivalents_is_corrected_for_temperature_as_one_in_moles():
    """GB/T 601-2016, Table A.1: hydrochloric acid 0.5 mol/L has a column; it is also 0.5 eq/L for alkali."""
    text = load_method("caustic-soda-by-acid").example.worksheet.replace('temperature = "20.0 °C"',
                                                                        'temperature = "26.0 °C"')
    in_moles = text.replace('formula = "HCl"\n', f'formula = "HCl"\nreaction = "{BY_ACID}"\n')
    in_equivalents = in_moles.replace('nominal = "0.5 mol/L"', 'nominal = "0.5 eq/L"').replace(
        "0.5003 mol/L ± 0.0005 mol/L", "0.5003 eq/L ± 0.0005 eq/L")
    outcomes = [evaluate_worksheet(parse_worksheet(one.encode(), "w.toml"), open) for one in (in_moles, in_equivalents)]
    assert in_moles != in_equivalents
    values = [one.result.estimate.value for one in outcomes]
    assert values[1] == pytest.approx(values[0], rel=1e-12)
    kinds = [{remark.kind for remark in one.remarks} for one in outcomes]
    assert kinds[0] == kinds[1]
