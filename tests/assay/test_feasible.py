"""Whether an endpoint is feasible: the library by the engine, hand calculations, and endpoints that cannot work."""

import math
import re
from importlib.resources import files

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.feasible import FEASIBLE, INFEASIBLE, NOT_COMPUTED, Feasibility, feasibility, weaker_titrants
from assaywright.assay.method import Method, load_method, method_names, parse_method
from assaywright.assay.turned_by_curve import stated_by_curve
from assaywright.assay.worksheet import parse_worksheet
from assaywright.chemistry.indicator import Criterion
from assaywright.metrology.typed import read_quantity
from tests.assay.test_medium import with_medium

REASONS = ("an adsorption indicator turns by what", "it is used between pH")
TYPES_NOT_COMPUTED = ("non-aqueous", "Karl Fischer", "diazotisation")


def text_of(name: str) -> str:
    return (files("assaywright.assay") / "methods" / f"{name}.toml").read_text(encoding="utf-8")


def changed(name: str, *pairs: tuple[str, str]) -> Method:
    text = text_of(name)
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    return parse_method(text, "ours.toml")


def last(method: Method, nominal: str = "") -> Feasibility:
    return feasibility(method, read_quantity(nominal) if nominal else None)[-1]


# --- the library ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", method_names())
def test_no_method_of_the_library_has_an_endpoint_that_is_not_feasible(name: str) -> None:
    method = load_method(name)
    for one in feasibility(method):
        assert one.sentence.endswith(".")
        if one.verdict != FEASIBLE:
            assert one.verdict == NOT_COMPUTED, one.sentence
            assert method.type in TYPES_NOT_COMPUTED or any(words in one.sentence for words in REASONS)


@pytest.mark.parametrize("name", method_names())
def test_every_stated_titration_error_is_as_large_as_the_engine_finds_it(name: str) -> None:
    """With the weakest and the strongest titrant that the method is meant for."""
    method = load_method(name)
    nominals = sorted((one for one in method.titrant.nominal if one.unit == "mol/L"), key=lambda one: one.value)
    for nominal in {nominals[0], nominals[-1]}:
        for one in feasibility(method, nominal):
            if one.error_mL is not None and one.stated_mL is not None:
                value, half_width = one.stated_mL
                assert abs(one.error_mL - value) <= half_width, f"{nominal.text}: {one.sentence}"


def test_most_of_the_library_is_computed() -> None:
    found = [one for name in method_names() for one in feasibility(load_method(name))]
    assert sum(one.verdict == FEASIBLE for one in found) > 0.75 * len(found)


# --- by hand ----------------------------------------------------------------------------------------------------------


def test_what_methyl_orange_misses_is_the_acid_that_turns_it() -> None:
    """At pH 4 in 50 + 25 mL with lg gamma of -0.11 at 0.067 mol/L (Davies): 75 mL × 10^-3.89 / 1 mol/L = 0.0097 mL."""
    by_hand = 75 * 10**-3.89 / 1.0
    assert last(load_method("potassium-hydroxide-by-acid")).error_mL == pytest.approx(by_hand, rel=0.08)


def turned_by_hand(strength: float, kept: float = 1.0) -> tuple[float, float]:
    """Return what methyl orange misses at pH 4 when carbonate stays in the flask, and what 0.2 pH there takes [mL].

    In 75 + 25 mL stand a quarter of the strength as sodium chloride and a sixteenth as carbon dioxide. Acid beyond the
    equivalence point is [H+] - [HCO3-], with lg gamma = -0.509 (sqrt(I)/(1 + sqrt(I)) - 0.3 I) of Davies and
    pK1 = 6.352 of carbonic acid (from memory): at 0.1 mol/L gamma = 0.860, 0.1163 - 0.0323 mmol/L in 100 mL = 0.084 mL.
    The slope is ln 10 ([H+] + [HCO3-]).
    """
    root = math.sqrt(strength / 4)
    gamma = 10 ** (-0.509 * (root / (1 + root) - 0.3 * strength / 4))
    acid, hydrogencarbonate = 1e-4 / gamma, 10**-6.352 * kept * strength / 16 / (1e-4 * gamma)
    return (100 * (acid - hydrogencarbonate) / strength,
            0.2 * math.log(10) * 100 * (acid + hydrogencarbonate) / strength)


@pytest.mark.parametrize(("strength", "missed", "fifth"),
                         [(0.1, 0.084, 0.068), (0.2, 0.027, 0.044), (0.3, 0.007, 0.035), (1.0, -0.024, 0.024)])
def test_beside_carbon_dioxide_a_weak_acid_turns_methyl_orange_late_and_slowly(
    strength: float, missed: float, fifth: float
) -> None:
    """By hand and by the engine; what the method's curve takes off is the one, what it leaves open more than the other.

    The curve has 0.85 of the carbon dioxide still in the flask: a little later than with all of it.

    The tint that is taken for the end may lie off by a quarter of the interval from pH 3.1 to 4.4, the eye by 0.2 pH:
    together sqrt(0.325^2 + 0.2^2) = 0.382 pH, by the square root of three as a standard uncertainty.

    With a pH that scatters by 0.28, 10^-pH and 10^pH have a mean of exp((ln 10 × 0.28)^2 / 2) = 1.231 times those of
    the middle: the mean of the lognormal distribution (textbooks of statistics).
    """
    by_hand = turned_by_hand(strength)
    assert by_hand == pytest.approx((missed, fifth), abs=0.0006)
    method = load_method("caustic-soda-two-endpoints")
    found = last(method, f"{strength} mol/L")
    assert found.error_mL == pytest.approx(by_hand[0], abs=0.001)
    assert found.standard_uncertainty_mL == pytest.approx(0.382 / 0.2 * by_hand[1] / math.sqrt(3), rel=0.1)
    value, half_width = found.stated_mL
    lost = 0.15 * (turned_by_hand(strength, 0.0)[0] - by_hand[0])
    assert value == pytest.approx(1.231 * (by_hand[0] + lost), abs=0.0012)
    needed = abs(found.error_mL - value) + 2 * found.standard_uncertainty_mL
    assert needed <= half_width < needed * 1.2


@pytest.mark.parametrize("name", ["caustic-soda-two-endpoints", "caustic-soda-by-barium-chloride"])
def test_the_figures_in_a_methods_text_are_those_of_its_budget(name: str) -> None:
    """What is taken off and what is left, at every strength that the text names: read from both."""
    method = load_method(name)
    text = method.endpoint.reason
    off = re.findall(r"(\d\.\d\d) mL (late|early) at ([\d.]+) mol/L", text)
    left = re.findall(r"(\d\.\d\d) mL at ([\d.]+) mol/L", text)
    strengths = {f"{one.value}" for one in method.titrant.nominal}
    assert {each for *_, each in off} == {each for _, each in left} == strengths
    for told, side, strength in off:
        value = stated_by_curve(method, method.endpoint, float(strength))[0]
        assert (1 if side == "late" else -1) * float(told) == pytest.approx(value, abs=0.0051)
    for told, strength in left:
        half_width = stated_by_curve(method, method.endpoint, float(strength))[1]
        assert float(told) == pytest.approx(half_width / math.sqrt(3), abs=0.0051)


def test_an_indicator_blank_takes_off_what_chromate_asks_for_and_a_little_more() -> None:
    """Silver over chromate in the blank stands alone, in the titration beside the chloride of the precipitate.

    With [Ag+] = s at the turn, the titration has s - Ksp/s too much silver and the blank s: by subtraction the result
    is Ksp V / (s c) too small. The chromate of 1 mL of 50 g/L K2CrO4 in 75 mL is 0.0034 mol/L; with activity
    coefficients from Davies at 0.05 mol/L (0.82 for one charge, 0.46 for two), Ksp(AgCl) = 10^-9.75 and
    Ksp(Ag2CrO4) = 10^-11.95 (handbooks, from memory).
    """
    one, two = 0.82, 0.46
    silver = math.sqrt(10**-11.95 / (0.0034 * two)) / one
    chloride = 10**-9.75 / one**2 / silver
    found = last(load_method("silver-nitrate-by-sodium-chloride"))
    assert found.error_mL == pytest.approx(-75 * chloride / 0.1, rel=0.25)


def test_without_its_blank_chromate_is_not_feasible() -> None:
    """Two micromoles of silver and more that must be there to be seen: textbooks ask for the blank."""
    without = changed("chloride-by-silver-nitrate", ('kind = "indicator blank"\nrequired = true',
                                                     'kind = "none"\nrequired = false'))
    assert last(without).verdict == INFEASIBLE
    assert last(load_method("chloride-by-silver-nitrate")).verdict == FEASIBLE


def test_carbon_dioxide_left_in_the_flask_makes_methyl_orange_miss_what_is_stated() -> None:
    """Boiling it off is what the textbooks ask for when carbonate is the standard."""
    kept = parse_method(with_medium("hcl-by-sodium-carbonate", 'source = "nobody"').replace(
        'kind = "indicator blank"', 'kind = "none"'))
    boiled = load_method("hcl-by-sodium-carbonate")
    spread = [last(one, "0.5 mol/L").standard_uncertainty_mL for one in (kept, boiled)]
    assert spread[0] is not None
    assert spread[1] is not None
    assert spread[0] > 5 * spread[1]
    assert last(kept, "0.5 mol/L").verdict == INFEASIBLE


def test_the_steepest_place_of_two_simple_ions_is_their_equivalence_point() -> None:
    """A reaction of one to one is symmetrical about its equivalence point, but for dilution: textbooks."""
    found = last(load_method("sodium-chloride-by-silver-electrode"))
    assert found.verdict == FEASIBLE
    assert found.error_mL == pytest.approx(0, abs=2e-3)


# --- what cannot work -------------------------------------------------------------------------------------------------


def test_acetic_acid_with_methyl_orange_is_not_feasible_and_what_would_do_is_said() -> None:
    method = changed("acetic-acid-by-naoh", ('indicator = "phenolphthalein"', 'indicator = "methyl orange"'))
    (found,) = feasibility(method)
    assert found.verdict == INFEASIBLE
    assert re.search(r"than 0\.2 % and than the stated 0 mL ± 0\.02 mL; [\w -]+ would do\.$", found.sentence)


def test_boric_acid_without_mannitol_has_no_jump_for_an_electrode() -> None:
    """pKa 9.2: textbooks add mannitol for that."""
    text = with_medium("boric-acid-with-mannitol", 'source = "nobody"').replace('kind = "visual"',
                                                                              'kind = "potentiometric"')
    (found,) = feasibility(parse_method(text), read_quantity("0.01 mol/L"))
    assert found.verdict == INFEASIBLE
    assert found.sentence == "the curve has no steepest place at the equivalence point."


def test_an_indicator_of_another_kind_is_not_feasible() -> None:
    method = changed("acetic-acid-by-naoh", ('indicator = "phenolphthalein"', 'indicator = "ferroin"'))
    (found,) = feasibility(method)
    assert (found.verdict, found.sentence) == (
        INFEASIBLE, "ferroin: it is no indicator for a titration of this kind.")


@pytest.mark.parametrize(
    ("name", "pairs", "needle"),
    [
        ("water-by-karl-fischer", (), "the type 'Karl Fischer' is not computed"),
        ("glycine-by-perchloric-acid", (), "the type 'non-aqueous' is not computed"),
        ("sodium-nitrite-by-sulfanilamide", (), "the type 'diazotisation' is not computed"),
        ("potassium-bromide-by-eosin", (), "its error cannot be computed"),
        ("acetic-acid-by-naoh", (('indicator = "phenolphthalein"', 'indicator = "red cabbage"'),), "red cabbage"),
        ("acetic-acid-by-naoh", (('kind = "visual"', 'kind = "photometric"'),), "photometric endpoint is not computed"),
        ("edta-by-zinc", (('pH = "5.5"\n', ""),), "does not say at which pH"),
    ],
)
def test_what_is_not_computed_is_said_in_one_sentence(
    name: str, pairs: tuple[tuple[str, str], ...], needle: str
) -> None:
    found = last(changed(name, *pairs))
    assert found.verdict == NOT_COMPUTED
    assert needle in found.sentence
    assert found.error_mL is None


def test_a_looser_limit_lets_more_pass() -> None:
    method = changed("potassium-hydroxide-by-acid", ("0.019 mL ± 0.025 mL", "0.019 mL ± 0.001 mL"))
    assert feasibility(method, read_quantity("0.2 mol/L"))[-1].verdict == INFEASIBLE
    assert feasibility(method, read_quantity("0.2 mol/L"), Criterion(1.0))[-1].verdict == FEASIBLE


def test_the_weaker_titrants_of_a_method_are_named() -> None:
    method = changed("potassium-hydroxide-by-acid", ("0.019 mL ± 0.025 mL", "0.019 mL ± 0.001 mL"))
    assert [one.titrant_mol_per_L for one in weaker_titrants(method)] == [0.1, 0.2]


# --- a laboratory's own -----------------------------------------------------------------------------------------------


def outcome_of(text: str):
    text = text.replace('"acetic-acid-by-naoh"', '"ours"')
    worksheet = parse_method(text).example.worksheet.replace('method = "ours"', 'method = "ours.toml"')
    return evaluate_worksheet(parse_worksheet(worksheet.encode(), "sheet.toml"), lambda _path: text.encode())


def test_a_method_of_one_s_own_that_is_not_feasible_is_evaluated_with_a_remark() -> None:
    sound = text_of("acetic-acid-by-naoh")
    text = sound.replace('indicator = "phenolphthalein"', 'indicator = "methyl orange"')
    with_remark, without = outcome_of(text), outcome_of(sound)
    (said,) = [one for one in with_remark.remarks if one.kind == "endpoint-not-feasible"]
    assert "methyl orange misses" in said.what
    assert with_remark.result.estimate.value == without.result.estimate.value
    assert not [one for one in without.remarks if one.kind in ("endpoint-not-feasible", "method-named-otherwise")]


def test_a_file_that_does_not_bear_its_method_s_name_is_remarked_on() -> None:
    text = text_of("acetic-acid-by-naoh").replace('"acetic-acid-by-naoh"', '"our-acid"')
    worksheet = parse_method(text).example.worksheet.replace('method = "our-acid"', 'method = "ours.toml"')
    outcome = evaluate_worksheet(parse_worksheet(worksheet.encode(), "sheet.toml"), lambda _path: text.encode())
    (said,) = [one for one in outcome.remarks if one.kind == "method-named-otherwise"]
    assert (said.what, said.holds) == ("the method calls itself 'our-acid', and its file is named 'ours'", False)


STARCH_ALONE = ("last blue of starch with thiosulfate", "first blue of starch with iodine")


def starch_methods() -> list[Method]:
    """Return the methods in which no blank takes away what starch asks for."""
    return [one for one in map(load_method, method_names())
            if one.endpoint.influence in STARCH_ALONE and one.blank.kind != "titrated likewise"
            and one.name != "iodine-by-arsenic-trioxide"]  # its blank ends at the same first blue


@pytest.mark.parametrize("method", starch_methods(), ids=lambda one: one.name)
def test_what_starch_asks_for_is_taken_off_on_the_side_where_it_lies(method: Method) -> None:
    """1 to 2e-5 mol/L of iodine to be seen (tables of indicators, from memory), two electrons each, in 75 to 100 mL.

    With thiosulfate the blue goes out early, with iodine it comes late; a blank of the reagents may take it away.
    """
    stated = method.endpoint.titration_error
    assert stated is not None
    assert stated.uncertainty is not None
    assert method.endpoint.at is not None
    value, half_width = float(stated.value), float(stated.uncertainty.amount)
    early = method.endpoint.influence == STARCH_ALONE[0]
    equivalents = 1 if early else 2
    by_hand = (-1 if early else 1) * 1.5e-5 * 2 * 85 / (equivalents * method.endpoint.at.to("mol/L"))
    assert method.endpoint.treatment == "applied"
    assert value * by_hand > 0
    assert abs(value - by_hand) <= half_width


def test_the_assays_with_thiosulfate_take_off_what_its_standardisations_take_off() -> None:
    """Else what cancels between the two would be taken off once: common practice, no source."""
    found = {one.endpoint.titration_error.to("mL") * one.endpoint.at.to("mol/L") for one in starch_methods()
             if one.blank.kind == "reagent blank" and one.endpoint.titration_error and one.endpoint.at}
    assert {round(one, 6) for one in found} == {-0.002}


def test_iodine_set_against_arsenic_trioxide_is_held_back_without_the_blank_that_starch_asks_for() -> None:
    """1 to 2e-5 mol/L of iodine in 135 mL (tables of indicators, from memory) are 0.03 to 0.05 mL of 0.05 mol/L.

    A blank of that volume ends at the same blue; it lies in that range, and without it the result is not for release.
    """
    method = load_method("iodine-by-arsenic-trioxide")
    assert method.blank.required
    low, high = (1000 * molar * 0.135 / 0.05 for molar in (1e-5, 2e-5))
    sheet = parse_worksheet(method.example.worksheet.encode(), "sheet.toml")
    assert sheet.blank is not None
    assert sheet.blank.volume is not None
    assert low <= sheet.blank.volume.to("mL") <= high
    before, _, after = method.example.worksheet.partition("[blank]")
    without = parse_worksheet((before + after[after.index("[[determination]]"):]).encode(), "sheet.toml")
    assert any(one.holds and "blank" in one.what for one in evaluate_worksheet(without, lambda _path: b"").remarks)
