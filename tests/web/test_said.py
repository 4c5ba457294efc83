"""Sentences that a browser shows: numbers of worksheets and labels of fields, nothing of the files they come from."""

import pytest

from assaywright.metrology.refusal import Refusal


@pytest.mark.parametrize(
    ("what", "where", "remedy", "said"),
    [
        ("the tare 61 g is above the gross mass 57 g", "WS-26-0951.toml: determination 4, tare", "check both",
         "WS-26-0951: determination 4, tare: the tare 61 g is above the gross mass 57 g; check both."),
        ("nothing is known of it", "lot-0941.toml", "assay it", "lot 0941: nothing is known of it; assay it."),
        ("a reagent in excess is added, and there is no [reagent] table", "determination 1, excess_temperature",
         "add [reagent] for a back titration, or leave the field out",
         ("determination 1, temperature of the reagent in excess: a reagent in excess is added, and there is no "
         "reagent in excess; add the reagent in excess for a back titration, or leave the field out.")),
        ("no burette", "vessels", "describe it in a table [vessels.burette]",
         "vessels: no burette; choose the burette under Equipment."),
        ("the solution is worth nothing", "titrant", 'give worksheets = ["..."], stored = "..."',
         "titrant: the solution is worth nothing; give worksheets as “...”, stored as “...”."),
        ("WS-26-0951 is in review", "WS-26-0951.toml", "wait", "WS-26-0951 is in review; wait."),
        ("no certificate", "lot-0951.toml: lot 0951", "assay it", "lot 0951: no certificate; assay it."),
        ("there is no method 'caustic'", "method", "assaywright methods lists them all",
         "method: there is no method 'caustic'; Methods in the menu lists them all."),
    ],
)
def test_a_refusal_speaks_of_the_page(what, where, remedy, said):
    from assaywright.web.said import in_words

    told = in_words(Refusal(what, where=where, remedy=remedy))
    assert told == said


def test_a_sentence_that_was_joined_before_says_its_place_once_too():
    from assaywright.web.said import in_words

    assert in_words("WS-26-0951.toml: WS-26-0951 is in review.") == "WS-26-0951 is in review."
    assert in_words(": nominal: no unit") == "nominal: no unit"
    assert in_words("determination 1, excess_temperature") == "determination 1, temperature of the reagent in excess"


def test_an_option_of_the_command_line_is_no_remedy_on_a_page():
    from assaywright.web.said import in_words

    told = in_words(Refusal("the nominal content is not stated", where="lot", remedy="state it with --nominal"))
    assert "--" not in told
    assert "correct it on the page" in told


def test_no_remedy_of_the_floors_below_reaches_a_page_as_toml():
    """Every remedy in the source of worksheets' readers, put into words, holds no square bracket, no equals sign."""
    import ast

    from assaywright.web.said import in_words
    from tests.house.sources import PACKAGE

    found = 0
    for file in sorted((PACKAGE / "assay").rglob("*.py")):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if isinstance(node, ast.keyword) and node.arg == "remedy" and isinstance(node.value, ast.Constant):
                found += 1
                told = in_words(Refusal("it cannot be", remedy=str(node.value.value))).replace("k = 2", "")
                assert not set("[]{}=") & set(told), (file.name, told)
                assert "--" not in told, (file.name, told)
                assert ".toml" not in told, (file.name, told)
    assert found > 50
