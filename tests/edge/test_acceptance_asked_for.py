"""One lot for three markets: further rules of acceptance on the same readings, asked for by name on the worksheet."""

import pytest

from assaywright.assay.method import load_method
from assaywright.assay.other_rules import held_against
from assaywright.metrology.refusal import Refusal
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds, standardisation
from tests.edge.house import remarks_of


def asked(rules, titres=(39.81, 39.84, 39.80)):
    """Return the outcome of an assay with further rules; the method's own are a range of 0.3 % and ISO 5725-6."""
    return evaluated(assay(titrant=CERTIFIED, titres=titres, top=f"[report]\nacceptance = {rules}\n"))


def test_every_rule_asked_for_tells_what_it_found_under_its_name():
    """Range 0.04 mL of 39.8167: 0.1005 %; s = 0.0208 mL: 0.0523 % (by hand)."""
    outcome = asked('["Ph. Eur. RSD", "range, 0.2 %"]')
    told = outcome.statistics.acceptance
    assert [one.split(":")[0] for one in told] == ["range", "ISO 5725-6 critical range", "Ph. Eur. RSD", "range"]
    assert told[2] == ("Ph. Eur. RSD: The relative standard deviation of 3 determinations is 0.05228 %, within 0.2 %.")
    assert told[3] == "range: The relative range of 3 determinations is 0.1005 %, within 0.2 %."
    assert outcome.releasable


@pytest.mark.parametrize(("rules", "accepted"), [
    ('["Ph. Eur. RSD, 0.06 %"]', True), ('["Ph. Eur. RSD, 0.05 %"]', False),
    ('["range, 0.101 %"]', True), ('["range, 0.1 %"]', False),
    ('["GB/T 601 two persons by four"]', False),
])
def test_a_rule_asked_for_holds_the_result_when_it_is_not_met(rules, accepted):
    """0.1005 % and 0.0523 % as above; GB/T 601 asks for eight determinations by two persons (from memory)."""
    outcome = asked(rules)
    assert outcome.statistics.accepted is accepted
    assert ("replicates-not-accepted" in kinds(outcome)) is not accepted
    assert outcome.releasable is accepted


def test_a_rule_that_lacks_determinations_says_how_many():
    told = remarks_of(asked('["GB/T 601 two persons by four"]'), "replicates-not-accepted")
    assert told[0].what == ("GB/T 601 two persons by four: Two persons make four determinations each; so far "
                            "Ines Okafor 3; it asks for 5 more")


def test_three_markets_are_judged_on_the_same_eight_readings():
    """39.80 to 39.84 mL, a range of 0.1005 % of 39.82 mL: within 0.15 and 0.18 %, and by its s within 0.2 %."""
    rows = assay(titrant=CERTIFIED, titres=(39.80, 39.81, 39.83, 39.84, 39.80, 39.82, 39.83, 39.84),
                 top='[report]\nacceptance = ["GB/T 601 two persons by four", "Ph. Eur. RSD"]\n')
    parts = rows.split("[[determination]]")
    text = "[[determination]]".join(
        part + ('analyst = "Jonas Feld"\n' if number > 4 else "") for number, part in enumerate(parts))
    outcome = evaluated(text)
    assert outcome.statistics.accepted
    assert outcome.releasable
    rules = [one.split(":")[0] for one in outcome.statistics.acceptance]
    assert rules[-2:] == ["GB/T 601 two persons by four", "Ph. Eur. RSD"]
    assert outcome.result.estimate.value == pytest.approx(0.1 * 39.82125 / 10, rel=1e-6)


def test_a_rule_that_the_method_has_already_is_told_once():
    """The base's own method asks for an RSD of 0.2 % (Ph. Eur., from memory)."""
    plain = evaluated(standardisation())
    again = evaluated(standardisation(top='[report]\nacceptance = ["Ph. Eur. RSD"]\n'))
    assert again.statistics.acceptance == plain.statistics.acceptance


@pytest.mark.parametrize(("rules", "sentence"), [
    ('["Ph. Eur."]', 'ws.toml: report, acceptance: "Ph. Eur." is not one of the choices; write "Ph. Eur. RSD" if'),
    ('["range"]', 'ws.toml: report, acceptance: the rule "range" has no limit; write it like "range, 0.2 %".'),
    ('["range, 0 %"]', "ws.toml: report, acceptance: "),
    ('["range, 0.2"]', "ws.toml: report, acceptance: "),
    ('["range, 0.2 mL"]', "ws.toml: report, acceptance: "),
    ('["ISO 5725-6 critical range, 0.2 %"]', 'ws.toml: report, acceptance: the rule "ISO 5725-6 critical range" has'),
    ('["Ph. Eur. RSD", "Ph. Eur. RSD"]', 'ws.toml: report, acceptance: "Ph. Eur. RSD" is asked for twice'),
    ('"Ph. Eur. RSD"', 'ws.toml: report, acceptance: the text "Ph. Eur. RSD" stands where a list is wanted'),
    ('[""]', 'ws.toml: report, acceptance: "" is not one of the choices'),
])
def test_a_rule_that_cannot_be_is_refused_by_its_field(rules, sentence):
    with pytest.raises(Refusal) as caught:
        asked(rules)
    assert str(caught.value).startswith(sentence)
    assert str(caught.value).isprintable()


def held(outcome, method):
    return {one.rule: one for one in held_against(outcome, load_method(method))}


def test_every_rule_is_held_against_the_same_readings_and_only_the_methods_own_decides():
    """As above 0.1005 % and 0.0523 %; ISO 5725-6 Table 1 prints f(3) = 3.3 (from memory), so the limit is 3.3 s(r)."""
    outcome = asked("[]")
    found = held(outcome, "hydrochloric-acid-by-naoh")
    assert {rule: one.standing != "" for rule, one in found.items()} == {
        "range": True, "ISO 5725-6 critical range": True, "GB/T 601 two persons by four": False, "Ph. Eur. RSD": False}
    assert (found["range"].figure, found["range"].limit) == ("0.100 %", "0.3 %")
    assert (found["Ph. Eur. RSD"].figure, found["Ph. Eur. RSD"].outcome) == ("0.0523 %", "met")
    critical = found["ISO 5725-6 critical range"]
    assert float(critical.limit.removesuffix(" %")) == pytest.approx(3.3 * 0.08, abs=0.05 * 0.08)
    assert "the laboratory's own is missing" in critical.note
    persons = found["GB/T 601 two persons by four"]
    assert (persons.outcome, persons.further, persons.figure) == ("incomplete", 5, "")
    assert "so far Ines Okafor 3" in persons.note
    assert "written for volumetric solutions" in persons.note
    assert outcome.releasable, "nothing of it decides"


def test_a_rule_without_its_figure_says_what_is_missing_and_one_that_fails_says_so():
    """Of 40 mL a range of 0.30 mL is 0.75 %, s = 0.15 mL 0.375 % (by hand)."""
    outcome = evaluated(standardisation(masses=(0.8169,) * 3, titres=(39.85, 40.00, 40.15)))
    found = held(outcome, "naoh-by-khp")
    assert found["range"].outcome == "cannot be applied"
    assert "neither the method nor the worksheet states one" in found["range"].note
    assert (found["Ph. Eur. RSD"].outcome, found["Ph. Eur. RSD"].figure) == ("not met", "0.375 %")
    assert "decides" in found["Ph. Eur. RSD"].standing
    assert "volumetric" not in found["Ph. Eur. RSD"].note, "it is one"
