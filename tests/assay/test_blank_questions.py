"""A blank titrated likewise is held against the whole of the reagent, and against the titrations before it.

V_B = V_r c_r z_r/(c_t z_t): 50 mL of acid 0.5 mol/L takes 50 mL of caustic 0.5 mol/L (by stoichiometry, one to one).
"""

import pytest

from assaywright.assay.asked import asked, handling_of
from assaywright.assay.bench.blank_questions import blank_questions
from assaywright.assay.method import load_method

METHOD = load_method("calcium-carbonate-by-excess-acid")
HEADING = {
    "titrant": {"name": "caustic 0.5 mol/L", "nominal": "0.5 mol/L"},
    "reagent": {"name": "acid 0.5 mol/L", "nominal": "0.5 mol/L"},
    "vessels": {"burette": {"kind": "burette", "nominal": "50 mL", "graduation": "0.1 mL"},
                "excess pipette": {"kind": "pipette", "nominal": "50 mL"}},
}


def about(*titrations):
    wanted = asked(METHOD, handling_of(METHOD, HEADING, []))
    found = blank_questions(METHOD, HEADING, wanted, dict(enumerate(titrations, 1)))
    return {(one.name, one.code) for one in found}


def read(final):
    return {"initial": "0.00 mL", "final": f"{final} mL"}


@pytest.mark.parametrize(("titrations", "question"), [
    ([read("46.20")], ("titrations.1.final", "far-from-expected")),  # 7.6 % below the 50 mL of the plan
    ([read("49.20"), read("49.40")], ("titrations.2.final", "far-from-expected")),  # 0.20 mL is four drops
    ([read("49.20"), read("42.50")], ("titrations.2.final", "far-from-expected")),
    ([read("49.28"), read("48.29")], ("titrations.2.final", "far-from-expected")),
    ([read("49.31"), read("49.13")], ("titrations.2.final", "digits-exchanged")),
])
def test_a_blank_far_from_what_is_expected_is_asked_about(titrations, question):
    assert question in about(*titrations)


@pytest.mark.parametrize("titrations", [
    [read("49.20")], [read("48.60")], [read("49.20"), read("49.28")],
    [{"fillings": [["0.00 mL", "45.00 mL"], ["0.00 mL", "4.20 mL"]]}, read("49.20")],
])
def test_an_ordinary_blank_is_asked_nothing(titrations):
    assert about(*titrations) == set()


def test_a_reading_half_typed_is_asked_nothing():
    assert about({"initial": "0.00 mL", "final": ""}, {"initial": "", "final": "x"}) == set()
