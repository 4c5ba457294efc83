"""What the bench page asks the server: each act once, in its order, by the person who typed it, and never an error."""

import json
import re
import uuid

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.records.test_bench import OPEN, READINGS, sheet  # noqa: F401 - a fixture by its name

pytestmark = pytest.mark.usefixtures("laboratory")
ALONE = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def act(kind, *, by="ines", identity=OPEN, place=1, **more):
    looked = {"looked": True} if kind == "finish" else {}
    return {"uuid": str(uuid.uuid4()), "kind": kind, "by": by, "identity": identity, "place": place, **looked, **more}


def keeps(readings=READINGS, place=1, **more):
    return [act("keep", name=name, text=text, seen=0, place=place, **more) for name, text in readings]


def post(client, path, content, **headers):
    body = content if isinstance(content, bytes) else json.dumps(content)
    return client.post(path, body, content_type="application/json", headers={"Accept": "application/json", **headers})


def sent(client, *acts):
    answer = post(client, "/bench/keep", {"acts": acts})
    assert answer.status_code == 200, answer.content[:500]
    return answer.json()["answers"]


def states(client, *acts):
    return [one["state"] for one in sent(client, *acts)]


def looked(client, place=1, typing=None, **texts):
    answer = post(client, f"/bench/live/{OPEN}", {"place": place, "texts": texts, "typing": typing})
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


@pytest.fixture
def ines(browser, sheet):  # noqa: F811
    return browser("ines")


def events(kind):
    from assaywright.records.models import Event

    return [json.loads(one.payload) for one in Event.objects.filter(subject=OPEN, kind=kind).order_by("number")]


# --- acts -------------------------------------------------------------------------------------------------------------


def test_a_whole_determination_in_one_batch_is_kept_in_its_order_and_put_on_record(ines):
    acts = [act("check", checks=["goggles worn"]), *keeps(), act("finish")]
    answers = sent(ines, *acts)
    assert [one["state"] for one in answers] == ["kept"] * len(acts)
    assert [one["uuid"] for one in answers] == [one["uuid"] for one in acts]
    versions = [one["version"] for one in answers]
    assert versions == sorted(versions)
    assert [(one["name"], one["text"]) for one in events("reading.kept")] == list(READINGS)
    assert events("determination.recorded")[0]["fields"]["final"] == "24.52 mL"
    assert events("bench.checked")[0]["checks"] == ["goggles worn"]


def test_every_act_sent_twice_is_answered_alike_and_stored_once(ines):
    acts = [act("check", checks=["goggles worn"]), *keeps(),
            act("confirm", name="final", text="24.52", code="far-from-expected", question="Is it so?"), act("finish")]
    first = sent(ines, *acts)
    assert sent(ines, *acts) == first
    corrected = act("correct", name="final", text="24.54", reason="misread at the bench")
    once = sent(ines, corrected)
    assert [one["state"] for one in once] == ["kept"]
    assert sent(ines, corrected) == once
    counts = {kind: len(events(kind)) for kind in ("bench.checked", "reading.kept", "question.confirmed",
                                                   "determination.recorded", "determination.corrected")}
    assert counts == {"bench.checked": 1, "reading.kept": 4, "question.confirmed": 1, "determination.recorded": 1,
                      "determination.corrected": 1}


def test_a_uuid_with_another_content_is_refused_and_the_first_one_stands(ines):
    from assaywright.records.models import KeptReading

    one = act("keep", name="final", text="24.52", seen=0)
    sent(ines, one)
    other = sent(ines, {**one, "text": "24.60"})[0]
    assert other["state"] == "refused"
    assert KeptReading.objects.get(assay=OPEN, place=1, name="final").text == "24.52"


def test_a_correction_changes_one_reading_and_keeps_the_others(ines):
    from assaywright.records.models import Determination

    sent(ines, *keeps(), act("finish"))
    before = Determination.objects.get(assay=OPEN, place=1).content
    assert states(ines, act("correct", name="final", text="24.54", reason="misread at the bench")) == ["kept"]
    assert Determination.objects.get(assay=OPEN, place=1).content == {**before, "final": "24.54 mL"}
    refused = sent(ines, act("correct", name="final", text="24.56", reason=""))[0]
    assert refused["state"] == "refused"
    assert "reason" in refused["sentence"]
    of_none = act("correct", place=7, name="final", text="24.56", reason="misread at the bench")
    assert states(ines, of_none) == ["refused"]


def test_what_is_refused_says_so_in_one_sentence_and_the_rest_of_the_batch_is_done(ines):
    answers = sent(ines, act("finish"), *keeps(), act("keep", name="final", text="1" * 4001, seen=0), act("finish"))
    assert [one["state"] for one in answers] == ["refused", *["kept"] * 4, "refused", "kept"]
    for one in answers:
        if one["state"] == "refused":
            assert one["sentence"].count(". ") == 0
            assert one["sentence"].endswith(".")


def test_another_persons_act_is_not_done_and_stays_for_them(ines):
    assert states(ines, act("keep", by="tomas", name="final", text="24.52", seen=0)) == ["another person"]
    assert events("reading.kept") == []


def test_two_people_in_one_field_are_both_on_record_and_the_later_one_is_told(ines, browser):
    tomas = browser("tomas")
    first = sent(ines, act("keep", name="final", text="24.52", seen=0))[0]
    later = sent(tomas, act("keep", by="tomas", name="final", text="24.25", seen=0))[0]
    assert (later["other"], later["other_by"]) == ("24.52", "Ines Okafor")
    assert [one["text"] for one in events("reading.kept")] == ["24.52", "24.25"]
    page = " ".join(ines.get(f"/bench/{OPEN}").content.decode().split())
    assert "24.52 Ines Okafor" in page
    assert "kept, Tomas Rehn" in page
    assert sent(ines, act("keep", name="final", text="24.52", seen=first["version"]))[0]["other"] == "24.25"


def test_a_determination_of_other_readings_than_its_page_shows_is_not_recorded(ines, browser):
    sent(ines, *keeps())
    sent(browser("tomas"), act("keep", by="tomas", name="initial", text="0.22", seen=0))
    shown = dict(READINGS)
    answer = sent(ines, act("finish", shown=shown))[0]
    assert answer["state"] == "refused"
    assert "Tomas Rehn typed 0.22 for initial meanwhile, and this page shows 0.00" in answer["sentence"]
    assert [(one["name"], one["text"]) for one in answer["differs"]] == [("initial", "0.22")]
    assert not events("determination.recorded")
    assert states(ines, act("finish", shown={**shown, "initial": "0.22"})) == ["kept"]


def test_what_was_typed_while_the_server_was_away_is_asked_about_before_it_goes_on_record(ines):
    odd = [(name, "43.40" if name == "final" else text) for name, text in READINGS]
    first = sent(ines, *keeps(odd), act("finish", looked=False), act("send"))
    assert [one["state"] for one in first] == [*["kept"] * 4, "refused", "refused"]
    assert first[-2]["asked"] is True
    while not events("determination.recorded"):
        answer = sent(ines, act("finish", looked=False))[0]
        if answer["state"] == "kept":
            break
        assert re.match(r"determination 1, (net|final): typed while the server was away; is it so\? The "
                        r"(portion|titre) of .+ is (far|further)", answer["sentence"]), answer
        name, code, text, question = re.search(
            r'class="question" data-name="([^"]+)" data-code="([^"]+)" data-text="([^"]+)"> <p>.+?'
            r'class="asked">([^<]+)<', looked(ines, 1, **dict(odd))).groups()
        sent(ines, act("confirm", name=name, code=code, text=text, question=question))
    (recorded,) = events("determination.recorded")
    assert any(one.startswith("final: ") and "43.40 mL" in one for one in recorded["confirmed"])
    assert [(one["name"], one["text"]) for one in events("reading.kept")] == odd, "nothing was typed twice or lost"


def test_a_text_that_is_no_figure_is_told_once_its_field_is_left(ines):
    def asked(typing, **texts):
        answer = post(ines, f"/bench/live/{OPEN}", {"place": 1, "texts": texts, "typing": typing})
        return re.findall(r'impossible" data-name="([^"]+)" data-code="no-figure"', answer.content.decode())

    typed = {"net": "4.02 mg", "initial": "12..3", "final": "abc", "temperature": "71 °F", "note": "a drop hung"}
    assert asked("final", **typed) == ["initial"]
    assert asked("", **typed) == ["initial", "final"]
    assert asked("", final="24.50 mL", **{"initial 2": "0.0x"}) == ["initial 2"]
    assert "“12..3” is no figure. " in re.sub("<[^>]+>", "", looked(ines, 1, typing="", initial="12..3"))
    assert states(ines, *keeps([*READINGS[:2], ("final", "abc"), READINGS[3]]), act("finish"))[-1] == "refused"


def test_the_first_portion_is_held_against_what_the_page_says_to_weigh_and_the_balance_displays(ines, sheet):  # noqa: F811
    # 40 mL of 0.4985 mol/L, 60.05 g/mol, 30 % w/w: 3.99 g
    assert "Weigh about 3.99 g" in " ".join(ines.get(f"/bench/{OPEN}").content.decode().split())
    assert "further than a tenth from the mass planned, about 3.99 g." in looked(ines, net="2.0412")
    assert "mass-far-from-plan" not in looked(ines, net="3.9")
    assert "fewer-decimals" not in looked(ines, typing="net", net="3.9"), "still being typed"
    assert "3.9 g has fewer decimals than the balance displays: 3.9000?" in looked(ines, typing="", net="3.9")
    sheet.body = json.dumps({**sheet.content, "balances": {"balance": {"id": "W-4"}}})
    sheet.save()
    assert "3.9000?" in looked(ines, typing="", net="3.9"), "by the register"


def test_the_live_part_does_not_answer_another_person_than_the_page_is_of(ines):
    answer = post(ines, f"/bench/live/{OPEN}", {"place": 1, "texts": {}, "by": "tomas"})
    assert (answer.status_code, answer.json()) == (409, {"state": "another person", "person": "Ines Okafor"})


def test_what_comes_after_a_determination_is_on_record_is_answered_with_the_figure_there(ines, browser):
    sent(browser("tomas"), *keeps(by="tomas"), act("finish", by="tomas"))
    late = sent(ines, act("keep", name="final", text="24.25", seen=0), act("finish", shown={"final": "24.25"}))
    assert [one["state"] for one in late] == ["kept", "refused"]
    assert [one["on_record"]["final"] for one in late] == ["24.52", "24.52"]


def test_a_confirmed_question_stands_beside_a_corrected_reading_as_of_the_old_one(ines):
    confirmed = act("confirm", name="final", text="24.52", code="far-from-expected", question="far from expected?")
    sent(ines, *keeps(), confirmed, act("finish"))
    stands = 'Confirmed:</span> <span class="question-words">far from expected?'
    assert stands in ines.get(f"/bench/{OPEN}").content.decode()
    sent(ines, act("correct", name="final", text="24.54", reason="misread at the bench"))
    page = ines.get(f"/bench/{OPEN}").content.decode()
    assert "Confirmed of 24.52, which stands no longer:</span> <s>far from expected?</s>" in page


def test_what_was_only_proposed_yields_to_what_somebody_typed(ines, browser):
    sent(browser("tomas"), act("keep", by="tomas", name="temperature", text="22.0", seen=0))
    answer = sent(ines, act("keep", name="temperature", text="21.0", seen=0, carried=True))[0]
    assert (answer["state"], answer["yields"], answer["other"]) == ("kept", True, "22.0")
    assert [one["text"] for one in events("reading.kept")] == ["22.0"]


def test_nothing_goes_to_review_behind_an_act_that_was_not_taken(ines):
    sent(ines, *keeps(), act("finish"))
    beyond = [act("keep", name=name, text="55.00" if name == "final" else text, seen=0, place=2)
              for name, text in READINGS]
    assert states(ines, *beyond, act("finish", place=2), act("send"))[-2:] == ["refused", "refused"]
    assert not events("assay.sent")


def test_three_determinations_go_to_review_and_nothing_is_kept_after_that(ines):
    for place in (1, 2, 3):
        sent(ines, *keeps(place=place), act("finish", place=place))
    assert sent(ines, act("send"))[0].get("sent") is True
    assert states(ines, *keeps(place=4)) == ["refused"] * len(READINGS)
    assert states(ines, act("finish", place=4)) == ["refused"]


def test_whoever_has_no_part_in_the_bench_may_look_and_keep_nothing(ines, browser):
    from assaywright.actions.people import person_change_roles

    person_change_roles(identity="tomas", roles=["administrator"], by="maren", reason="he runs the machine now")
    tomas = browser("tomas")
    assert tomas.get(f"/bench/{OPEN}").status_code == 200
    assert states(tomas, act("keep", by="tomas", name="final", text="24.52", seen=0)) == ["refused"]


# --- who sends, and what ----------------------------------------------------------------------------------------------


def test_signed_out_is_said_as_data_and_the_act_is_not_done(browser, sheet):  # noqa: F811
    answer = post(browser(), "/bench/keep", {"acts": keeps()})
    assert (answer.status_code, answer.json()) == (401, {"state": "signed out"})
    gone = browser()
    gone.cookies["sessionid"] = "a0session0that0has0ended"
    late = post(gone, "/bench/keep", {"acts": keeps()})
    assert (late.status_code, list(late.cookies)) == (401, []), "a session begun meanwhile in this browser goes on"
    assert events("reading.kept") == []


def test_forged_is_answered_as_data_and_the_act_is_not_done(browser, sheet):  # noqa: F811
    strict = browser("ines", enforce_csrf_checks=True)
    answer = post(strict, "/bench/keep", {"acts": keeps()})
    assert answer.status_code == 403
    assert answer.headers["Content-Type"].startswith("application/json")
    assert events("reading.kept") == []
    token = strict.get("/bench/token").json()
    assert token["person"] == "ines"
    again = post(strict, "/bench/keep", {"acts": keeps()}, **{"X-CSRFToken": token["token"],
                                                              "Referer": "https://testserver/"})
    assert again.status_code == 200


ANYTHING = st.recursive(st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
                        lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=9), inner,
                                                                                   max_size=4), max_leaves=8)
KINDS = st.sampled_from(["keep", "finish", "confirm", "check", "correct", "send", "none"])
NEARLY = st.fixed_dictionaries(
    {"uuid": st.uuids().map(str) | ANYTHING, "kind": KINDS | ANYTHING, "by": st.just("ines") | ANYTHING,
     "identity": st.just(OPEN) | ANYTHING, "place": st.integers(-1, 3) | ANYTHING,
     "name": st.sampled_from(["final", "initial 2", "net", "fillings", ""]) | ANYTHING,
     "text": st.sampled_from(["24.52", "24,52 mL", "²", "1e999", "\x00"]) | ANYTHING},
    optional={"seen": ANYTHING, "typed_at": ANYTHING, "checks": ANYTHING, "reason": ANYTHING, "code": ANYTHING,
              "question": ANYTHING, "carried": ANYTHING})


@ALONE
@given(st.lists(NEARLY | ANYTHING, max_size=5) | ANYTHING)
def test_nonsense_in_acts_is_never_an_error(ines, acts):
    assert post(ines, "/bench/keep", {"acts": acts}).status_code in {200, 422}


@ALONE
@given(st.fixed_dictionaries({}, optional={"texts": ANYTHING, "place": ANYTHING}))
def test_nonsense_in_what_is_being_typed_is_never_an_error(ines, said):
    assert post(ines, f"/bench/live/{OPEN}", said).status_code in {200, 422}


@pytest.mark.parametrize("body", [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"acts": {}}', b"[" * 100_000,
                                  b'{"acts": [' + b"{}," * 300 + b"{}]}", b'{"texts": 1}'])
@pytest.mark.parametrize("path", ["/bench/keep", f"/bench/live/{OPEN}"])
def test_a_body_that_cannot_be_read_is_never_an_error(ines, path, body):
    assert post(ines, path, body).status_code in {200, 400, 422}


# --- the live part and the page ---------------------------------------------------------------------------------------


def test_the_live_part_has_titre_result_range_questions_and_burette(ines):
    sent(ines, *keeps(), act("finish"))
    told = looked(ines, 2, net="2.0412", initial="0.00", final="24.50", temperature="20.6")
    assert "24.50 mL" in told
    assert "% w/w" in told
    assert "mean of 2 determinations; the method asks for 3, this one counted in" in told
    assert "<svg" in told
    assert "style=" not in told
    odd = looked(ines, 2, net="2.0412", initial="0.00", final="25.40", temperature="20.6")
    assert "Is it so?" in odd
    assert 'data-name="final"' in odd


def test_half_typed_figures_are_no_trouble(ines):
    for text in ("", "2", "24.", "24,5", "x", "-", "24.52 m"):
        assert "<svg" in looked(ines, 1, net="2.0412", initial="0.00", final=text)


def test_a_decimal_comma_is_kept_as_a_point_where_the_laboratory_writes_commas(ines):
    from django.test import override_settings

    with override_settings(DECIMAL_MARK=","):
        commas = [(name, text.replace(".", ",")) for name, text in READINGS]
        assert states(ines, *keeps(commas), act("finish")) == ["kept"] * 5
        assert "24.54" in looked(ines, 2, net="2,0412", initial="0,00", final="24,54", temperature="20,6")
    assert events("determination.recorded")[0]["fields"]["final"] == "24.52 mL"


def test_a_confirmed_question_is_not_asked_again_while_the_reading_stands(ines):
    sent(ines, *keeps(), act("finish"))
    odd = {"net": "2.0412", "initial": "0.00", "final": "25.40", "temperature": "20.6"}
    code = re.search(r'data-name="final" data-code="([^"]+)" data-text="25.40"', looked(ines, 2, **odd))[1]
    sent(ines, act("confirm", place=2, name="final", text="25.40", code=code, question="far?"))
    assert "Is it so?" not in looked(ines, 2, **odd)
    assert "Is it so?" in looked(ines, 2, **{**odd, "final": "26.40"})


def test_a_titrant_past_its_date_is_asked_about_by_the_day_of_the_sheet_and_once_for_a_worksheet_and_a_day(ines):
    from assaywright.records.models import Assay

    row = Assay.objects.get(pk=OPEN)
    heading = {**row.content, "titrant": {**row.content["titrant"], "use_before": "2026-11-09"}}
    Assay.objects.filter(pk=OPEN).update(body=json.dumps(heading))

    def shown(place, **paper):
        part = post(ines, f"/bench/live/{OPEN}", {"place": place, "texts": {}, **paper}).content.decode()
        return re.findall(r'class="question( confirmed)?" data-name="titrant"[^>]*data-text="([^"]*)"', part)

    late = {"from_paper": True, "titrated_by": "ines", "titrated_on": "2026-11-12"}
    assert shown(1)[0][0] == "", "today is past that day"
    assert shown(1, **late) == [("", "2026-11-12")]
    assert not shown(1, **{**late, "titrated_on": "2026-11-09"}), "in date on the day of the sheet"
    assert not shown(1, **{**late, "titrated_on": ""}), "the day is not said yet"
    sent(ines, act("confirm", name="titrant", text="2026-11-12", code="past-its-date", question="Past?"))
    assert shown(1, **late) == shown(2, **late) == [(" confirmed", "2026-11-12")]
    assert shown(2)[0][0] == "", "confirmed of that day only"
    assert 'class="of">Confirmed:' in ines.get(f"/bench/{OPEN}").content.decode(), "it stands whatever is read"
    away = [*keeps([*READINGS, ("final", "24.54")], place=2, **{**late, "titrated_on": "2026-11-09"}),
            act("finish", place=2)]
    away[-1]["looked"] = False
    assert "could be used" not in sent(ines, *away)[-1].get("sentence", ""), "nor by whoever asks afterwards"


# --- scanning ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "page"), [
    (OPEN, f"/bench/{OPEN}"), (OPEN.lower(), f"/bench/{OPEN}"), (f" {OPEN} ", f"/bench/{OPEN}"),
    ("lot 0941; acetic acid 30 % w/w; use before 2027-10", "/lot/0941"), ("0941", "/lot/0941"),
    ("T-0917", "/solution/T-0917"), ("solution T-0917; hydrochloric acid", "/solution/T-0917"),
    ("B-11", "/equipment/instrument/B-11"), ("RM-SC-5", "/equipment/material/RM-SC-5"),
])
def test_a_code_opens_the_page_of_what_it_belongs_to(ines, code, page):
    answer = ines.get("/bench", {"code": code})
    assert (answer.status_code, answer.headers.get("Location")) == (302, page)


@pytest.mark.parametrize("code", ["nothing", "<script>", "'", "𝟘", "x" * 5000, "lot ;"])
def test_a_code_of_nothing_is_said_in_a_sentence_and_never_an_error(ines, code):
    answer = ines.get("/bench", {"code": code})
    assert answer.status_code == 404
    assert "Nothing here goes by" in answer.content.decode()
    assert "<script>alert" not in answer.content.decode()


def test_the_index_lists_what_lies_open(ines):
    page = ines.get("/bench").content.decode()
    assert OPEN in page
    assert ines.get("/bench/WS-none").status_code == 404


# --- control titration of a titrant -----------------------------------------------------------------------------------


def test_a_standardisation_titrated_at_the_bench_is_taken_over_as_a_control_titration(browser):
    from html import unescape

    from assaywright.records.models import Event

    client = browser("ines")
    page = client.get("/bench/WS-26-0878").content.decode()
    way = unescape(re.search(r'href="(/solution/T-0918\?found=[^"]+)"', page)[1])
    form = client.get(way).content.decode()
    found = re.search(r'name="found" value="([^"]+)"', form)[1]
    assert float(found) == pytest.approx(0.5, rel=0.05)
    assert "Titrated on WS-26-0878" in form
    fields = {"act": str(uuid.uuid4()), "do": "verify", "found": found, "in_force": found, "limit": "0.2"}
    assert client.post("/solution/T-0918", {**fields, "worksheet": "WS-26-0903"}).status_code == 422
    assert not Event.objects.filter(kind="solution.verified").exists()
    assert client.post("/solution/T-0918", fields).status_code == 302
    assert json.loads(Event.objects.get(kind="solution.verified").payload)["verdict"] == "accepted"
