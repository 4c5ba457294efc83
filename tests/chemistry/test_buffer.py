"""Buffers: recipes that reach their pH, doubts that add up, and a pH measured between two buffers."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assaywright.chemistry.buffer import acids_near, buffer_recipe, buffer_state
from assaywright.chemistry.buffer_bracket import BufferReading, bracketed_pH
from assaywright.chemistry.buffer_equilibrium import Ingredient
from assaywright.chemistry.buffer_standard import standard_pH
from assaywright.chemistry.buffer_stock import stock_of
from assaywright.metrology.estimate import Estimate, exact, influence
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.working import write_working
from assaywright.reference.buffers import standard_buffer, standard_buffers

PAIRS = (("KH2PO4", "Na2HPO4", 7.0), ("acetic acid", "NaOH", 4.7), ("acetic acid", "sodium acetate", 4.7),
         ("tris(hydroxymethyl)aminomethane", "HCl", 8.0), ("boric acid", "NaOH", 9.2),
         ("sodium hydrogencarbonate", "sodium carbonate", 10.0), ("ammonium chloride", "ammonia", 9.4))


def read(name: str, reading: float, degrees: float = 25.0, u: float = 0.0) -> BufferReading:
    return BufferReading(name, standard_pH(name, degrees), influence(f"test|{name}", reading, u, "mV"), degrees)


# --- composition ------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("acid", "base", "pH"), PAIRS)
def test_a_recipe_reaches_its_pH(acid, base, pH):
    recipe = buffer_recipe(acid, base, pH, 0.05, 25.0)
    assert recipe.state.pH.value == pytest.approx(pH, abs=1e-6)
    assert recipe.state.capacity_mol_per_L > 0.005
    assert len(recipe.ingredients) == len(recipe.grams_per_L) == 2


@settings(max_examples=15)
@given(st.floats(6.0, 8.0), st.floats(0.01, 0.1), st.floats(10.0, 40.0))
def test_a_pair_shares_the_strength(pH, strength, degrees):
    recipe = buffer_recipe("KH2PO4", "Na2HPO4", pH, strength, degrees)
    assert sum(one.concentration.value for one in recipe.ingredients) == pytest.approx(strength, rel=1e-9)
    assert recipe.state.pH.value == pytest.approx(pH, abs=1e-6)


def test_a_wanted_ionic_strength_is_reached_by_adding_salt():
    recipe = buffer_recipe("tris(hydroxymethyl)aminomethane", "HCl", 8.1, 0.05, 25.0, 0.15)
    assert recipe.state.ionic_strength_mol_per_L == pytest.approx(0.15, abs=1e-6)
    assert recipe.ingredients[-1].substance == "potassium chloride"
    with pytest.raises(Refusal, match="itself has an ionic strength"):
        buffer_recipe("KH2PO4", "Na2HPO4", 7.0, 0.2, 25.0, 0.1)


def test_the_capacity_at_the_pKa_is_near_its_greatest_by_theory():
    # beta = 2.303 c/4 where both forms are equal (Van Slyke; common practice, no source).
    state = buffer_recipe("acetic acid", "NaOH", 4.65, 0.1, 25.0).state
    assert state.capacity_mol_per_L == pytest.approx(2.303 * 0.1 / 4, rel=0.02)


def test_a_whole_unit_of_pH_takes_what_the_ratio_of_the_forms_asks_for():
    # From 1:1 to 10:1, c (10/11 - 1/2) either way: law of mass action, hand calculation; less than the slope promises.
    state = buffer_recipe("acetic acid", "NaOH", 4.65, 0.1, 25.0).state
    for amount in (state.base_mol_per_L, state.acid_mol_per_L):
        assert amount == pytest.approx(0.1 * (10 / 11 - 1 / 2), rel=0.04)
        assert amount < 0.8 * state.capacity_mol_per_L
    lopsided = buffer_recipe("acetic acid", "NaOH", 5.65, 0.1, 25.0).state
    assert lopsided.base_mol_per_L == pytest.approx(0.1 * (100 / 101 - 10 / 11), rel=0.05)
    assert lopsided.acid_mol_per_L > 4 * lopsided.base_mol_per_L


def test_the_doubt_about_the_pH_grows_beyond_the_standard_buffers():
    weak, strong, beyond = (buffer_recipe("acetic acid", "NaOH", 4.65, 0.05, 25.0, strength).state
                            for strength in (0.05, 0.4, 1.0))
    assert weak.pH.standard_uncertainty < strong.pH.standard_uncertainty < beyond.pH.standard_uncertainty
    # Davies with 0.2 I and with 0.3 I (both in print, from memory): 0.051 I apart in lg gamma of the one ion, acetate.
    assert 2 * strong.pH.standard_uncertainty > 0.051 * 0.4
    assert beyond.beyond_limit


@pytest.mark.parametrize(("substance", "amount", "stock", "mL"), [
    ("hydrochloric acid", 0.02, 0.1, 200.0), ("HCl", 0.03, 1.0, 30.0), ("ammonia", 0.5, 5.0, 100.0),
    ("nitric acid", 0.03, 1.0, 30.0), ("phosphoric acid", 0.1, 1.0, 100.0),
])
def test_a_gas_and_an_acid_sold_dissolved_are_taken_as_solutions(substance, amount, stock, mL):
    # V = c V(buffer)/c(stock), hand calculation.
    found = stock_of(Ingredient(substance, exact(amount, "mol/L")))
    assert (found.concentration_mol_per_L, found.mL_per_L) == (stock, pytest.approx(mL))
    assert stock_of(Ingredient("acetic acid", exact(0.1, "mol/L"))) is None
    assert stock_of(Ingredient("NaOH", exact(0.1, "mol/L"))) is None


def test_tris_falls_by_three_hundredths_a_kelvin_and_phosphate_by_three_thousandths():
    # common practice, no source: tris -0.028 per K, phosphate -0.0028 per K
    assert buffer_recipe("tris(hydroxymethyl)aminomethane", "HCl", 8.1, 0.05, 25.0).state.per_K == pytest.approx(
        -0.028, abs=0.002)
    assert buffer_recipe("KH2PO4", "Na2HPO4", 7.0, 0.05, 25.0).state.per_K == pytest.approx(-0.0028, abs=0.0005)


def test_the_doubt_about_a_concentration_reaches_the_pH_with_its_sign():
    acid = Ingredient("KH2PO4", influence("test|acid", 0.025, 0.0005, "mol/L"))
    base = Ingredient("Na2HPO4", influence("test|base", 0.025, 0.0005, "mol/L"))
    parts = {part.key: part.amount for part in buffer_state((acid, base), 25.0).pH.contributions}
    more = buffer_state((Ingredient("KH2PO4", exact(0.0255, "mol/L")), base), 25.0).pH.value
    less = buffer_state((Ingredient("KH2PO4", exact(0.0245, "mol/L")), base), 25.0).pH.value
    assert parts["test|acid"] == pytest.approx((more - less) / 2, rel=0.01)
    assert parts["test|acid"] < 0 < parts["test|base"]


def test_a_pH_that_cannot_be_reached_names_acids_that_buffer_there():
    with pytest.raises(Refusal, match=r"gives pH 4\.\d\d to 9\.\d\d at 25 °C, not 11; near it buffer"):
        buffer_recipe("KH2PO4", "Na2HPO4", 11.0, 0.05, 25.0)
    assert "acetic acid" in acids_near(4.8)


@pytest.mark.parametrize(
    ("acid", "base", "strength", "degrees", "told"),
    [
        ("NaCl", "NaOH", 0.05, 25.0, "does not buffer"),
        ("KH2PO4", "sodium acetate", 0.05, 25.0, "different acids"),
        ("KH2PO4", "Na2HPO4", 50.0, 25.0, "a buffer of 50 mol/L"),
        ("KH2PO4", "Na2HPO4", 0.05, 90.0, "temperature"),
        ("unobtainium", "NaOH", 0.05, 25.0, "unobtainium"),
    ],
)
def test_what_makes_no_buffer_is_refused(acid, base, strength, degrees, told):
    with pytest.raises(Refusal, match=told):
        buffer_recipe(acid, base, 7.0, strength, degrees)


# --- standard buffers -------------------------------------------------------------------------------------------------


def test_between_two_temperatures_of_its_table_a_buffer_lies_between_their_values():
    for name in standard_buffers():
        one = standard_buffer(name)
        for low, high in zip(one.points, one.points[1:], strict=False):
            middle = standard_pH(name, (low.temperature_degC + high.temperature_degC) / 2).value
            ends = sorted((low.pH, high.pH))
            assert ends[0] - 0.002 <= middle <= ends[1] + 0.002
    assert standard_pH("phthalate", 20.0).value == pytest.approx(4.000, abs=1e-9)
    with pytest.raises(Refusal, match="holds 25 to 50 °C"):
        standard_pH("tartrate", 10.0)
    with pytest.raises(Refusal, match="choose from tetraoxalate"):
        standard_pH("vinegar", 25.0)


# --- between two buffers ----------------------------------------------------------------------------------------------


def test_a_sample_halfway_between_two_buffers_has_their_mean():
    found = bracketed_pH(read("phosphate", 10.0), read("borax", -126.0), exact(-58.0, "mV"), 25.0)
    assert found.pH.value == pytest.approx((6.865 + 9.180) / 2, abs=1e-9)
    assert found.slope_per_pH == pytest.approx(-136.0 / 2.315, rel=1e-9)
    assert found.slope_share == pytest.approx(136.0 / 2.315 / 59.159, rel=1e-4)
    assert found.reading_at_neutral == pytest.approx(10.0 - 136.0 / 2.315 * 0.135)
    assert not found.remarks


def test_readings_and_buffers_enter_the_uncertainty_as_a_sum_by_hand_has_them():
    found = bracketed_pH(read("phosphate", 10.0, u=0.2), read("borax", -126.0, u=0.2),
                         influence("test|sample", -58.0, 0.2, "mV"), 25.0)
    slope = 136.0 / 2.315
    by_hand = ((0.2 / slope) ** 2 * 1.5 + 2 * (0.005 / 2) ** 2) ** 0.5
    assert found.pH.standard_uncertainty == pytest.approx(by_hand, rel=0.01)
    assert [line.symbol for line in write_working(found.model).lines] == ["k", "pH"]


def test_readings_on_a_pH_scale_need_no_theory():
    buffers = [BufferReading(name, standard_pH(name, 25.0), exact(shown, "1"), 25.0)
               for name, shown in (("phthalate", 4.05), ("phosphate", 6.88))]
    found = bracketed_pH(*buffers, exact(5.0, "1"), 25.0)
    assert found.pH.value == pytest.approx(4.005 + 0.95 * 2.860 / 2.83, abs=1e-4)
    assert found.slope_share == pytest.approx(2.83 / 2.86, rel=1e-4)


def test_outside_the_buffers_the_pH_is_computed_and_held_back():
    found = bracketed_pH(read("phosphate", 10.0), read("borax", -126.0), exact(-200.0, "mV"), 25.0)
    assert [(one.kind, one.holds) for one in found.remarks] == [("sample-outside-buffers", True)]
    assert found.pH.value > 10


def test_a_tired_electrode_and_a_cold_buffer_are_remarked():
    tired = bracketed_pH(read("phosphate", 10.0), read("borax", -110.0), exact(-58.0, "mV"), 25.0)
    assert [one.kind for one in tired.remarks] == ["electrode-slope"]
    cold = bracketed_pH(read("phosphate", 10.0, 20.0), read("borax", -126.0, 20.0), exact(-58.0, "mV"), 25.0)
    assert "buffers-at-another-temperature" in [one.kind for one in cold.remarks]


@pytest.mark.parametrize(
    ("first", "second", "sample", "told"),
    [
        (read("phosphate", -126.0), read("borax", 10.0), exact(0.0, "mV"), "changed over"),
        (read("phosphate", 10.0), read("borax", 10.0), exact(0.0, "mV"), "changed over"),
        (read("phosphate", 10.0), read("phosphate", 9.0), exact(0.0, "mV"), "do not differ"),
        (read("phosphate", 10.0), read("borax", -126.0), exact(8.0, "1"), "give all three in mV"),
        (read("phosphate", 10.0), read("borax", -126.0), Estimate(0.1, "V"), "give all three in mV"),
    ],
)
def test_readings_that_cannot_be_are_refused(first, second, sample, told):
    with pytest.raises(Refusal, match=told):
        bracketed_pH(first, second, sample, 25.0)
