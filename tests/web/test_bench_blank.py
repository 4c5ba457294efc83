"""The titrated blank at the bench: refilled like a determination, asked about like one, refused off the scale.

A refilled burette is read twice: its titre is the sum over its fillings (common practice, no source).
"""

import json

import pytest

from tests.records.test_acts import BLANK as INDICATOR
from tests.web.test_bench_page import act, keeps, post, sent

pytestmark = pytest.mark.usefixtures("laboratory")


def looked(client, identity, **texts):
    answer = post(client, f"/bench/live/{identity}", {"place": 0, "texts": texts})
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def finished(client, identity, **readings):
    """Keep the blank's readings and put it on record; return the last answer."""
    named = [(name.replace("_again", " 1.2").replace("_second", " 2"), text) for name, text in readings.items()]
    return sent(client, *keeps(named, place=0, identity=identity), act("finish", place=0, identity=identity))[-1]


@pytest.fixture
def client(browser):
    return browser("ines")


@pytest.fixture
def untitrated(laboratory):
    """A worksheet with an indicator blank, whose blank is not titrated yet."""
    from assaywright.records.models import Assay

    like = Assay.objects.get(pk=INDICATOR)
    heading = {name: table for name, table in like.content.items() if name != "blank"}
    Assay.objects.filter(pk=INDICATOR).update(body=json.dumps(heading), stage="titrating")
    return INDICATOR


def titrations(identity):
    from assaywright.records.models import Assay

    return Assay.objects.get(pk=identity).content["blank"]["titrations"]


def said_of_blank(identity):
    from assaywright.records.models import Assay
    from assaywright.records.selectors.stated import stated

    return next(one.value for one in stated(Assay.objects.get(pk=identity).content) if one.words == "blank")


def test_a_refilled_titration_of_the_blank_is_one_titration_and_a_further_one_another(client, untitrated):
    answer = finished(client, untitrated, initial="0.00", final="49.90", initial_again="0.10", final_again="1.32",
                      initial_second="0.00", final_second="0.04")
    assert answer["state"] == "kept", answer
    assert titrations(untitrated) == [{"fillings": [["0.00 mL", "49.90 mL"], ["0.10 mL", "1.32 mL"]]},
                                      {"initial": "0.00 mL", "final": "0.04 mL"}]
    assert said_of_blank(untitrated).startswith("titrated 0.00 mL to 49.90 mL and again 0.10 mL to 1.32 mL")
    page = " ".join(client.get(f"/bench/{untitrated}").content.decode().split())
    for name, text in (("final 1.2", "1.32"), ("final 2", "0.04")):
        assert f'name="{name}"' in page
        assert f'value="{text}"' in page


@pytest.mark.parametrize(("readings", "sentence"), [
    ({"initial": "0.00", "final": "99.50"}, "beyond the burette"),
    ({"initial": "-0.50", "final": "0.05"}, "above the zero mark"),
    ({"initial": "0.00", "final": "49.90", "initial_again": "1.32", "final_again": "0.10"}, "filling 2"),
    ({"initial": "0.00", "final": "49.90", "initial_again": "1.32"}, "a reading is missing"),
    ({"initial": "0.00", "final": "0.04", "temperature": "70"}, "titration 1, temperature"),
])
def test_a_blank_that_cannot_be_is_not_put_on_record(client, untitrated, readings, sentence):
    answer = finished(client, untitrated, **readings)
    assert answer["state"] == "refused"
    assert sentence.casefold() in answer["sentence"].casefold()


@pytest.mark.parametrize(("texts", "name", "code"), [
    ({"initial": "0.00", "final": "99.50"}, "final", "beyond-the-scale"),
    ({"initial": "0.50", "final": "0.05"}, "final", "final-before-initial"),
    ({"initial": "0.00", "final": "0.18"}, "final", "large-blank"),
    ({"initial": "0.00", "final": "0.02", "initial 2": "0.02", "final 2": "0.42"}, "final 2", "large-blank"),
    ({"initial": "0.00", "final": "49.90", "initial 1.2": "2.00", "final 1.2": "1.00"}, "final 1.2",
     "final-before-initial"),
])
def test_an_odd_reading_of_the_blank_is_asked_about_beside_it(client, untitrated, texts, name, code):
    assert f'data-name="{name}" data-code="{code}"' in looked(client, untitrated, **texts)


def test_a_blank_typed_while_the_server_was_away_is_asked_about_before_it_goes_on_record(client, untitrated):
    readings = [("initial", "0.00"), ("final", "0.18")]
    away = act("finish", place=0, identity=untitrated, looked=False)
    answer = sent(client, *keeps(readings, place=0, identity=untitrated), away)[-1]
    assert (answer["state"], answer["asked"]) == ("refused", True)
    assert "blank, final: typed while the server was away; is it so? An indicator blank of 0.18" in answer["sentence"]
    confirmed = act("confirm", place=0, identity=untitrated, name="final", text="0.18", code="large-blank",
                    question="Is a blank of 0.18 mL so?")
    assert sent(client, confirmed, {**away, "uuid": confirmed["uuid"][:-3] + "000"})[-1]["state"] == "kept"
    assert titrations(untitrated) == [{"initial": "0.00 mL", "final": "0.18 mL"}]


def test_a_blank_from_paper_has_its_own_person_and_day_and_the_reviewer_sees_them(client, untitrated):
    from assaywright.actions.assays import worked_on
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay, Person

    paper = {"from_paper": True, "titrated_by": "jonas", "titrated_on": "2026-10-01"}
    readings = keeps([("initial", "0.00"), ("final", "0.04")], place=0, identity=untitrated, **paper)
    assert "The sheet is said to be of 2026-10-01; the worksheet was begun on" in sent(
        client, *readings, act("finish", place=0, identity=untitrated))[-1]["sentence"]
    assert 'data-name="final" data-code="paper-day"' in looked(client, untitrated, initial="0.00", final="0.04")
    again = keeps([("initial", "0.00"), ("final", "0.04")], place=0, identity=untitrated,
                  **{**paper, "titrated_on": "2026-11-12"})
    finish = act("finish", place=0, identity=untitrated)
    once = sent(client, *again, finish)
    assert once[-1]["state"] == "kept", once
    assert sent(client, finish) == once[-1:], "the same act again"
    assay, jonas = Assay.objects.get(pk=untitrated), Person.objects.get(pk="jonas").name
    blank = assay.content["blank"]
    assert (blank["analyst"], blank["at"]) == (jonas, "2026-11-12")
    assert f"Titrated by {jonas} on 2026-11-12." in client.get(f"/bench/{untitrated}").content.decode()
    said = said_of_blank(untitrated)
    assert f"titrated by {jonas}; titrated on 12 November 2026" in said
    assert "typed from paper by" in said
    assert jonas in evaluate_assay(assay).worksheet.analysts
    assert worked_on("jonas", assay), "nobody reviews their own work"
    corrected = act("correct", place=0, identity=untitrated, name="final", text="0.06", reason="misread at the bench")
    answer = sent(client, corrected)[0]
    assert answer["state"] == "kept", answer
    assert Assay.objects.get(pk=untitrated).content["blank"]["analyst"] == jonas
    assert 'data-code="paper-day"' not in looked(client, untitrated, initial="0.00", final="0.06"), "it is on record"


def test_a_blank_that_comes_late_overrides_neither_anothers_reading_nor_the_one_on_record(client, browser, untitrated):
    tomas, blank = browser("tomas"), {"place": 0, "identity": untitrated}
    sent(client, *keeps([("initial", "0.00"), ("final", "0.04")], typed_at="2026-11-30T09:05:00.000Z", **blank))
    late = keeps([("final", "0.06")], by="tomas", typed_at="2026-11-30T09:00:00.000Z", **blank)
    assert sent(tomas, *late)[0]["late"] is True
    finish = act("finish", looked=False, shown={"initial": "0.00", "final": "0.06"}, **blank)
    for shown in ({"initial": "0.00", "final": "0.06"}, {"initial": "0.00", "final": "0.04"}):
        answer = sent(client, {**finish, "shown": shown})[0]
        assert answer["state"] == "refused"
        assert "came in late" in answer["sentence"]
    stands = [*keeps([("final", "0.04")], **blank), {**finish, "shown": {"initial": "0.00", "final": "0.04"}}]
    assert [one["state"] for one in sent(client, *stands)] == ["kept", "kept"]
    answer = sent(tomas, *keeps([("final", "0.08")], by="tomas", **blank),
                  act("finish", by="tomas", looked=False, shown={"initial": "0.00", "final": "0.08"}, **blank))
    assert answer[0]["on_record"] == {"initial": "0.00", "final": "0.04"}
    assert (answer[1]["state"], answer[1]["on_record"]["final"]) == ("refused", "0.04")
    assert titrations(untitrated) == [{"initial": "0.00 mL", "final": "0.04 mL"}]


def test_an_ordinary_blank_is_not_asked_about(client, untitrated):
    shown = looked(client, untitrated, **{"initial": "0.00", "final": "0.04", "initial 2": "0.04", "final 2": "0.10"})
    assert 'data-name="final' not in shown
    assert 'data-name="initial' not in shown
