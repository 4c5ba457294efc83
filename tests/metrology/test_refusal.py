"""A refusal's sentence: its place once, in front, and nothing where there is none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.refusal import Refusal, placed
from assaywright.metrology.typed import read_quantity
from tests.house.sentences import assert_well_said

PARTS = st.sampled_from(["", "lot 0951", "WS-26-0951", "WS-26-0951-2", "nominal", "determination 1, final", "titrant"])
CLAUSES = st.sampled_from(["no certificate", "is in review", "the final reading is missing", "’s titre is negative"])


@given(st.lists(PARTS, max_size=4), PARTS, CLAUSES)
def test_a_sentence_says_no_place_twice_and_begins_with_a_word(places, subject, clause):
    what = f"{subject} {clause}" if subject else clause.lstrip("’")
    told = Refusal(what, where=": ".join(places), remedy="look again")
    assert_well_said(str(told))
    assert all(place in str(told) for place in places)
    assert str(told).endswith(f"{what}; look again.")


@pytest.mark.parametrize(
    ("where", "what", "sentence"),
    [
        (": nominal", "the number 0.1 has no unit", "nominal: the number 0.1 has no unit"),
        (", nominal", "the number 0.1 has no unit", "nominal: the number 0.1 has no unit"),
        ("lot 0951: lot 0951", "no certificate", "lot 0951: no certificate"),
        ("lot 0951", "lot 0951: no certificate", "lot 0951: no certificate"),
        ("WS-26-0951", "WS-26-0951 is in review", "WS-26-0951 is in review"),
        ("WS-26-0951: determination 1", "determination 1, final: 24,50", "WS-26-0951: determination 1, final: 24,50"),
        ("WS-26-0951", "WS-26-0951-2 is another", "WS-26-0951: WS-26-0951-2 is another"),
        ("titrant", "titrants differ", "titrant: titrants differ"),
        ("", "it cannot be", "it cannot be"),
    ],
)
def test_a_place_stands_in_front_once(where, what, sentence):
    assert placed(where, what) == sentence


def test_a_kind_of_quantity_is_named_once_with_its_units():
    with pytest.raises(Refusal, match=r"^a volume in mL or L is expected, and g is a unit of mass; give it"):
        read_quantity("12 g", "mL", "L")
    with pytest.raises(Refusal, match=r"^a mass in g or kg or a volume in mL is expected, and h is a unit of time"):
        read_quantity("12 h", "g", "kg", "mL")
