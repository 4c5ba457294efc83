"""What is irregular without being wrong: it is computed, told about, and held back where it must be."""

import math
from pathlib import Path

import pytest

import assaywright
from assaywright.assay.chain import open_ends
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.nominal import same_reaction
from assaywright.assay.worksheet import parse_worksheet
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds, standardisation

DEMO = Path(assaywright.__file__).parent / "cli" / "demo_files" / "laboratory"


def test_the_balances_linearity_counts_twice_in_a_worksheet_too():
    # EURACHEM/CITAC Guide CG 4, 3rd edition (2012), A2.4, step 3: 0.15 mg rectangular, twice: u(m) = 0.12 mg.
    outcome = evaluated(standardisation(masses=(0.3888, 0.3888, 0.3888), titres=(18.64, 18.64, 18.64)))
    parts = [one for one in outcome.result.estimate.contributions if "linearity of balance" in one.label]
    relative = math.hypot(*(one.amount for one in parts)) / outcome.result.estimate.value
    assert 388.8 * relative == pytest.approx(0.12, abs=0.005)


@pytest.mark.parametrize(("before", "after", "kind"), [
    ("C-2\", issued = 2026-03-01", "C-2\", issued = 2026-11-01", "calibrated-afterwards"),
    ("C-9\", issued = 2026-02-01", "C-9\", issued = 2026-10-06", "calibrated-afterwards"),
    ("RM-204\", issued = 2026-01-15", "RM-204\", issued = 2026-11-17", "calibrated-afterwards"),
    ("issued = 2026-01-15, due = 2028-01-31, traceable_to = \"SI\"", "due = 2028-01-31", "certificate-incomplete"),
])
def test_a_certificate_out_of_order_or_without_what_it_must_say_is_remarked_on(before, after, kind):
    sound = standardisation()
    assert before in sound
    assert kind not in kinds(evaluated(sound))
    assert kind in kinds(evaluated(sound.replace(before, after)))


def test_a_vessel_of_no_class_and_no_certificate_is_remarked_on():
    bare = standardisation().replace('class = "A"\nstandard = "ISO 385"', 'tolerance = "0.05 mL, triangular"')
    assert any("burette B-07 has no certificate" in one.what for one in evaluated(bare).remarks)
    assert not any("burette B-07" in one.what for one in evaluated(standardisation()).remarks)


def test_a_certificate_later_than_the_work_holds_it_back():
    late = standardisation().replace("RM-204\", issued = 2026-01-15", "RM-204\", issued = 2026-11-17")
    assert evaluated(standardisation()).releasable
    assert not evaluated(late).releasable


def test_a_bottle_opened_after_its_use_holds_the_result_back():
    held = evaluated(assay(titrant=f"{CERTIFIED}\nopened = 2026-10-20"))
    assert "dates-out-of-order" in kinds(held)
    assert not held.releasable


def test_a_titrants_certificate_with_nothing_but_a_number_is_remarked_on():
    bare = evaluated(assay(titrant='concentration = "0.1 mol/L ± 0.0001 mol/L, k = 2"\ncertificate = { id = "C-1" }'))
    assert "certificate-incomplete" in kinds(bare)
    assert "certificate-incomplete" not in kinds(evaluated(assay(titrant=CERTIFIED)))


def test_a_repeatability_of_the_method_file_is_not_taken_for_the_laboratorys():
    assert "repeatability-not-your-own" in kinds(evaluated(assay(titrant=CERTIFIED)))
    own = evaluated(assay(titrant=CERTIFIED, extra='[repeatability]\npooled = "0.05 %, 24 degrees of freedom"\n'))
    assert "repeatability-not-your-own" not in kinds(own)


def test_too_few_determinations_that_agree_are_held_for_their_number_alone():
    few = evaluated(assay(titrant=CERTIFIED, titres=(39.81, 39.82)))
    assert "too-few-replicates" in kinds(few)
    assert "replicates-not-accepted" not in kinds(few)
    apart = evaluated(assay(titrant=CERTIFIED, titres=(39.81, 40.82)))
    assert "replicates-not-accepted" in kinds(apart)


def test_the_chain_names_what_it_rests_on_without_a_certificate():
    ends = list(open_ends(evaluated(assay(), {"st1.toml": standardisation()}).chain))
    assert any("burette B-07" in end and "ISO 385" in end for end in ends)
    assert any("pipette P-02" in end for end in ends)
    assert not any("RM-204" in end or "BAL-2" in end or "thermometer" in end for end in ends)


def test_a_reaction_is_the_same_in_whatever_order_it_names_what_reacts():
    assert same_reaction("HCl + NaOH -> NaCl + H2O", "NaOH + HCl → H2O + NaCl")
    assert not same_reaction("H2SO4 + NaOH -> NaHSO4 + H2O", "H2SO4 + 2 NaOH -> Na2SO4 + 2 H2O")


def test_a_weaker_titrant_takes_more_of_it_to_turn_the_indicator():
    """The permanganate that colours the flask is an amount: 0.025 mL of 0.02 mol/L are 0.25 mL of 0.002 mol/L."""

    def error(nominal):
        titrant = f'concentration = "{nominal} mol/L ± 0.0000001 mol/L, k = 2"\n' + CERTIFIED.splitlines()[1]
        found = evaluated(assay("hydrogen-peroxide-by-permanganate", titrant=titrant, formula="KMnO4",
                                name="potassium permanganate", nominal=f"{nominal} mol/L"))
        return found.models[0].inputs["δV_e"].estimate

    assert error("0.02").value == pytest.approx(0.025)
    assert error("0.002").value == pytest.approx(0.25)
    assert error("0.002").standard_uncertainty == pytest.approx(10 * error("0.02").standard_uncertainty)


def test_an_error_left_in_the_uncertainty_grows_with_a_weaker_titrant_and_does_not_shrink_with_a_stronger():
    def error(nominal):
        titrant = f'concentration = "{nominal} mol/L ± 0.0000001 mol/L, k = 2"\n' + CERTIFIED.splitlines()[1]
        found = evaluated(assay("caustic-soda-by-acid", titrant=titrant, formula="HCl", name="hydrochloric acid",
                                nominal=f"{nominal} mol/L", titres=(39.8, 39.81, 39.8)))
        return found.models[0].inputs["δV_e"].estimate.standard_uncertainty

    assert error("0.1") == pytest.approx(10 * error("1"))
    assert error("2") == error("1")


@pytest.mark.parametrize(("density", "far"), [
    ("1.0385 g/mL ± 0.0005 g/mL, k = 2", False),
    ("1.3385 g/mL ± 0.0005 g/mL, k = 2", True),  # a digit mistyped
    ("0.05 g/mL ± 0.0005 g/mL, k = 2", True),  # lighter than what a litre of it holds
])
def test_a_density_of_the_sample_far_from_the_tables_is_asked_about(density, far):
    # acetic acid of about 5 mol/L, 30 % w/w: 1.0384 g/mL at 20 °C in handbooks of chemistry (from memory)
    text = (DEMO / "worksheets" / "0941-acetic-acid.toml").read_text(encoding="utf-8")
    assert text.count('density = "1.0385 g/mL') == 1
    text = text.replace('density = "1.0385 g/mL ± 0.0005 g/mL, k = 2"', f'density = "{density}"')
    sheet = parse_worksheet(text.encode(), str(DEMO / "worksheets" / "0941-acetic-acid.toml"))
    found = evaluate_worksheet(sheet, lambda path: Path(path).read_bytes())
    asked = [one for one in found.remarks if one.kind == "density-far-from-table"]
    assert bool(asked) is far
    assert all(not one.holds and one.where.endswith("sample, density") for one in asked)
