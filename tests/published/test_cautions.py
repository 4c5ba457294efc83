"""Classes of dilute reagents against the bands of data sheets and the limits of the entries: every case held."""

import re

import pytest

from assaywright.chemistry.cautions import cautions
from tests.published.rows import read_reference

CASES = read_reference("titrimetry/ghs_dilution_checks.csv")
NAMES = {"perchloric acid in water": "perchloric acid", "ammonia": "ammonia solution", "iodine (in KI)": "iodine",
         "disodium EDTA": "disodium edetate", "zinc sulfate": "zinc sulfate heptahydrate"}
# What the table says beside its codes: metal corrosion is judged apart; the skin class comes in addition; the sheet's
# oxidiser category is named in words.
BESIDE = {
    "DC011": {"H290"},
    "DC020": {"H314", "H318"},
    "DC033": {"H272"},
}
# The solution's class rests on the hydrate; the mass fraction printed beside it counts the anhydrous salt.
OTHER_BASIS = {"DC042"}


def cautions_of(case):
    name = NAMES.get(case["substance"], case["substance"])
    strictest = name == "iodine"
    if case["unit"] == "% m/m":
        return cautions(name, mass_percent=float(case["concentration"]), strictest=strictest)
    return cautions(name, concentration_mol_per_L=float(case["concentration"]),
                    density_g_per_mL=float(case["density_g_per_mL_used"]), strictest=strictest)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['case_id']} {case['substance']}")
def test_a_solution_carries_the_classes_of_its_strength_and_no_others(case):
    expected = set(re.findall(r"(?:EU)?H\d{3}[A-Za-z]*", case["expected_classes_and_codes"]))
    found = {one.code for one in cautions_of(case).classes}
    assert found == expected | BESIDE.get(case["case_id"], set())


@pytest.mark.parametrize("case", [case for case in CASES if case["unit"] == "mol/L"], ids=lambda case: case["case_id"])
def test_the_mass_fraction_of_a_solution_is_that_of_the_table(case):
    ours = cautions_of(case).mass_percent
    if case["case_id"] in OTHER_BASIS:
        ours = cautions("zinc sulfate", concentration_mol_per_L=float(case["concentration"]),
                        density_g_per_mL=float(case["density_g_per_mL_used"])).mass_percent
    digits = len(case["mass_percent"].replace(".", "").lstrip("0"))
    printed = float(case["mass_percent"])
    assert ours == pytest.approx(printed, rel=0.6 * 10 ** (1 - digits))


def test_every_case_is_compared():
    assert len(CASES) == 33
    assert set(BESIDE) | OTHER_BASIS <= {case["case_id"] for case in CASES}
