"""Carbonate in a hydroxide: an indicator that turns near neutral leaves most of its second proton untitrated."""

import numpy as np
import pytest

from assaywright.assay.method import load_method
from assaywright.assay.plan.carbonate import ASSUMED_CARBONATE, carbonate_beside, with_carbonate
from assaywright.assay.plan.indicators import suitable_indicators
from assaywright.assay.plan.setup import PIPETTED
from assaywright.assay.titrated import titrated_system
from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.system import prepared
from assaywright.metrology.typed import read_quantity
from tests.plan.shelves import BALANCE, EIGHT, NORMAL_ACID, by_way, planned, product_of, shelf_of, vessel
from tests.plan.shelves import CAUSTIC as CAUSTIC_TEXT

METHOD = "caustic-soda-by-acid"
SHELF = (vessel("burette", 50), EIGHT, BALANCE, NORMAL_ACID)
SODA, CAUSTIC = 105.988, 39.997  # g/mol, CIAAW 2021 abridged


def error_at(pH: float, share: float) -> float:
    """Return what an end at a pH is off the total alkali, in a titration of 25 mL [mL]."""
    system = with_carbonate(titrated_system(load_method(METHOD), read_quantity("1 mol/L")), share)
    curve = titration_curve(prepared(system).titration)
    return float(np.interp(-pH, -curve.values, curve.volume_mL)) - 25.0


@pytest.mark.parametrize("pH", [7.0, 7.8])
def test_one_per_cent_of_carbonate_is_missed_near_neutral_as_by_hand(pH):
    # Of a carbonate's two protons the second is taken to the share [H2CO3]/([H2CO3] + [HCO3-]); left is 1/(1 + 10^(pK1
    # - pH)) of it. pK1 = 6.35 at 25 °C (from memory; CRC Handbook), about 6.1 at 0.2 mol/L of salt. 1 % of 25 mL holds
    # 0.125 mL for each proton: 0.108 mL are missing at pH 7 by 6.2, 0.122 mL at pH 7.8, of 40 mL 0.16 to 0.19 mL.
    left = 1 / (1 + 10 ** (6.2 - pH))
    assert error_at(pH, 0.01) == pytest.approx(-0.125 * left, rel=0.05)
    assert abs(error_at(pH, 0.0)) < 0.001


def test_the_plan_offers_no_indicator_that_turns_near_neutral_when_carbonate_is_there():
    option = by_way(planned(shelf_of(*SHELF)), PIPETTED)
    names = {one.name for one in option.other_indicators}
    assert option.other_indicators
    assert not names & {"bromothymol blue", "neutral red", "phenol red", "phenolphthalein", "litmus"}
    assert any(abs(one.titration_error_mL) > 0.003 for one in option.other_indicators)


def test_what_the_product_states_changes_the_error_and_is_counted_in_equivalents():
    method = load_method(METHOD)
    plain, little = product_of(), product_of(CAUSTIC_TEXT.replace("[[char", 'carbonate = "0.02 % w/v"\n[[char', 1))
    assert carbonate_beside(plain, method) == ASSUMED_CARBONATE
    # 0.02 g of Na2CO3 beside 20 g of NaOH: 2 × 0.02/105.988 over 20/39.997, by hand
    assert carbonate_beside(little, method) == pytest.approx(2 * 0.02 / SODA / (20 / CAUSTIC), rel=1e-3)
    assert carbonate_beside(plain, load_method("hydrochloric-acid-by-naoh")) == 0.0
    found = [suitable_indicators(method, 1.0, share, 40.0) for share in (0.01, carbonate_beside(little, method))]
    assert found[0] != found[1]


def test_a_trace_of_carbonate_is_counted_though_it_makes_no_step():
    # 0.01 % of 40 mL as carbonate: half of it, 0.002 mL, is not taken where bicarbonate is the end, by hand
    for one in suitable_indicators(load_method(METHOD), 1.0, 1e-4, 40.0):
        assert one.error_mL == pytest.approx(-0.002, abs=0.0008)
