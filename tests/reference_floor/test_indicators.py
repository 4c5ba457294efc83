"""The tables of indicators: nothing that a source prints is lost, one row is chosen, and colours have words."""

import re

import pytest

from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.reference.indicators import (
    KINDS,
    indicator,
    indicators,
    intervals,
    preparations,
    transition_pM,
    transition_points,
)
from assaywright.reference.load import table
from tests.published.rows import read_reference

NAMES = {  # the source's name, and ours where it differs by more than letters
    "orange IV (tropaeolin OO)": "tropaeolin OO", "cresol purple": "m-cresol purple",
    "xylene cyanol-methyl orange (screened)": "screened methyl orange",
    "bromocresol green-methyl red (mixed)": "bromocresol green with methyl red",
    "Tashiro (methyl red-methylene blue)": "methyl red with methylene blue",
    "sodium or barium diphenylamine sulfonate": "sodium diphenylamine sulfonate",
    "tris(2,2-bipyridine)iron": "tris(2,2′-bipyridine)iron(II)",
    "tris(2,2-bipyridine)ruthenium": "tris(2,2′-bipyridine)ruthenium(II)", "alizarin yellow": "alizarin yellow R",
    "calconcarboxylic acid (Patton and Reeder)": "calconcarboxylic acid",
}


def name_of(row):
    if row["indicator"] in ("crystal violet", "indigo carmine") and row["indicator_class"] in ("non-aqueous", "redox"):
        return f"{row['indicator']}, {row['indicator_class']}"
    plain = re.sub(r" \((acid range|adsorption|non-aqueous)\)$", r", \1", row["indicator"])
    return NAMES.get(plain, re.sub(r" \([^()]*\)$", "", plain))


def test_at_least_forty_indicators_of_all_kinds_are_held():
    assert len(indicators()) >= 40
    assert {one.kind for one in indicators()} == set(KINDS)


@pytest.mark.parametrize("row", [row for row in read_reference("titrimetry/indicators.csv") if row["low"]],
                         ids=lambda row: f"{row['indicator']}, {row['source'][:30]}")
def test_every_interval_that_a_source_prints_is_held(row):
    printed = (float(row["low"]), float(row["high"]))
    held = intervals(name_of(row))
    if row["indicator_class"] == "redox" and row["low"] == row["high"]:
        assert any(printed[0] in one.constants for one in held)
    else:
        assert printed in {(one.low, one.high) for one in held}


def test_of_every_indicators_intervals_and_preparations_one_is_chosen():
    for one in indicators():
        for held in (intervals(one.name), preparations(one.name)):
            assert [each.chosen for each in held].count(True) == min(1, len(held))


def test_every_colour_has_words_and_a_swatch_and_one_word_has_one_swatch():
    found = {}
    for one in indicators():
        for colour in (one.low, one.between, one.high):
            assert colour.words
            assert re.fullmatch(r"#[0-9A-F]{6}", colour.swatch)
            assert found.setdefault(colour.words, colour.swatch) == colour.swatch


def test_every_formula_is_read_and_every_endpoint_lies_about_its_interval():
    for one in indicators():
        if one.formula:
            assert parse_formula(one.formula).charge == 0
        if one.bounds is not None:
            low, high = one.bounds
            assert low < high
            width = high - low
            for endpoint in (one.endpoint_rising, one.endpoint_falling):
                assert endpoint is None or low - width / 2 <= endpoint <= high + width / 2


def test_what_must_be_seen_has_an_amount_with_its_bound():
    for one in indicators():
        seen = one.scale in ("visible amount", "precipitate", "complex")
        assert (one.visible_umol_per_100_mL is not None) == seen
        assert not seen or one.visible_half_width < one.visible_umol_per_100_mL


def test_an_alias_is_found_and_an_unknown_name_refused_with_the_nearest():
    assert indicator("EBT") is indicator("Eriochrome Black T")
    assert indicator("phenolsulphonphthalein").name == "phenol red"
    with pytest.raises(Refusal, match="did you mean 'phenolphthalein'"):
        indicator("phenolphtalein")
    with pytest.raises(Refusal, match="no kind"):
        indicators("edible")


def test_no_two_indicators_share_a_name():
    names = [name.casefold() for one in indicators() for name in (one.name, *one.aliases)]
    assert len(names) == len(set(names))


def test_a_transition_point_is_interpolated_and_never_extrapolated():
    assert transition_pM("eriochrome black T", "Mg2+", 9.5) == pytest.approx(4.9)
    assert transition_pM("eriochrome black T", "Mg2+", 11.5) is None
    assert transition_pM("eriochrome black T", "Fe3+", 10.0) is None


def test_transition_points_rise_with_the_pH_while_the_indicator_loses_protons():
    pairs = {(row["indicator"], row["metal"]) for row in table("indicators_metals").rows}
    assert pairs
    for name, metal in pairs:
        points = transition_points(name, metal)
        assert [one.pH for one in points] == sorted({one.pH for one in points})
        assert [one.pM for one in points] == sorted(one.pM for one in points)


@pytest.mark.parametrize(("metal", "lg_K"), [("Ca2+", 5.4), ("Mg2+", 7.0)])
def test_the_points_of_eriochrome_black_T_follow_from_its_constants(metal, lg_K):
    """lg K and pKa3 11.6 as textbooks print them: pM = lg K - lg(1 + 10^(11.6 - pH)). From memory."""
    from math import log10

    for one in transition_points("eriochrome black T", metal):
        assert one.pM == pytest.approx(lg_K - log10(1 + 10 ** (11.6 - one.pH)), abs=0.11)
