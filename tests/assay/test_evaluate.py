"""The straight line from a worksheet to a result: trade check, shared influences, blanks, things counted once."""

import json
import math

import pytest

from assaywright.assay.stored import store
from assaywright.metrology.estimate import correlation, covariance
from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds, standardisation


def contribution(outcome, words):
    """Return the root sum of squares of the contributions whose label holds the words."""
    found = [part.amount for part in outcome.result.estimate.contributions if words in part.label]
    assert found, words
    return math.sqrt(sum(amount**2 for amount in found))


def test_forty_five_millilitres_of_normal_acid_on_nine_of_caustic_soda_are_twenty_per_cent():
    """45 mL of 1 N acid on 9 mL, M = 39.997 g/mol: 20.00 % w/v total alkali as NaOH (common practice, no source)."""
    by_hand = 45 * 1.0 * 39.997 / 9 / 10
    outcome = evaluated(assay(
        "caustic-soda-by-acid", name="hydrochloric acid 1 mol/L", formula="HCl", nominal="1 mol/L", pipette="9",
        titres=(45.00, 45.00, 45.00),
        titrant='concentration = "1.0000 mol/L ± 0.0005 mol/L, k = 2"\n'
                'certificate = { id = "C-1", issued = 2026-01-12, traceable_to = "SI" }'))
    assert f"{by_hand:.2f}" == "20.00"
    assert outcome.result.estimate.unit == "% w/v"
    assert outcome.result.estimate.value == pytest.approx(20.00, abs=0.005)


def test_a_product_assay_carries_its_budget_down_to_the_reference_material():
    outcome = evaluated(assay(), {"st1.toml": standardisation()})
    labels = " ".join(line.influence for line in outcome.budget)
    assert "RM-204" in labels
    assert "repeatability, worksheet ST-1" in labels
    assert "repeatability, worksheet WS-1" in labels

    def nodes(link):
        yield link
        for below in link.rests_on:
            yield from nodes(below)

    assert any(node.kind == "reference material" for node in nodes(outcome.chain))


def test_dropping_the_correlation_through_a_shared_burette_changes_the_result_uncertainty():
    """One burette, one scale: its error in the standardisation and in the assay partly cancels, in c V."""
    upstream = {"st1.toml": standardisation(titres=(39.42, 39.73, 38.69))}
    same = evaluated(assay(), upstream)
    other = evaluated(assay().replace('id = "B-07"', 'id = "B-08"'), upstream)
    assert contribution(same, "burette B-07") < 0.35 * math.hypot(
        contribution(other, "burette B-07"), contribution(other, "burette B-08"))
    assert same.result.estimate.standard_uncertainty < other.result.estimate.standard_uncertainty


def test_three_replicates_with_one_titrant_are_not_three_independent_results():
    """The titrant's relative uncertainty passes to the mean whole, not divided by the root of three."""
    outcome = evaluated(assay(titrant=CERTIFIED))
    relative = contribution(outcome, "certified concentration") / outcome.result.estimate.value
    assert relative == pytest.approx(0.0001 / 2 / 0.1, rel=1e-9)


def test_two_assays_with_one_titrant_are_correlated():
    upstream = {"st1.toml": standardisation()}
    first = evaluated(assay(identity="WS-1"), upstream).result.estimate
    second = evaluated(assay(identity="WS-2", titres=(41.02, 41.05, 41.00)), upstream).result.estimate
    assert 0.2 < correlation(first, second) < 1
    shared = {part.key for part in first.contributions} & {part.key for part in second.contributions}
    assert not any("repeatability" in key and "WS-" in key for key in shared)


def test_the_repeatability_enters_once():
    """With pooled s_r of 0.06 % the mean of three carries 0.06 %/sqrt(3), and no reading or drop beside it."""
    outcome = evaluated(assay(titrant=CERTIFIED, top='[repeatability]\npooled = "0.06 %, 30 degrees of freedom"\n'))
    value = outcome.result.estimate.value
    assert contribution(outcome, "repeatability") == pytest.approx(0.0006 / math.sqrt(3) * value, rel=1e-9)
    assert sum(1 for line in outcome.budget if "repeatability" in line.influence) == 1
    assert not any(word in line.influence for line in outcome.budget for word in ("reading", "drop"))


def test_no_influence_stands_twice_in_a_budget():
    outcome = evaluated(assay(), {"st1.toml": standardisation()})
    keys = [line.key for line in outcome.budget]
    assert len(keys) == len(set(keys))
    total = math.fsum(line.contribution**2 for line in outcome.budget)
    assert total == pytest.approx(outcome.result.estimate.variance, rel=1e-12)
    assert math.fsum(line.share for line in outcome.budget) == pytest.approx(1.0, rel=1e-12)


def test_the_observed_scatter_counts_with_its_few_degrees_of_freedom():
    """s/sqrt(n) with n - 1 degrees of freedom (JCGM 100:2008, 4.2.3): k exceeds the pooled case's."""
    pooled = evaluated(assay(titrant=CERTIFIED))
    observed = evaluated(assay(titrant=CERTIFIED, titres=(39.75, 39.90, 39.80),
                               top='[report]\nrepeatability = "observed"\n'))
    assert observed.statistics.repeatability_degrees_of_freedom == 2
    assert observed.result.coverage_factor > pooled.result.coverage_factor


def blank(volume):
    return f'[blank]\nkind = "indicator blank"\nvolume = "{volume} mL ± 0.02 mL, rectangular"\n'


def test_a_blank_lowers_a_direct_assay_and_raises_a_standardised_concentration():
    """V - V0 in the numerator of an assay, in the denominator of a standardisation (USP <541>)."""
    bare, blanked = (evaluated(assay(titrant=CERTIFIED, extra=extra)) for extra in ("", blank("0.05")))
    assert blanked.result.estimate.value / bare.result.estimate.value == pytest.approx(
        1 - 0.05 / ((39.81 + 39.84 + 39.80) / 3), rel=1e-6)
    bare, blanked = (evaluated(standardisation(extra=extra)) for extra in ("", blank("0.05")))
    assert blanked.result.estimate.value > bare.result.estimate.value


def test_a_blank_is_shared_by_all_replicates():
    """JOB edge case 20: its uncertainty is not divided by the number of determinations."""
    outcome = evaluated(assay(titrant=CERTIFIED, extra=blank("0.05")))
    relative = contribution(outcome, "indicator blank") / outcome.result.estimate.value
    assert relative == pytest.approx(0.02 / math.sqrt(3) / (39.8167 - 0.05), rel=1e-4)


def test_a_stored_result_serves_as_titrant_like_the_worksheet_it_came_from():
    upstream = {"st1.toml": standardisation()}
    direct = evaluated(assay(), upstream).result.estimate
    saved = json.dumps(store(evaluated(standardisation())))
    again = evaluated(assay(titrant='stored = "st1.json"'), {"st1.json": saved}).result.estimate
    assert again.value == pytest.approx(direct.value, rel=1e-15)
    assert again.standard_uncertainty == pytest.approx(direct.standard_uncertainty, rel=1e-12)
    assert covariance(again, direct) == pytest.approx(direct.variance, rel=1e-12)


def test_the_mean_of_two_standardisations_adds_what_they_share_once():
    files = {"st1.toml": standardisation(), "st2.toml": standardisation("ST-2", titres=(38.60, 38.92, 37.88))}
    both = 'worksheets = ["st1.toml", "st2.toml"]\nin_force = "mean of accepted"'
    outcome = evaluated(assay(titrant=both), files)
    alone = evaluated(assay(), files)
    assert contribution(outcome, "RM-204") == pytest.approx(contribution(alone, "RM-204"), rel=0.01)
    assert contribution(outcome, "repeatability, worksheet ST-1") == pytest.approx(
        contribution(alone, "repeatability, worksheet ST-1") / 2, rel=0.01)
    assert not [kind for kind in kinds(outcome) if "disagree" in kind]


def test_standardisations_that_disagree_hold_the_assay_back():
    files = {"st1.toml": standardisation(), "st2.toml": standardisation("ST-2", titres=(38.30, 38.60, 37.59))}
    both = 'worksheets = ["st1.toml", "st2.toml"]\nin_force = "mean of accepted"'
    outcome = evaluated(assay(titrant=both), files)
    assert "standardisations-disagree" in kinds(outcome)
    assert not outcome.releasable


def test_a_circular_chain_is_refused_and_named():
    """JOB edge case 71: acid set by base set by the same acid."""
    a = assay(titrant='worksheets = ["b.toml"]', identity="A")
    ring = standardisation_against("b.toml", "c.toml"), standardisation_against("c.toml", "b.toml")
    with pytest.raises(Refusal, match=r"circular: b.toml rests on c.toml rests on b.toml"):
        evaluated(a, {"b.toml": ring[0], "c.toml": ring[1]})


def standardisation_against(own, other):
    """Return a standardisation of hydrochloric acid against a solution whose value stands on another worksheet."""
    return (f'format = "assaywright worksheet 1"\nkind = "standardisation"\nid = "{own}"\nmethod = "hcl-against-naoh"\n'
            'performed = 2026-10-05\nanalyst = "Ines Okafor"\n[titrant]\nname = "acid"\nformula = "HCl"\n'
            'nominal = "0.1 mol/L"\n[against]\nname = "base"\nformula = "NaOH"\n'
            f'worksheets = ["{other}"]\nin_burette = true\n'
            '[vessels.burette]\nkind = "burette"\nid = "B"\nnominal = "50 mL"\ntolerance = "0.05 mL, triangular"\n'
            '[vessels.pipette]\nkind = "pipette"\nid = "P"\nnominal = "25 mL"\ntolerance = "0.03 mL, triangular"\n'
            '[[determination]]\npipette = "pipette"\ninitial = "0.00 mL"\nfinal = "25.00 mL"\n')


def test_a_missing_titrant_worksheet_is_refused_by_name():
    with pytest.raises(Refusal, match=r"st1\.toml"):
        evaluated(assay(), {})


def test_an_assay_does_not_serve_as_standardisation():
    with pytest.raises(Refusal, match="is an assay, not a standardisation"):
        evaluated(assay(titrant='worksheets = ["other.toml"]'), {"other.toml": assay(titrant=CERTIFIED)})


def test_the_factor_is_actual_over_nominal():
    """JOB edge case 9: f = c/c_nominal."""
    result = evaluated(standardisation()).result
    assert result.factor == pytest.approx(result.estimate.value / 0.1)


def test_recomputing_gives_the_same_figures():
    first, second = (evaluated(assay(), {"st1.toml": standardisation()}) for _ in range(2))
    assert first.result == second.result
    assert [line.value for line in first.working.lines] == [line.value for line in second.working.lines]


def test_simulation_agrees_where_degrees_of_freedom_are_many_and_says_why_where_they_are_few():
    """JCGM 101:2008, clause 8."""
    many = evaluated(assay(titrant=CERTIFIED, top='[repeatability]\npooled = "0.06 %, 40 degrees of freedom"\n'),
                     monte_carlo=1_000_000, seed=1)
    few = evaluated(assay(titrant=CERTIFIED, titres=(39.75, 39.92, 39.80),
                          top='[report]\nrepeatability = "observed"\n'),
                    monte_carlo=1_000_000, seed=1)
    assert many.monte_carlo.agrees
    assert not few.monte_carlo.agrees
    assert "degrees of freedom" in few.monte_carlo.reason
    assert "monte-carlo-differs" in kinds(few)
