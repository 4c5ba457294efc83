"""Which goes into which in a tank, the chance that several characteristics conform, and tanks that are not at 20 °C."""

import json
import re

import pytest
from scipy.stats import norm

from assaywright.assay.adjust.adjust import adjust
from assaywright.assay.adjust.blend import blend_lots
from assaywright.assay.adjust.blend_form import read_blend
from assaywright.assay.adjust.form import read_adjustment
from assaywright.assay.adjust.near_table import density_near_table
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.estimate import exact, influence
from assaywright.metrology.model import Model, ModelInput
from assaywright.metrology.monte_carlo import run_trials, run_trials_together
from assaywright.metrology.refusal import Refusal
from tests.cli.terminal import assert_refused_in_one_sentence, call
from tests.house.sources import HOUSE

ACID = """
format = "assaywright adjustment 1"
id = "AD-26-017"
product = "sulfuric acid"
lot = "0954"
substance = "sulfuric acid"
nominal = "93.0 % w/w"
responsible = "Maren Tolliver"
[specification]
lower = "92.0 % w/w"
upper = "94.0 % w/w"
[assay]
content = "96.0 % w/w ± 0.2 % w/w, k = 2"
[tank]
id = "T-4"
mass = "5000 kg ± 10 kg, k = 2"
temperature = "20 °C"
[addition]
name = "purified water"
readability = "1 kg"
"""
DILUTE = ACID.replace("93.0", "38.0").replace("92.0", "37.5").replace("94.0", "38.5").replace("96.0", "41.0")
BLEND = """
format = "assaywright blend 1"
id = "BL-26-004"
product = "{product}"
substance = "{substance}"
nominal = "{nominal}"
aim = "nominal"
probability = "1 %"
responsible = "Maren Tolliver"
"""
TWO_LIMITS = BLEND.format(product="caustic soda solution", substance="sodium hydroxide", nominal="30.15 % w/w") + """
[[characteristic]]
name = "sodium hydroxide"
lower = "30.14 % w/w"
upper = "31 % w/w"
[[characteristic]]
name = "sodium carbonate"
upper = "0.41 % w/w"
[[lot]]
id = "0951"
stock = "5000 kg"
[lot.contents]
"sodium hydroxide" = "30.45 % w/w ± 0.06 % w/w, k = 2"
"sodium carbonate" = "0.30 % w/w ± 0.02 % w/w, k = 2"
[[lot]]
id = "0947"
stock = "2500 kg"
[lot.contents]
"sodium hydroxide" = "29.55 % w/w ± 0.06 % w/w, k = 2"
"sodium carbonate" = "0.60 % w/w ± 0.02 % w/w, k = 2"
"""
ACIDS = BLEND.format(product="hydrochloric acid", substance="hydrochloric acid", nominal="18 % w/w") + """
[[characteristic]]
name = "hydrochloric acid"
lower = "17.8 % w/w"
upper = "18.2 % w/w"
[[lot]]
id = "strong"
stock = "5000 kg"
contents = { "hydrochloric acid" = "20 % w/w ± 0.06 % w/w, k = 2" }
[[lot]]
id = "weak"
stock = "1000 kg"
contents = { "hydrochloric acid" = "10 % w/w ± 0.06 % w/w, k = 2" }
"""


def adjusted(text):
    return adjust(read_adjustment(text.encode(), "a.toml"), lambda path: path.encode(), trials=2000)


# --- order ------------------------------------------------------------------------------------------------------------


def test_water_is_not_poured_onto_strong_sulfuric_acid(tmp_path):
    """Never water into concentrated acid: common practice, no source."""
    path = tmp_path / "a.toml"
    path.write_text(ACID, encoding="utf-8")
    answer = call("adjust", path)
    assert_refused_in_one_sentence(answer, "purified water", "96 % w/w", "boils", "second vessel first",
                                   "the stronger slowly into it")
    assert "Add 161 kg" not in answer.output


def test_acid_whose_heat_is_not_held_takes_no_water_when_strong():
    """Phosphoric acid of 85 %: no heat of dilution is held, so that half its strength is the limit taken."""
    strong = (ACID.replace("sulfuric", "phosphoric").replace("96.0", "85.0").replace("93.0", "80.0")
              .replace("92.0", "79.0").replace("94.0", "81.0"))
    with pytest.raises(Refusal, match="how hot it gets where they meet is not known"):
        adjusted(strong)
    weak = (strong.replace("85.0", "32.0").replace("80.0", "30.0").replace("79.0", "29.0").replace("81.0", "31.0"))
    assert adjusted(weak).landing.amount > 0


def test_dilute_acid_may_be_watered_down_with_the_rule_told_before():
    outcome = adjusted(DILUTE)
    assert outcome.landing.amount > 0
    assert "against the rule" in outcome.safety.first[0]


def test_strong_acid_goes_into_the_weaker_lot():
    text = (DILUTE.replace('content = "41.0', 'content = "36.0')
            .replace('name = "purified water"', 'name = "sulfuric acid 96 %"\ncontent = "96 % w/w ± 0.2 % w/w, k = 2"'))
    outcome = adjusted(text)
    told = outcome.safety.first[0]
    assert "stronger acid goes slowly into the weaker" in told
    assert "Water" not in told
    assert_cautioned_before_it_goes_in(outcome, "the stronger acid into the weaker and never the reverse")
    assert "taken to be" not in " ".join(outcome.safety.first)
    unstated = adjusted(text.replace('temperature = "20 °C"', ""))
    assert "The tank is taken to be at 20 °C" in " ".join(unstated.safety.first)
    warm = adjusted(text.replace('"20 °C"', '"35 °C"\ngreatest_temperature = "43 °C"'))
    assert "stop when it is warmer than 43 °C" in " ".join(warm.steps)


def assert_cautioned_before_it_goes_in(outcome, which):
    """What to wear and how it goes in stand before the step that adds: common practice, no source."""
    steps = outcome.steps
    wear, how, adds = (next(n for n, step in enumerate(steps) if re.search(pattern, step)) for pattern in (
        "^Before anything is opened: laboratory coat; goggles and face shield;", f"goes in slowly, {which}",
        r"^(Add|First step: add|Put) [\d.]+"))
    assert wear < how < adds
    assert "stop when it is warmer than 40 °C" in steps[how]


def test_what_irritates_is_no_small_splash_by_the_tank():
    """17 % hydrochloric acid is H315 and H319 (CLP Annex VI, 017-002-01-X, from memory): a face shield by the tonne."""
    weak = (DILUTE.replace("sulfuric", "hydrochloric").replace("41.0", "17.4").replace("38.0", "17.0")
            .replace("37.5", "16.5").replace("38.5", "17.5"))
    outcome = adjusted(weak)
    assert outcome.safety.protection[:2] == ("laboratory coat", "goggles and face shield")
    assert_cautioned_before_it_goes_in(outcome, "never in one stream onto the acid")


def test_a_blend_of_acids_begins_with_the_weakest_however_little_it_is():
    outcome = blend_lots(read_blend(ACIDS.encode(), "b.toml"), trials=2000)
    put = [step for step in outcome.steps if step.startswith("Put")]
    assert [re.search(r"lot (\w+)", step).group(1) for step in put] == ["weak", "strong"]
    assert outcome.lots[0].mass_g > outcome.lots[1].mass_g
    assert "stronger acid goes slowly into the weaker" in outcome.safety.first[0]
    assert_cautioned_before_it_goes_in(outcome, "the stronger acid into the weaker and never the reverse")
    assert "Every lot is taken to be at 20 °C" in " ".join(outcome.safety.first)


def test_a_blend_that_grows_hot_goes_in_slowly_with_cooling_and_is_not_made_up():
    """The stronger slowly into the weaker, with cooling: common practice, no source."""
    text = (ACIDS.replace("hydrochloric", "sulfuric").replace("18 % w/w", "60 % w/w").replace("17.8", "59.5")
            .replace("18.2", "60.5").replace("20 % w/w ±", "96 % w/w ±").replace("10 % w/w ±", "30 % w/w ±"))
    outcome = blend_lots(read_blend(text.encode(), "b.toml"), trials=2000)
    put = [step for step in outcome.steps if step.startswith("Put")]
    assert [("slowly, with cooling" in step) for step in put] == [False, True]
    lye = TWO_LIMITS.replace("30.15", "30").replace("30.14", "29.8").replace('"30.45', '"49').replace('"29.55', '"10')
    warm = blend_lots(read_blend(lye.replace("0.41", "0.5").encode(), "b.toml"), trials=2000)
    assert "grows warm" in " ".join(warm.safety.first)
    for one in (outcome, warm):
        assert "make up" not in " ".join((*one.safety.first, *one.steps))


# --- chances ----------------------------------------------------------------------------------------------------------


def test_characteristics_that_share_no_assay_conform_together_by_the_product_of_their_chances():
    """P(A and B) = P(A) P(B) for independent A and B; each by the normal distribution.

    Shares 2/3 and 1/3 of the lots; u of a content is sqrt((2/3)² + (1/3)²) times that of a lot. Opposite limits: were
    both drawn from one stream, they could never miss together.
    """
    outcome = blend_lots(read_blend(TWO_LIMITS.encode(), "b.toml"), trials=200_000, seed=3)
    spread = ((2 / 3) ** 2 + (1 / 3) ** 2) ** 0.5
    alone = (norm.cdf(0.01 / (0.03 * spread)), norm.cdf(0.01 / (0.01 * spread)))
    found = [one.conforms for one in outcome.characteristics]
    assert found == pytest.approx(alone, abs=0.005)
    assert outcome.conforms == pytest.approx(alone[0] * alone[1], abs=0.005)
    assert outcome.conforms > alone[0] + alone[1] - 1 + 0.02


def test_a_shared_influence_is_drawn_once_and_others_each_by_themselves():
    """Correlation of y1 = s + a and y2 = s + b with equal spreads is 1/2; JCGM 102:2011, from memory."""
    def model(own):
        inputs = {"s": influence("shared", 0.0, 1.0, "1"), "o": influence(own, 0.0, 1.0, "1")}
        return Model(lambda x, _: x["s"] + x["o"], {k: ModelInput(k, k, v) for k, v in inputs.items()}, "1")

    first, second = run_trials_together([model("a"), model("b")], 100_000, 7)
    covariance = float((first * second).mean() - first.mean() * second.mean())
    assert covariance / float(first.std() * second.std()) == pytest.approx(0.5, abs=0.01)
    assert (run_trials(model("a"), 1000, 7) == run_trials_together([model("a")], 1000, 7)[0]).all()


@pytest.mark.parametrize("probability", ["50", "70", "95"])
def test_a_blend_never_prints_less_than_the_probability_it_was_asked_for(probability):
    text = TWO_LIMITS.replace('"1 %"', f'"{probability} %"').replace('"nominal"', '"most"').replace(
        'lower = "30.14', 'lower = "30.00').replace("2500 kg", "1500 kg").replace('"0.41 %', '"0.39 %')
    for seed in range(3):
        outcome = blend_lots(read_blend(text.encode(), "b.toml"), trials=20_000, seed=seed)
        assert outcome.conforms >= float(probability) / 100


# --- tanks away from 20 °C --------------------------------------------------------------------------------------------


def test_the_density_is_carried_a_little_beyond_the_table():
    """Hydrochloric acid of 20.01 % has 1.100 g/mL at 15 °C (Lunge and Marchlewski, from memory)."""
    found = density_near_table(find_solute("hydrochloric acid"), exact(20.01, "% w/w"), 15.0)
    assert found.value == pytest.approx(1.100, abs=0.001)
    assert found.standard_uncertainty > 0


def test_what_lies_far_beyond_the_table_is_asked_for_without_a_figure_to_copy():
    text = (ACID.replace("sulfuric acid", "hydrochloric acid").replace("96.0", "35.0").replace("93.0", "30.0")
            .replace("92.0", "29.0").replace("94.0", "31.0").replace('"20 °C"', '"15 °C"')
            .replace('mass = "5000 kg ± 10 kg, k = 2"', 'volume = "1000 L ± 2 L, rectangular"'))
    with pytest.raises(Refusal, match="measured at that temperature") as refused:
        adjusted(text)
    assert "1.33" not in str(refused.value)


# --- the budget -------------------------------------------------------------------------------------------------------


def test_a_burette_stands_in_one_line_of_the_budget():
    """As in the budget of its assay: independent errors along the scale, whose squares add."""
    path = HOUSE / "src/assaywright/cli/demo_files/laboratory/production/0943-adjust-to-strength.toml"
    budget = json.loads(call("adjust", path, "--json").output)["budget"]
    assert not [one for one in budget if "scale near" in one["influence"] or "whole scale" in one["influence"]]
    assert sum("burette" in one["influence"] and "correction" not in one["influence"] for one in budget) <= 2
    assert sum(one["share"] for one in budget) == pytest.approx(1, abs=1e-4)
