"""Reference materials and balances that leave out what a result needs: computed, and held back or asked about.

That a reference material's content is used with its uncertainty: ISO/IEC 17025:2017, 6.5 and 7.6.1; that name and
formula are compared, and the bound of 1 %: common practice, no source.
"""

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.worksheet import parse_worksheet
from assaywright.cli.demo_story import laboratory

SHEET = laboratory()["titrants/hydrochloric-acid-by-sodium-carbonate.toml"].decode()
CONTENT = 'content = "99.96 % ± 0.04 %, k = 2"'


def evaluated(*changes):
    text = SHEET
    for before, after in changes:
        assert before in text
        text = text.replace(before, after)
    return evaluate_worksheet(parse_worksheet(text.encode(), "std.toml"), laboratory().__getitem__)


def held(outcome):
    return {one.kind: one.holds for one in outcome.remarks}


@pytest.mark.parametrize(("changes", "kind", "holds"), [
    ([(CONTENT, 'content = "99.96 %"')], "content-without-uncertainty", True),
    ([(CONTENT, 'content = "99 % ± 4 %, k = 2"')], "content-uncertainty-large", False),
    ([('formula = "Na2CO3"', 'formula = "NaHCO3"')], "standard-of-another-kind", True),
    ([('readability = "0.1 mg"', ""), ('linearity = "0.2 mg, rectangular"', "")], "balance-without-figures", True),
])
def test_what_is_not_stated_or_cannot_be_so_is_told(changes, kind, holds):
    assert kind not in held(evaluated())
    assert held(evaluated(*changes))[kind] is holds


def test_a_formula_that_is_not_that_of_the_name_is_told_by_both():
    told = [one.what for one in evaluated(('formula = "Na2CO3"', 'formula = "NaHCO3"')).remarks]
    assert any(one == "sodium carbonate is Na2CO3, and NaHCO3 is stated" for one in told)


def test_the_budget_says_that_no_uncertainty_is_stated():
    outcome = evaluated((CONTENT, 'content = "99.96 %"'))
    labels = [line.influence for line in outcome.budget]
    assert any("no uncertainty stated" in one for one in labels)
