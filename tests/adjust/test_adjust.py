"""Adjusting a lot: balance of masses, probability, two steps, the tank's room, and what cannot be."""

import json
import math
import re
from pathlib import Path

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm

from assaywright.assay.adjust.adjust import adjust
from assaywright.assay.adjust.form import (
    ADDITION_FIELDS,
    ADJUSTMENT_FIELDS,
    AIM_FIELDS,
    ASSAY_FIELDS,
    TANK_FIELDS,
    read_adjustment,
)
from assaywright.metrology.conformity_risk import NormalPrior, posterior
from tests.cli.terminal import assert_refused_in_one_sentence, call
from tests.house.sources import HOUSE
from tests.published.rows import read_reference

LABORATORY = HOUSE / "src" / "assaywright" / "cli" / "demo_files" / "laboratory"
STRONG = """
format = "assaywright adjustment 1"
id = "AD-26-014"
date = 2026-10-14
product = "caustic soda solution 30 % w/w"
lot = "0951"
substance = "sodium hydroxide"
nominal = "30.00 % w/w"
responsible = "Maren Tolliver"
responsible_function = "head of production"
[specification]
lower = "29.80 % w/w"
upper = "30.20 % w/w"
[assay]
content = "30.45 % w/w ± 0.16 % w/w, k = 2"
repeatability = "0.02 % w/w"
[tank]
id = "T-4"
mass = "5000 kg ± 10 kg, k = 2"
capacity = "4200 L"
[addition]
name = "purified water"
readability = "1 kg"
uncertainty = "1 kg, rectangular"
"""
WEAK = STRONG.replace('content = "30.45', 'content = "29.55').replace(
    'name = "purified water"', 'name = "caustic soda 50 %"\ncontent = "49.8 % w/w ± 0.2 % w/w, k = 2"')

ROUGH = ("5000 kg ± 10 kg", "5000 kg ± 1600 kg")  # a tank known so badly that what is measured after half of it helps


def no_file(path):
    raise OSError(path)


def adjusted(text, trials=20_000, seed=0):
    return adjust(read_adjustment(text.encode(), "a.toml"), no_file, trials=trials, seed=seed)


def aiming(text, land, **more):
    fields = "".join(f'{key} = "{value}"\n' for key, value in more.items())
    return f'{text}[aim]\nland = "{land}"\n{fields}'


def written(folder, text):
    path = folder / "a.toml"
    path.write_text(text, encoding="utf-8")
    return path


# --- the balance of masses --------------------------------------------------------------------------------------------


def test_five_tonnes_at_30_45_take_75_kg_of_water_to_30():
    """a = m (w/w_t - 1) = 5000 (30.45/30.00 - 1) = 75 kg: arithmetic of production, common practice."""
    landing = adjusted(STRONG).landing
    assert landing.text == "75 kg"
    assert landing.exact == pytest.approx(75_000, rel=1e-12)
    assert landing.result.value == pytest.approx(30.0, rel=1e-12)


def test_a_weak_lot_takes_concentrate_by_the_cross():
    """a = m (w_t - w)/(w_c - w_t) = 5000 × 0.45/19.8 = 113.6 kg, rounded down."""
    landing = adjusted(WEAK).landing
    assert landing.exact == pytest.approx(1000 * 5000 * 0.45 / 19.8, rel=1e-9)
    assert landing.text == "113 kg"


def test_the_uncertainty_is_what_a_pocket_calculator_makes_of_it():
    """u² = (u_w m/(m+a))² + (w a/(m+a)² u_m)² + (m w/(m+a)² u_a)²."""
    found = adjusted(STRONG).landing.result
    m, a, w = 5000.0, 75.0, 30.45
    parts = (0.08 * m / (m + a), w * a / (m + a) ** 2 * 5.0, m * w / (m + a) ** 2 / math.sqrt(3))
    assert found.standard_uncertainty == pytest.approx(math.hypot(*parts), rel=1e-6)


def test_a_content_by_volume_goes_through_the_density_of_the_mixture():
    """Hydrochloric acid by the handbook: 20 % w/w, as printed in mol/L, brought to 16 % as printed there."""
    rows = {row["mass_pct"]: row for row in read_reference("volumetry/solution_densities.csv")
            if row["solute"] == "hydrochloric acid" and row["source"].startswith("CRC")
            and row["temperature_C"] == "20"}
    strong, weak = (float(rows[percent]["molarity_printed_mol_per_L"]) for percent in ("20", "16"))
    text = (STRONG.replace("sodium hydroxide", "hydrochloric acid").replace("caustic soda solution", "acid")
            .replace('nominal = "30.00 % w/w"', f'nominal = "{weak} mol/L"')
            .replace("29.80 % w/w", f"{weak - 0.05:.3f} mol/L").replace("30.20 % w/w", f"{weak + 0.05:.3f} mol/L")
            .replace("30.45 % w/w ± 0.16 % w/w", f"{strong} mol/L ± 0.01 mol/L").replace('capacity = "4200 L"', "")
            .replace('repeatability = "0.02 % w/w"', ""))
    exact_kg = adjusted(text).landing.exact / 1000
    assert exact_kg == pytest.approx(5000 * (20 / 16 - 1), rel=0.0015)
    litres_if_volumes_added = 5000 / float(rows["20"]["density_g_per_mL"]) * (strong / weak - 1)
    assert exact_kg - 0.9982 * litres_if_volumes_added > 5  # they do not: kilograms that would be missing


def test_a_level_gauge_weighs_by_the_density_at_its_temperature():
    gauge = STRONG.replace('mass = "5000 kg ± 10 kg, k = 2"',
                           'volume = "4000 L ± 4 L, rectangular"\ndensity = "1.3300 g/mL"')
    assert adjusted(gauge).landing.exact == pytest.approx(4000 * 1.33 * 1000 * 0.015, rel=1e-9)


def test_the_dead_leg_takes_no_part():
    leg = STRONG.replace('id = "T-4"', 'id = "T-4"\ndead_leg = "200 kg ± 20 kg, rectangular"')
    assert adjusted(leg).landing.exact == pytest.approx(4800e3 * 0.015, rel=1e-9)
    assert any("dead leg" in one.label for one in adjusted(leg).budget)


def test_a_pump_that_measures_litres_adds_the_same_mass():
    pump = STRONG.replace('readability = "1 kg"\nuncertainty = "1 kg, rectangular"', 'readability = "0.1 L"')
    landing = adjusted(pump).landing
    assert landing.exact / 1000 == pytest.approx(75 / 0.9982, rel=1e-5)
    assert landing.mass_g == pytest.approx(75_000, abs=100)


@settings(max_examples=25, deadline=None)
@given(st.floats(30.05, 31.5), st.floats(500, 20_000))
def test_mass_and_substance_are_conserved(found, mass):
    text = STRONG.replace("30.45", f"{found:.4f}").replace("5000 kg", f"{mass:.1f} kg").replace(
        'capacity = "4200 L"', "").replace('"1 kg"', '"0.001 kg"')
    outcome = adjusted(text, trials=1000)
    after_g = outcome.mass_before_g + outcome.landing.mass_g
    assert outcome.mass_after_g == pytest.approx(after_g)
    held = outcome.mass_before_g * float(f"{found:.4f}") / 100
    assert after_g * outcome.landing.result.value / 100 == pytest.approx(held, rel=1e-9)


# --- probability ------------------------------------------------------------------------------------------------------


def test_the_probability_is_that_of_the_normal_distribution():
    landing = adjusted(STRONG, trials=400_000, seed=3).landing
    u = landing.result.standard_uncertainty
    expected = norm.cdf(0.2 / u) - norm.cdf(-0.2 / u)
    assert landing.chances.conforms == pytest.approx(expected, abs=4 * math.sqrt(expected * (1 - expected) / 400_000))


def test_the_same_seed_gives_the_same_and_another_seed_another():
    first, again, other = (adjusted(STRONG, seed=seed).landing.chances for seed in (1, 1, 2))
    assert first == again
    assert first.conforms != other.conforms
    assert first.conforms == pytest.approx(other.conforms, abs=0.005)


def test_a_prior_draws_the_assay_towards_the_product_s_lots():
    """JCGM 106, clause 6: weights by the inverse variances."""
    prior = STRONG.replace("[tank]", 'prior_mean = "30.10 % w/w"\nprior_standard_deviation = "0.10 % w/w"\n[tank]')
    outcome = adjusted(prior)
    mean, scale, _ = posterior(30.45, 0.08, math.inf, NormalPrior(30.10, 0.10))
    assert outcome.found.value == pytest.approx(mean)
    assert outcome.found.standard_uncertainty == pytest.approx(scale)
    assert "30.1 % w/w" in outcome.prior
    assert outcome.landing.amount < adjusted(STRONG).landing.amount


def test_the_cheapest_landing_keeps_the_wanted_probability_and_no_more():
    outcome = adjusted(aiming(STRONG, "cheapest", probability="90 %"))
    assert outcome.aimed < 30.0
    assert 0.90 <= outcome.landing.chances.conforms < 0.93
    u = outcome.landing.result.standard_uncertainty
    assert outcome.aimed == pytest.approx(29.80 + norm.ppf(0.90) * u, abs=0.006)
    assert outcome.landing.amount > adjusted(STRONG).landing.amount


def test_the_cheapest_landing_of_a_weak_lot_takes_less_concentrate():
    cheap, nominal = adjusted(aiming(WEAK, "cheapest", probability="90 %")), adjusted(WEAK)
    assert cheap.landing.amount < nominal.landing.amount
    assert cheap.landing.chances.conforms >= 0.90


def test_nothing_is_added_where_the_lot_keeps_the_probability_as_it_is():
    near = aiming(WEAK.replace('content = "29.55', 'content = "29.98'), "cheapest", probability="90 %")
    assert adjusted(near).landing.amount == 0


# --- two steps --------------------------------------------------------------------------------------------------------


def test_two_steps_are_advised_when_one_would_often_overshoot():
    risky = adjusted(aiming(STRONG.replace(*ROUGH).replace("± 0.16", "± 0.02"), "29.85 % w/w"))
    assert risky.landing.overshoot == pytest.approx(risky.landing.chances.below)
    assert risky.two_steps.advised
    assert "First step" in " ".join(risky.steps)
    assert any("cannot be undone" in note for note in risky.notes)


def test_the_first_step_practically_never_passes_the_aim():
    outcome = adjusted(aiming(STRONG, "29.85 % w/w"))
    first = outcome.two_steps.first
    beyond = norm.cdf((29.85 - first.result.value) / first.result.standard_uncertainty)
    assert beyond <= 0.0115
    assert 0 < first.amount < outcome.landing.amount


def test_one_step_is_enough_for_a_well_known_lot():
    sure = adjusted(STRONG.replace("± 0.16 % w/w", "± 0.04 % w/w"))
    assert not sure.two_steps.advised
    assert "First step" not in " ".join(sure.steps)


def test_overshoot_of_a_weak_lot_is_on_the_other_side():
    outcome = adjusted(aiming(WEAK.replace(*ROUGH).replace("± 0.16", "± 0.02"), "30.15 % w/w"))
    assert outcome.landing.overshoot == outcome.landing.chances.above
    assert outcome.two_steps.advised


# --- the sheet --------------------------------------------------------------------------------------------------------


def test_the_sheet_names_who_decides_and_puts_cautions_first(tmp_path):
    target = tmp_path / "sheet.pdf"
    answer = call("adjust", written(tmp_path, STRONG), "-o", target, "--seed", 4)
    assert answer.status == 0
    words = re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(target).pages))
    for piece in ("Adjustment to strength", "Maren Tolliver", "head of production", "75 kg", "seed 4", "top, middle",
                  "signature", "prior"):
        assert piece in words
    assert words.index("H314") < words.index("75 kg")


def test_the_sampling_rule_takes_the_critical_range_of_three():
    """ISO 5725-6: f(3) = 3.3 times the repeatability standard deviation."""
    assert any("0.066 % w/w" in one for one in adjusted(STRONG).sampling)


def test_water_into_acid_is_told_to_be_against_the_rule():
    told = call("adjust", LABORATORY / "production" / "0943-adjust-to-strength.toml").output
    assert "against the rule" in re.sub(r"\s+", " ", told.split("WHAT TO DO")[0])


def test_the_assay_of_a_worksheet_brings_its_own_influences():
    record = json.loads(call("adjust", LABORATORY / "production" / "0943-adjust-to-strength.toml", "--json").output)
    assert any("pipette P-20-03" in one["influence"] for one in record["budget"])
    assay = json.loads(call("evaluate", LABORATORY / "worksheets" / "0943-hydrochloric-acid.toml", "--json").output)
    assert record["found"]["value"] == assay["result"]["value"]
    assert record["one_step"]["chances"]["conforms"] > 0.99


def test_a_lot_whose_assay_is_held_back_is_not_adjusted(tmp_path):
    path = LABORATORY / "worksheets" / "0944-calcium-carbonate.toml"
    text = STRONG.replace('content = "30.45 % w/w ± 0.16 % w/w, k = 2"', f'worksheet = "{path.as_posix()}"').replace(
        '"0951"', '"0944"').replace("sodium hydroxide", "calcium carbonate")
    assert_refused_in_one_sentence(call("adjust", written(tmp_path, text)), "held back")


# --- what cannot be ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "before", "after", "pieces"),
    [
        (STRONG, '"30.45', '"29.55', ("cannot raise", "leave the lot as it is", "concentrate")),
        (WEAK, '"49.8 % w/w', '"29.9 % w/w', ("cannot raise", "29.9", "leave the lot as it is")),
        (WEAK, '"29.55', '"30.45', ("cannot lower", "diluent")),
        (STRONG, '"4200 L"', '"3780 L"', ("do not fit", "room for", "which brings the lot to", "draw off")),
        (STRONG, '"4200 L"', '"3700 L"', ("and the tank holds 3700 L", "draw off first")),
        (STRONG, 'readability = "1 kg"', 'readability = "1 kg"\navailable = "40 kg"', ("are there", "add all of it")),
        (STRONG, 'capacity = "4200 L"', 'capacity = "4200 L"\ndead_leg = "5000 kg"', ("nothing is left to mix",)),
        (STRONG, " ± 0.16 % w/w, k = 2", "", ("no uncertainty",)),
        (STRONG, " ± 10 kg, k = 2", "", ("no uncertainty",)),
        (STRONG, 'nominal = "30.00 % w/w"', 'nominal = "31.00 % w/w"', ("outside its own limits",)),
        (STRONG, 'lower = "29.80 % w/w"', 'lower = "29.80 % w/v"', ("limit",)),
        (STRONG, 'readability = "1 kg"', 'readabilty = "1 kg"', ("readability",)),
        (STRONG, "[addition]", "[aditions]", ("addition",)),
        (STRONG, 'responsible = "Maren Tolliver"', "", ("responsible",)),
    ],
)
def test_what_cannot_be_done_is_refused_with_the_nearest_that_can(tmp_path, text, before, after, pieces):
    assert before in text
    target = tmp_path / "sheet.pdf"
    answer = call("adjust", written(tmp_path, text.replace(before, after)), "-o", target)
    assert_refused_in_one_sentence(answer, "a.toml", *pieces)
    assert not target.exists()


def test_what_fits_does_fit_and_no_step_more(tmp_path):
    text = STRONG.replace('"4200 L"', '"3780 L"')
    answer = call("adjust", written(tmp_path, text))
    (fits,) = re.findall(r"add what fits, (\d+) kg", answer.errors)
    wide = STRONG.replace("± 0.16", "± 0.04").replace("30.20 % w/w", "30.40 % w/w")
    outcome = adjusted(aiming(wide, f"{30.45 / (1 + int(fits) / 5000):.6f} % w/w"))
    assert outcome.volume_after_mL <= 3780e3
    free_L = outcome.free_mL / 1000 - (4200 - 3780)
    assert int(fits) / 0.99821 <= free_L < (int(fits) + 1) / 0.99821  # water at 20 °C, before it has mixed


def test_a_landing_that_no_assay_of_this_kind_can_keep_is_refused_with_the_best():
    text = aiming(STRONG.replace("± 0.16 % w/w", "± 0.40 % w/w"), "cheapest", probability="95 %")
    with pytest.raises(ValueError, match=r"the best is .* % w/w with 6\d\.\d %"):
        adjusted(text)


def test_a_missing_density_is_refused_and_named(tmp_path):
    text = (STRONG.replace("sodium hydroxide", "sulfamic acid")
            .replace('mass = "5000 kg ± 10 kg, k = 2"', 'volume = "4000 L ± 4 L, rectangular"')
            .replace("30.45", "10.20").replace("30.00", "10.00").replace("29.80", "9.80").replace("30.20", "10.10"))
    assert_refused_in_one_sentence(call("adjust", written(tmp_path, text)), "density", "tank")


def test_every_field_of_an_adjustment_is_explained():
    page = (HOUSE / "docs" / "adjust.md").read_text(encoding="utf-8")
    known = {"format", "decimal_mark", "specification", "assay", "tank", "addition", "aim"}
    fields = {*ADJUSTMENT_FIELDS, *ASSAY_FIELDS, *TANK_FIELDS, *ADDITION_FIELDS, *AIM_FIELDS}
    assert not [name for name in fields - known if f"`{name}`" not in page]


def test_the_examples_of_the_page_are_worked_out(tmp_path):
    page = (HOUSE / "docs" / "adjust.md").read_text(encoding="utf-8")
    texts = re.findall(r"```toml\n(.*?)```", page, re.DOTALL)
    for verb, text in zip(("adjust", "blend"), texts, strict=True):
        answer = call(verb, written(Path(tmp_path), text), "--json")
        assert answer.status == 0, answer.errors
