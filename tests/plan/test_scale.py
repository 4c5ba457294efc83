"""What may turn out weaker than nominal is held against the burette's scale."""

import pytest

from assaywright.assay.plan.contents import ends_of_scale
from assaywright.assay.plan.standardise import plan_standardisation
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from tests.plan.shelves import CAUSTIC, DAY, acid, no_file, planned, product_of, shelf_of, vessel

HALF = read_quantity("0.5 mol/L")


def test_a_titrant_within_five_per_cent_of_nominal_still_fits_the_burette():
    # 50 mL of 0.5 mol/L acid take 50/0.95 = 52.6 mL of a hydroxide 5 % too weak, by hand;
    # GB/T 601 wants within 5 % (read)
    shelf = shelf_of(vessel("burette", 50), vessel("pipette", 50), vessel("pipette", 25), acid("0.5"))
    plan = plan_standardisation("naoh-against-hcl", shelf, DAY, no_file, nominal=HALF).plan
    assert {one.setup.pipette.nominal.to("mL") for one in plan.options} == {25.0}
    with pytest.raises(Refusal, match="burette"):
        plan_standardisation("naoh-against-hcl", shelf_of(vessel("burette", 50), vessel("pipette", 50), acid("0.5")),
                             DAY, no_file, nominal=HALF)


def test_what_is_sought_in_the_burette_goes_inversely():
    assert ends_of_scale(None, 0.5, inverse=True) == pytest.approx((1 / 1.05, 1 / 0.95))
    assert ends_of_scale(product_of(), 20.0) == pytest.approx((0.99, 1.01))
    # without limits three standard deviations of the lots: 20.0 ± 0.24 % w/v
    lots = product_of(CAUSTIC.replace('lower = "19.8 % w/v"\nupper = "20.2 % w/v"\n', ""))
    assert ends_of_scale(lots, 20.0) == pytest.approx((0.988, 1.012))


def test_the_acids_own_uncertainty_is_held_against_the_scale_as_well():
    # 5 mL of 20.2 % w/v take 25.252/c mL of acid: 48.6 mL of 0.52 mol/L, and 50.0 mL of an acid 3 % weaker, by hand;
    # a hundredth of the burette is left for the start below zero (common practice, no source)
    parts = vessel("burette", 50), vessel("pipette", 5)
    assert planned(shelf_of(*parts, acid("0.52"))).options
    with pytest.raises(Refusal, match="burette"):
        planned(shelf_of(*parts, acid("0.52", relative=0.03)))
