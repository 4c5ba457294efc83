"""Caustic soda with carbonate by two endpoints, against question banks, pharmacopoeias and a paper's error case.

The cases are entered as worksheets and evaluated; volumes are those printed. W3 prints a wrong answer for hydroxide,
which ours must not be. The cases reckon with no titration error, so the worksheets state none in the place of the
method's. Rows without a printed figure of their own are named in ``NO_OUTSIDE_CHECK`` with the reason.
"""

import csv
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method
from assaywright.assay.result import Outcome
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import conversion
from tests.published.rows import STATUS_OF_REFERENCE_FILES, PublishedRow, as_parameters, assert_agrees

CASES = Path(__file__).parents[1] / "reference" / "titrimetry" / "warder_winkler_examples.csv"
NO_OUTSIDE_CHECK = {
    "S1 specification": "limits of a product, nothing to compute",
    "S3": "a rule of diagnosis without figures; tested below as a rule",
    "S4": "a rule of diagnosis without figures; tested below as a rule",
    "S5": "a procedure with barium chloride, without figures",
    "S6 stated bias": "a sentence without figures",
    "W5": "the source prints the question only; tested below by plain arithmetic",
    "W7": "the source prints the question only, with a volume that looks misprinted",
}
PRINTED_WRONG = {("W3", "NaOH")}
SAMPLE = {"W1": (25, "0.1", "25.00 mL", "30.00 mL"), "W3": (20, "0.1", "17.50 mL", "20.00 mL"),
          "W5": (20, "0.7", "14.40 mL", "18.90 mL")}
W3_SAMPLE_G_PER_L = 10.0
WORKSHEET = """
format = "assaywright worksheet 1"
kind = "assay"
id = "WS-TWO"
method = "caustic-soda-two-endpoints"
performed = 2026-04-15
analyst = "Ines Okafor"
titration_error = "0 mL ± 0.105 mL, rectangular"
[sample]
product = "sodium hydroxide with carbonate"
lot = "0419"
[titrant]
name = "hydrochloric acid"
formula = "HCl"
nominal = "{acid} mol/L"
thermal = "water"
concentration = "{acid} mol/L ± 0.0001 mol/L, k = 2"
certificate = {{ id = "C-121", issued = 2026-03-02, due = 2026-12-31, traceable_to = "SI" }}
[vessels.burette]
kind = "burette"
id = "B-07"
nominal = "50 mL"
tolerance = "0.05 mL, triangular"
[vessels.pipette]
kind = "pipette"
id = "P-1"
nominal = "{pipette} mL"
tolerance = "0.03 mL, triangular"
[thermometers.thermometer]
id = "T-3"
uncertainty = "0.5 °C, rectangular"
"""
DETERMINATION = """
[[determination]]
pipette = "pipette"
sample_temperature = "20.0 °C"
initial = "0.00 mL"
first = "{first}"
final = "{final}"
temperature = "20.0 °C"
"""


@cache
def cases() -> tuple[dict[str, str], ...]:
    with CASES.open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


@cache
def titrated(pipette: int, acid: str, first: str, final: str, times: int = 1) -> Outcome:
    """Evaluate equal titrations of a portion with acid, to both endpoints, all at 20 °C."""
    text = WORKSHEET.format(pipette=pipette, acid=acid) + DETERMINATION.format(first=first, final=final) * times
    return evaluate_worksheet(parse_worksheet(text.encode(), "two endpoints"), _no_file)


def _no_file(path: str) -> bytes:
    raise AssertionError(f"these cases rest on no other file, and {path} was asked for")


def g_per_L(outcome: Outcome, measurand: str) -> float:
    result = next(one for one in outcome.results if one.measurand == measurand)
    return result.estimate.value * conversion(result.estimate.unit, "g/L")[0]


def measurand_of(component: str) -> str:
    return {"NaOH": "sodium hydroxide", "Na2CO3": "sodium carbonate"}[component]


def row_of(case: dict[str, str], quantity: str, ours: float) -> PublishedRow:
    return PublishedRow(case["source"], f"{case['example_id']}, {case['clause_or_table']}", quantity,
                        case["printed_answer"], ours, status=STATUS_OF_REFERENCE_FILES[case["status"]])


def composition(case: dict[str, str]) -> float:
    """Return ours for a case with a composition, in the unit of the case."""
    found = g_per_L(titrated(*SAMPLE[case["example_id"]]), measurand_of(case["component"]))
    return found / W3_SAMPLE_G_PER_L * 100 if case["unit"] == "% m/m" else found


def mg_per_mEq(component: str) -> float:
    """Return what one millilitre of 1 mol/L acid stands for, in all or between the endpoints [mg/mL]."""
    outcome = titrated(25, "1.000", "25.00 mL", "30.00 mL")
    if component.startswith("total"):
        return g_per_L(outcome, "total alkali as NaOH") * 25 / 30
    return g_per_L(outcome, "sodium carbonate") * 25 / (30 - 25)


def carbonate_error_percent() -> float:
    """Return what 0.04 mL at either endpoint, with opposite signs, adds to the carbonate in 45 mL of acid in all.

    Returns: error of the carbonate over the total alkali, both in equivalents [%]
    """
    right, wrong = titrated(25, "0.1", "44.00 mL", "45.00 mL"), titrated(25, "0.1", "43.96 mL", "45.04 mL")
    apart = (g_per_L(wrong, "sodium carbonate") - g_per_L(right, "sodium carbonate")) * 2 / 105.988
    return apart / (g_per_L(right, "total alkali as NaOH") / 39.997) * 100


def published_rows() -> Iterator[PublishedRow]:
    for case in cases():
        name = case["example_id"]
        if name in ("W1", "W3") and (name, case["component"]) not in PRINTED_WRONG:
            yield row_of(case, f"{case['component']} [{case['unit']}]", composition(case))
        elif name in ("S1", "S2") and case["printed_answer"]:
            yield row_of(case, case["component"], mg_per_mEq(case["component"]))
        elif name == "S6" and case["printed_answer"]:
            yield row_of(case, "carbonate, 0.04 mL off at each endpoint [% of total alkali]", carbonate_error_percent())


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_composition_is_the_published_one(row: PublishedRow) -> None:
    assert_agrees(row)


def test_every_case_with_a_printed_figure_is_checked() -> None:
    printed = [case for case in cases() if case["printed_answer"] not in ("", "not printed")]
    wrong = [case for case in printed if (case["example_id"], case["component"]) in PRINTED_WRONG]
    assert len(list(published_rows())) + len(wrong) == len(printed)
    unprinted = {case["example_id"] for case in cases() if case not in printed}
    assert unprinted <= {reason.split(" ", maxsplit=1)[0] for reason in NO_OUTSIDE_CHECK}


def test_the_answer_that_counts_all_first_acid_as_hydroxide_is_not_ours() -> None:
    """W3 prints 35 % sodium hydroxide; the carbonate took 0.25 of the 1.75 mmol, so it is 1.50 × 40/200 = 30 %."""
    case = next(case for case in cases() if (case["example_id"], case["component"]) in PRINTED_WRONG)
    assert not row_of(case, "NaOH", composition(case)).agrees
    assert abs(composition(case) - (1.75 - 0.25) * 39.997 / 200 * 100) < 0.005


def test_a_question_without_an_answer_comes_out_as_plain_arithmetic_has_it() -> None:
    """W5, common practice, no source: hydroxide (14.40 − 4.50) mL, carbonate 4.50 mL at one proton each."""
    outcome = titrated(*SAMPLE["W5"])
    assert abs(g_per_L(outcome, "sodium hydroxide") - (14.40 - 4.50) * 0.7 * 39.997 / 20) < 0.001
    assert abs(g_per_L(outcome, "sodium carbonate") - 4.50 * 0.7 * 105.988 / 20) < 0.001


def test_equal_volumes_mean_hydroxide_alone() -> None:
    """S3: teaching text, only NaOH when both volumes are equal."""
    outcome = titrated(25, "0.1", "30.00 mL", "30.00 mL", times=3)
    assert abs(g_per_L(outcome, "sodium carbonate")) < 1e-9
    assert abs(g_per_L(outcome, "sodium hydroxide") - 30 * 0.1 * 39.997 / 25) < 0.001


def test_half_the_volume_means_carbonate_alone() -> None:
    """S3: teaching text, only Na2CO3 when the first volume is half of the whole."""
    outcome = titrated(25, "0.1", "15.00 mL", "30.00 mL", times=3)
    assert abs(g_per_L(outcome, "sodium hydroxide")) < 1e-9
    assert abs(g_per_L(outcome, "sodium carbonate") - 15 * 0.1 * 105.988 / 25) < 0.001


def test_less_than_half_the_volume_means_hydrogencarbonate_and_no_hydroxide() -> None:
    """S4, from memory: carbonate 2P and hydrogencarbonate T − 2P when P lies below T/2; never a negative hydroxide."""
    outcome = titrated(25, "0.1", "10.00 mL", "30.00 mL")
    names = [one.measurand for one in outcome.results]
    assert "sodium hydroxide" not in names
    third = next(name for name in names if "hydrogencarbonate" in name)
    assert abs(g_per_L(outcome, third) - (30 - 2 * 10) * 0.1 * 84.006 / 25) < 0.001
    assert abs(g_per_L(outcome, "sodium carbonate") - 10 * 0.1 * 105.988 / 25) < 0.001
    assert all(one.estimate.value >= 0 for one in outcome.results)


def test_a_first_endpoint_beyond_the_second_is_refused() -> None:
    with pytest.raises(Refusal, match="first"):
        titrated(25, "0.1", "30.00 mL", "25.00 mL")


def test_the_conventional_equivalent_of_carbonate_is_its_full_molar_mass() -> None:
    """Edge case of the trade: one proton between the endpoints, though carbonate has two equivalents in all."""
    measurands = load_method("caustic-soda-two-endpoints").result.measurands
    carbonate = next(one for one in measurands if one.part == "carbonate")
    assert carbonate.equivalents == 2
    assert carbonate.titrimetric_equivalent is not None
    assert abs(mg_per_mEq("sodium carbonate") - float(carbonate.titrimetric_equivalent.mg_per_mL)) < 0.005
