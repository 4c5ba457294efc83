"""Edge cases 23 to 26, 29 and 30 as far as a worksheet and a method can meet them; figures by hand."""

import pytest

from assaywright.assay.method import load_method
from assaywright.metrology.monte_carlo import run_trials
from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import assay, evaluated, kinds, standardisation
from tests.edge.house import certified, named, remarks_of

NO_ERROR = 'titration_error = "0 mL ± 0.105 mL, rectangular"'  # as cases reckon that have no chemistry


def two_endpoints(first, final, initial="0.00", top=NO_ERROR, extra=""):
    """Return the outcome of 25 mL of alkali titrated with 0.1 mol/L acid to two endpoints, thrice alike."""
    rows = (f'[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\ninitial = "{initial} mL"\n'
            f'first = "{first} mL"\nfinal = "{final} mL"\ntemperature = "20.0 °C"\n' * 3)
    return evaluated(assay("caustic-soda-two-endpoints", name="hydrochloric acid", formula="HCl", pipette="25",
                           rows=rows, titrant=certified("0.1000"), top=top, extra=extra))


def per_litre(result):
    """Return a mass concentration [g/L]."""
    return result.estimate.value * {"% w/v": 10, "g/L": 1}[result.estimate.unit]


def test_caustic_with_carbonate_has_two_alkalinities():
    """Edge case 23: P = 25.00, T = 30.00 mL: hydroxide 2P − T = 20.00 mL, total 30.00 mL of 0.1 mol/L on 25 mL.

    3.200 g/L by phenolphthalein's share, 4.800 g/L by methyl orange, M(NaOH) = 39.997 g/mol.
    """
    outcome = two_endpoints("25.00", "30.00")
    found = {one.measurand: per_litre(one) for one in outcome.results}
    hydroxide = next(value for name, value in found.items() if name.startswith("sodium hydroxide"))
    total = next(value for name, value in found.items() if "total" in name)
    assert hydroxide == pytest.approx(20.00 * 0.1 * 39.997 / 25, rel=3e-5)
    assert total == pytest.approx(30.00 * 0.1 * 39.997 / 25, rel=3e-5)


def test_the_second_endpoint_of_a_weak_acid_counts_with_what_carbon_dioxide_makes_of_it():
    """At 0.1 mol/L, by hand: I = 3/105 = 0.0286 mol/L, f = 0.853 (Davies); hydrogen ions at pH 4 take

    105 mL × 10^-4/0.1 = 0.105 mL, of which hydrogen carbonate, 0.85 × 10^(4 - 6.351) × 5 mL = 0.0189 mL, is not yet
    carbonic acid: (0.1050 - 0.0189)/0.853 = 0.1009 mL at pH 4. Over a pH that scatters by 0.28 the mean of either power
    of ten is exp((ln 10 × 0.28)^2/2) = 1.231 times that (lognormal distribution): 0.1242 mL are taken off. A pH takes
    1.231 ln 10 (0.1050 + 0.0189)/0.853 = 0.412 mL, 0.28 of one 0.115 mL; repeatability, glass and titrant add little in
    the square. JCGM 100:2008, 3.2.3: what is known is corrected for.
    """
    outcome = two_endpoints("25.00", "30.00", top="")
    total, without = (named(one, "total").estimate for one in (outcome, two_endpoints("25.00", "30.00")))
    assert total.value / without.value == pytest.approx((30 - 0.1242) / 30, abs=5e-6)
    assert total.standard_uncertainty / total.value == pytest.approx(0.116 / 30, rel=0.1)


def test_a_simulation_brings_about_the_mean_that_a_linear_propagation_is_told():
    """JCGM 101:2008, 5.6, against JCGM 100:2008, 5.1.2, note: mean and standard deviation of the lognormal."""
    outcome = two_endpoints("25.00", "30.00", top="")
    total = outcome.results[0].estimate
    draws = run_trials(outcome.models[0], 100_000, 1)
    assert draws.mean() == pytest.approx(total.value, abs=0.02 * total.standard_uncertainty)
    assert draws.std() == pytest.approx(total.standard_uncertainty, rel=0.15)


@pytest.mark.parametrize("kind", ["indicator blank", "neutralised solvent", "reagent blank"])
def test_a_blank_and_the_error_of_the_curve_are_never_both_taken_off(kind):
    """The blank is, titrated to the same colour, and the error of 0.1 mL stands in the uncertainty."""
    blank = f'[blank]\nkind = "{kind}"\nvolume = "0.10 mL ± 0.02 mL, rectangular"\n'
    both = two_endpoints("25.00", "30.00", top="", extra=blank)
    assert remarks_of(both, "blank-and-titration-error")
    alone = named(two_endpoints("25.00", "30.00"), "total").estimate
    total = named(both, "total").estimate
    assert total.value / alone.value == pytest.approx((30 - 0.10) / 30, rel=1e-9)
    assert total.standard_uncertainty > 0.004 * total.value


def test_more_carbonate_than_the_method_tells_apart_names_the_method_that_does():
    """P = 20.00, T = 30.00 mL: 10 mmol of carbonate to 10 of hydroxide; P = 25.00: 5 to 20."""
    (said,) = remarks_of(two_endpoints("20.00", "30.00"), "carbonate-beyond-method")
    assert "1.00 mol of carbonate for each mole of hydroxide" in said.what
    assert "caustic-soda-by-barium-chloride" in said.remedy
    assert not remarks_of(two_endpoints("25.00", "30.00"), "carbonate-beyond-method")


@pytest.mark.parametrize(("first", "half_width"), [("29.50", 0.0036), ("25.00", 0.0360), ("20.00", 0.0720)])
def test_what_the_first_endpoint_leaves_open_grows_with_the_carbonate(first, half_width):
    """By hand: at hydrogen carbonate a pH takes 2 ln 10 × 10^((6.351 - 10.329)/2)/f × (T - P), 0.0554 (T - P) mL.

    With f = 0.853, of which 0.13 pH are the half width; what the last part of a drop leaves, 0.02 mL, comes besides.
    """
    outcome = two_endpoints(first, "30.00")
    model = outcome.models[1 + [one.measurand for one in outcome.results[1:]].index("sodium hydroxide")]
    key = next(part.key for part in model.inputs["ΔpH"].estimate.contributions)
    found = [part for part in named(outcome, "sodium hydroxide").estimate.contributions if part.key == key]
    per_mL = per_litre(named(outcome, "sodium hydroxide")) / (2 * float(first) - 30)
    scale = {"% w/v": 10, "g/L": 1}[named(outcome, "sodium hydroxide").estimate.unit]
    assert abs(found[0].amount) * scale == pytest.approx(2 * half_width / 3**0.5 * per_mL, rel=0.01)


def test_endpoints_of_two_indicators_do_not_cancel():
    """Edge case 23: standardised to methyl orange, used to phenolphthalein: two influences, so both stay."""
    influences = {load_method(name).endpoint.influence for name in ("hcl-by-sodium-carbonate", "hcl-against-naoh")}
    assert len(influences) == 2


def thiosulfate_assay(in_force):
    """Return hydrochloric acid by a base standardised three times, first rising and then falling."""
    days = ("2026-10-01", "2026-10-05", "2026-10-09")
    factors = (1.0000, 1.0020, 1.0010)
    files = {
        f"st{number}.toml": standardisation(
            f"ST-{number}", titres=[round(titre / factor, 2) for titre in (38.62, 38.93, 37.90)]).replace(
                "performed = 2026-10-05", f"performed = {day}")
        for number, (day, factor) in enumerate(zip(days, factors, strict=True), 1)}
    titrant = f'worksheets = ["st1.toml", "st3.toml", "st2.toml"]\nin_force = "{in_force}"'
    values = [evaluated(text).result.estimate.value for text in files.values()]
    return values, evaluated(assay(titrant=titrant), files)


def test_a_titrant_that_first_rises_and_then_falls_is_used_at_its_last_value():
    """Edge case 24: nothing is assumed about which way a titrant ages; the newest value by date counts."""
    values, outcome = thiosulfate_assay("last accepted")
    assert values[0] < values[2] < values[1]
    used = outcome.models[0].inputs["c_t"].estimate.value
    assert used == pytest.approx(values[2], rel=1e-12)


def test_a_titrant_that_moved_is_not_averaged_unasked():
    """Edge case 24: E_n between the standardisations is told when a mean is asked for; their mean is (c1+c2+c3)/3."""
    values, outcome = thiosulfate_assay("mean of accepted")
    assert outcome.models[0].inputs["c_t"].estimate.value == pytest.approx(sum(values) / 3, rel=1e-12)


def test_less_acid_before_the_first_endpoint_than_after_it_is_carbonate_with_hydrogencarbonate():
    """Edge case 25: P = 10.00, T = 30.00 mL: carbonate 2P, hydrogencarbonate T − 2P = 10.00 mL, no negative caustic.

    M(Na2CO3) = 105.988, M(NaHCO3) = 84.006 g/mol (by hand).
    """
    outcome = two_endpoints("10.00", "30.00")
    assert remarks_of(outcome, "hydrogencarbonate-present")
    assert all(one.estimate.value > 0 for one in outcome.results)
    assert per_litre(named(outcome, "hydrogencarbonate")) == pytest.approx(10.00 * 0.1 * 84.006 / 25, rel=3e-5)
    assert per_litre(named(outcome, "sodium carbonate")) == pytest.approx(20.00 * 0.1 / 2 * 105.988 / 25, rel=3e-5)
    assert not [one for one in outcome.results if one.measurand.startswith("sodium hydroxide")]


def test_exactly_half_is_carbonate_alone():
    """Edge case 25: P = 15.00, T = 30.00 mL: neither hydroxide nor hydrogencarbonate."""
    outcome = two_endpoints("15.00", "30.00")
    assert named(outcome, "sodium hydroxide").estimate.value == pytest.approx(0, abs=1e-9)
    assert remarks_of(outcome, "hydroxide-not-distinguished")


def test_both_readings_count_from_one_initial_reading():
    """Edge case 26: from 2.00 mL the same volumes read 27.00 and 32.00 mL."""
    shifted, plain = two_endpoints("27.00", "32.00", "2.00"), two_endpoints("25.00", "30.00")
    for one, other in zip(shifted.results, plain.results, strict=True):
        assert one.estimate.value == pytest.approx(other.estimate.value, rel=1e-9)


def test_a_volume_from_the_first_endpoint_typed_as_a_reading_is_refused_or_shows():
    """Edge case 26: 5.00 mL "to the first" instead of 25.00 turns caustic into hydrogencarbonate, and that is told."""
    with pytest.raises(Refusal, match="give the burette's reading at the first endpoint, not the volume"):
        two_endpoints("1.62", "32.00", "2.00")
    separate = two_endpoints("5.00", "30.00")
    told = remarks_of(separate, "hydrogencarbonate-present")
    assert told[0].remedy == "make sure that both readings count from one initial reading"


def test_a_method_by_excess_silver_says_whether_the_precipitate_must_be_coated():
    """Edge case 29: silver chloride takes thiocyanate, silver iodide does not (Harvey, table 9.19, read)."""
    chloride = " ".join(load_method("chloride-by-excess-silver-nitrate").procedure)
    iodide = " ".join(load_method("iodide-by-excess-silver-nitrate").procedure)
    assert "Filter the silver chloride off" in chloride
    assert "coat it" in chloride
    assert "the result is low" in chloride
    assert "coat it" not in iodide


def test_the_method_for_hypochlorite_warns_of_chlorate():
    """Edge case 30: chlorate sets iodine free in strong acid only (common practice, no source)."""
    steps = " ".join(load_method("hypochlorite-by-thiosulfate").procedure)
    assert "not a mineral acid: in strong acid chlorate in the sample would set iodine free too" in steps


def test_a_titration_of_two_endpoints_without_the_first_is_refused():
    """Edge case 26: one sentence, with the determination."""
    with pytest.raises(Refusal, match=r"^ws.toml: determination 1, first: the reading at the first endpoint is"):
        evaluated(assay("caustic-soda-two-endpoints", name="hydrochloric acid", formula="HCl", pipette="25",
                        titrant=certified("0.1000")))


def test_a_titration_of_one_endpoint_says_nothing_of_hydrogencarbonate():
    """Edge case 25: the question belongs to two endpoints."""
    outcome = evaluated(assay("caustic-soda-by-acid", name="hydrochloric acid", formula="HCl",
                              titrant=certified("0.1000")))
    assert not {"hydrogencarbonate-present", "hydroxide-not-distinguished"} & set(kinds(outcome))
