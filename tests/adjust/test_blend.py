"""Blending lots: the linear programme, stock and limits, Pearson's square, and the chance that all conforms."""

import itertools
import json
import re

import pypdf
import pytest

from assaywright.assay.adjust.blend import blend_lots, parts_of_square
from assaywright.assay.adjust.blend_form import BLEND_FIELDS, CHARACTERISTIC_FIELDS, LOT_FIELDS, read_blend
from assaywright.metrology.refusal import Refusal
from tests.cli.terminal import assert_refused_in_one_sentence, call
from tests.house.sources import HOUSE

HEAD = """
format = "assaywright blend 1"
id = "BL-26-003"
date = 2026-10-15
product = "caustic soda solution 30 % w/w"
substance = "sodium hydroxide"
nominal = "30.00 % w/w"
responsible = "Maren Tolliver"
"""
LIMITS = """
[[characteristic]]
name = "sodium hydroxide"
lower = "29.80 % w/w"
upper = "30.20 % w/w"
"""
CARBONATE = """
[[characteristic]]
name = "sodium carbonate"
upper = "0.50 % w/w"
"""


def lot(identity, content, stock, more="", carbonate=""):
    contents = f'"sodium hydroxide" = "{content} % w/w ± 0.06 % w/w, k = 2"'
    if carbonate:
        contents += f', "sodium carbonate" = "{carbonate} % w/w ± 0.02 % w/w, k = 2"'
    return f'[[lot]]\nid = "{identity}"\nstock = "{stock} kg"\n{more}\ncontents = {{ {contents} }}\n'


def blended(text, **how):
    return blend_lots(read_blend(text.encode(), "b.toml"), **how)


def written(folder, text):
    path = folder / "b.toml"
    path.write_text(text, encoding="utf-8")
    return path


def masses(outcome):
    return {one.identity: one.mass_g / 1000 for one in outcome.lots}


TWO = HEAD + LIMITS + lot("0951", "30.45", 5000) + lot("0947", "29.70", 3000)


def test_two_lots_meet_at_the_nominal_content_in_the_parts_of_the_square():
    """Parts 0.30 to 0.45: 3000 kg of the weak lot take 2000 kg of the strong one."""
    outcome = blended(TWO)
    assert masses(outcome) == pytest.approx({"0951": 2000, "0947": 3000}, abs=1)
    strong, weak = parts_of_square(30.45, 29.70, 30.0)
    assert strong / weak == pytest.approx(2000 / 3000)
    assert outcome.characteristics[0].result.value == pytest.approx(30.0, abs=1e-3)
    assert "0951 : 0947 = 0.40000 : 0.60000" in " ".join(outcome.square)


def test_the_uncertainty_of_a_blend_is_that_of_its_lots_by_their_shares():
    u = blended(TWO).characteristics[0].result.standard_uncertainty
    assert u == pytest.approx((0.4**2 + 0.6**2) ** 0.5 * 0.03, rel=0.01)


def test_the_most_stock_is_used_within_the_limits():
    """Lot 0951 all: 5000 × 0.25 = 1250 above 30.20 are balanced by 1250/0.5 = 2500 kg of 29.70, and 3000 are there."""
    outcome = blended(f'aim = "most"\nprobability = "50 %"\n{TWO}')
    assert masses(outcome) == pytest.approx({"0951": 5000, "0947": 3000}, abs=1)
    assert outcome.characteristics[0].result.value <= 30.2


def test_the_limits_are_moved_inwards_until_the_probability_is_kept():
    text = HEAD + 'aim = "most"\nprobability = "95 %"\n' + LIMITS + lot("0951", "30.45", 5000) + lot(
        "0947", "29.70", 1500)
    daring = blended(text.replace('probability = "95 %"', 'probability = "10 %"'))
    careful = blended(text)
    assert daring.guard_u == 0
    assert careful.guard_u > 0
    assert careful.conforms >= 0.945
    assert daring.conforms < 0.6
    assert masses(careful)["0951"] < masses(daring)["0951"]


def test_the_cheapest_blend_is_the_cheapest_of_all_that_conform():
    """Looked for exhaustively over the shares of three lots, in steps of a hundredth."""
    costs = {"A": 0.50, "B": 0.30, "C": 0.42}
    contents = {"A": 30.60, "B": 29.10, "C": 30.05}
    text = HEAD + 'aim = "cheapest"\nmass = "1000 kg"\nprobability = "1 %"\n' + LIMITS + "".join(
        lot(name, contents[name], 900, f'cost = "{costs[name]}"') for name in costs)
    outcome = blended(text)
    best = min(
        sum(share * costs[name] for name, share in zip(costs, shares, strict=True))
        for shares in ((a / 100, b / 100, 1 - a / 100 - b / 100)
                       for a, b in itertools.product(range(91), range(91)) if 10 <= a + b <= 100)
        if 29.8 <= sum(share * contents[name] for name, share in zip(costs, shares, strict=True)) <= 30.2)
    assert outcome.cost / 1000 <= best + 1e-3
    assert outcome.cost / 1000 == pytest.approx(best, abs=0.004)
    assert outcome.mass_g == pytest.approx(1e6, abs=2000)


def test_a_second_characteristic_bounds_the_blend():
    text = HEAD + 'aim = "most"\n' + LIMITS + CARBONATE + lot("0951", "30.10", 5000, carbonate="0.30") + lot(
        "0947", "29.90", 5000, carbonate="0.80")
    outcome = blended(text)
    assert [one.name for one in outcome.characteristics] == ["sodium hydroxide", "sodium carbonate"]
    assert outcome.characteristics[1].result.value < 0.5
    assert masses(outcome)["0947"] < 5000 * (0.5 - 0.3) / (0.8 - 0.5) + 1
    assert outcome.conforms >= 0.945


def test_stock_and_least_amounts_are_respected():
    text = TWO.replace('stock = "5000 kg"', 'stock = "1000 kg"\nleast = "500 kg"')
    found = masses(blended(text))
    assert 500 <= found["0951"] <= 1000


def test_the_sheet_says_that_a_blend_is_a_new_lot(tmp_path):
    target = tmp_path / "sheet.pdf"
    assert call("blend", written(tmp_path, TWO), "-o", target).status == 0
    words = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(target).pages))
    for piece in ("Blend", "new lot", "Pearson", "Maren Tolliver", "signature", "H314"):
        assert piece in words


def test_a_program_gets_the_figures(tmp_path):
    record = json.loads(call("blend", written(tmp_path, TWO), "--json", "--seed", 2).output)
    assert record["lots"][0]["mass_kg"] == pytest.approx(2000, abs=1)
    assert record["seed"] == 2


@pytest.mark.parametrize(
    ("before", "after", "pieces"),
    [
        ('"29.70 % w/w', '"30.30 % w/w', ("above the limits", "nearest is lot 0947")),
        ('id = "0947"', 'id = "0951"', ("stands twice",)),
        ('responsible = "Maren', 'mass = "9000 kg"\nresponsible = "Maren', ("9000 kg are wanted", "8000 kg are there")),
        ('responsible = "Maren', 'mass = "6000 kg"\nresponsible = "Maren', ("the nearest is 5000 kg",)),
        ('stock = "3000 kg"', 'stock = "3000 kg"\nleast = "4000 kg"', ("4000 kg have to go in", "3000 kg at most")),
        ('responsible = "Maren', 'aim = "cheapest"\nresponsible = "Maren', ("no cost",)),
        ('responsible = "Maren', 'aim = "dearest"\nresponsible = "Maren', ("cheapest",)),
        ('responsible = "Maren', 'stocks = "1"\nresponsible = "Maren', ("stocks",)),
        ('name = "sodium hydroxide"', 'name = "potash"', ("potash",)),
        ('"29.70 % w/w ± 0.06 % w/w, k = 2"', '"29.70"', ("no unit",)),
        ('responsible = "Maren', 'readability = "20000 kg"\nresponsible = "Maren', ("less than one step",)),
    ],
)
def test_what_cannot_be_blended_is_refused_with_the_nearest_that_can(tmp_path, before, after, pieces):
    assert before in TWO
    target = tmp_path / "sheet.pdf"
    answer = call("blend", written(tmp_path, TWO.replace(before, after)), "-o", target)
    assert_refused_in_one_sentence(answer, "b.toml", *pieces)
    assert not target.exists()


def test_a_probability_that_no_blend_keeps_is_refused_with_the_nearest():
    wide = TWO.replace("± 0.06 % w/w", "± 0.60 % w/w")
    with pytest.raises(ValueError, match=r"no blend keeps a probability of 95 %: the nearest is"):
        blended(wide)


def test_a_square_without_a_middle_is_refused():
    with pytest.raises(ValueError, match="does not lie between"):
        parts_of_square(30, 31, 32)


def test_every_field_of_a_blend_is_explained():
    page = (HOUSE / "docs" / "adjust.md").read_text(encoding="utf-8")
    known = {"format", "decimal_mark", "characteristic", "lot", "name"}
    fields = {*BLEND_FIELDS, *CHARACTERISTIC_FIELDS, *LOT_FIELDS} - known
    assert not [name for name in fields if not re.search(rf"`{name}`|^{name} = ", page, re.MULTILINE)]


def test_more_than_the_vessel_holds_is_refused_with_what_it_holds(tmp_path):
    text = 'mass = "5000 kg"\ncapacity = "4000 kg"\n'
    answer = call("blend", written(tmp_path, TWO.replace(LIMITS, text + LIMITS)))
    assert_refused_in_one_sentence(answer, "b.toml: mass", "5000 kg are wanted, and the vessel holds 4000 kg",
                                   "the nearest that can be made in it is 4000 kg")


@pytest.mark.parametrize("capacity", ["1000", "1333", "2501"])
def test_steps_are_not_rounded_up_beyond_the_vessel(capacity):
    """Parts of 0.4 and 0.6 in steps of 10 kg do not add up to these capacities."""
    text = TWO.replace(LIMITS, f'capacity = "{capacity} kg"\nreadability = "10 kg"\nprobability = "50 %"\n' + LIMITS)
    assert sum(masses(blended(text)).values()) <= float(capacity)


def test_a_density_far_from_the_table_is_said_at_the_top_and_a_chance_is_a_chance(tmp_path):
    """Caustic soda of 30 % w/w has 1.33 g/mL at 20 °C (handbook, from memory)."""
    told = " ".join(call("blend", written(tmp_path, TWO.replace(
        'stock = "5000 kg"', 'stock = "5000 kg"\ndensity = "1.5 g/mL"'))).output.split())
    assert "Check first Density of lot 0951: 1.5 g/mL is stated" in told
    assert "(1.0000)" not in told


def test_a_lot_has_its_first_content_from_one_place():
    """By its worksheet or as stated; what assays share is checked with the records' lots, in tests/web."""
    both = TWO.replace('stock = "3000 kg"', 'stock = "3000 kg"\nworksheet = "w.toml"')
    with pytest.raises(Refusal, match="is given, and a worksheet as well"):
        blended(both)
    alone = both.replace('contents = { "sodium hydroxide" = "29.70 % w/w ± 0.06 % w/w, k = 2" }', "")
    assert alone != both
    with pytest.raises(Refusal, match=r"w\.toml' is not there to be read"):
        blended(alone)
    with pytest.raises(Refusal, match='"sodium carbonate" of lot "0947" is not given'):
        blended(HEAD + LIMITS + CARBONATE + lot("0951", "30.45", 5000, carbonate="0.1")
                + '[[lot]]\nid = "0947"\nstock = "3000 kg"\nworksheet = "w.toml"\ncontents = {}\n')
