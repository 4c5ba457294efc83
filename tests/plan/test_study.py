"""What the plan predicts holds on the simulated bench; ``python -m tests.plan.study`` plays many more chains."""

import math

import pytest
from scipy.stats import binom, chi2

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.plan.shelf import read_shelf
from assaywright.assay.plan.standardise import plan_standardisation
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.typed import read_quantity
from tests.bench.chains import _base_by_phthalate, _titrant
from tests.bench.chance import Chance
from tests.bench.laboratory import Laboratory
from tests.bench.sheets import standardise_by_solution
from tests.plan.shelves import DAY
from tests.plan.study import WAYS, shelf_of_bench, tally

CHAINS = 40
LEAST_P = 0.001

pytestmark = [pytest.mark.slow, pytest.mark.xdist_group("plan study")]


@pytest.mark.parametrize("way", list(WAYS))
def test_the_predicted_uncertainty_is_that_of_the_evaluation_and_of_the_bench(way):
    found = tally(way, range(CHAINS), seed=20261102)
    assert found.ratio == pytest.approx(1.0, abs=0.10)
    squares = sum(one * one for one in found.errors)  # of a spread that is within a tenth of 1, either way
    assert squares < 1.1**2 * chi2.ppf(1 - LEAST_P, CHAINS)
    assert squares > 0.9**2 * chi2.ppf(LEAST_P, CHAINS)
    assert binom.ppf(LEAST_P, CHAINS, 0.93) <= found.covered <= CHAINS
    assert math.isfinite(found.spread)


def test_a_titrant_set_against_a_solution_gets_the_uncertainty_that_its_evaluation_states():
    """The bench's readings with the method's own repeatability: the plan of the same burette, pipette and base."""
    ratios, errors = [], []
    for number in range(CHAINS):
        lab = Laboratory(Chance((number, 20261130)))
        first, base = _base_by_phthalate(lab, 0.5, 3)
        sought = _titrant(lab, "hydrochloric acid", "HCl", 0.5)
        sheet, _ = standardise_by_solution(lab, "second.toml", "hcl-against-naoh", sought, base, 25, 3)
        files = {one.path: one.text().replace('repeatability = "observed"', 'repeatability = "pooled"').encode()
                 for one in (first, sheet)}
        result = evaluate_worksheet(parse_worksheet(files["second.toml"], "second.toml"), files.__getitem__).result
        sheet.tables["titrant"] = {key: value for key, value in sheet.tables["against"].items() if key != "in_burette"}
        shelf = read_shelf(shelf_of_bench(sheet).encode(), "shelf.toml")
        plan = plan_standardisation("hcl-against-naoh", shelf, DAY, files.__getitem__,
                                    nominal=read_quantity("0.5 mol/L")).plan
        predicted = plan.options[0].relative_uncertainty
        assert plan.options[0].setup.pipette.nominal.text == "25 mL"
        value, truth = result.estimate.value, sheet.truths[""]
        ratios.append(predicted / (result.expanded_uncertainty / value))
        errors.append((value - truth) / truth / (predicted / 2))
    assert sum(ratios) / len(ratios) == pytest.approx(1.0, abs=0.05)
    squares = sum(one * one for one in errors)
    assert 0.8**2 * chi2.ppf(LEAST_P, CHAINS) < squares < 1.2**2 * chi2.ppf(1 - LEAST_P, CHAINS)
