"""Checks before the titrations: what they name, and what is said of a determination made without them.

ISO/IEC 17025:2017, 6.4.13: records of equipment and of reference materials with their periods of validity; which
lines a bench list needs is common practice, no source.
"""

import json
import re

import pytest

from tests.records.test_bench import OPEN, all_kept, sheet  # noqa: F401 - a fixture by its name

pytestmark = pytest.mark.usefixtures("laboratory")


def lines(number):
    from assaywright.records.methods import method_of
    from assaywright.records.models import Assay
    from assaywright.records.selectors.bench_checks import checks_of

    assay = Assay.objects.get(pk=number)
    return [one.words for one in checks_of(assay, method_of(assay.method))]


def line(number, start):
    return next(one for one in lines(number) if one.startswith(start))


def finished():
    from assaywright.actions.bench import determination_finish

    all_kept()
    return json.loads(determination_finish(identity=OPEN, place=1, by="ines").payload)


def test_a_standardisation_names_the_solution_to_be_set_and_the_primary_standard_with_its_drying():
    assert line("WS-26-0874", "Solution to be set").endswith("T-0917, to be used through the last day of December 2026")
    standard = line("WS-26-0874", "Primary standard")
    assert "RM-TRIS-3" in standard
    assert "24 h in a vacuum desiccator" in standard
    assert "through the last day of February 2028" in standard


def test_an_instrument_that_is_not_registered_is_valid_as_long_as_the_worksheet_states():
    from assaywright.records.models import Instrument

    Instrument.objects.filter(pk="B-11").delete()
    assert line("WS-26-0874", "Burette B-11").endswith("calibration valid through 11 March 2027")


def test_the_certificate_that_the_worksheet_goes_by_is_named_and_not_one_that_came_later():
    from assaywright.actions.equipment import instrument_calibrate
    from assaywright.records.methods import method_of
    from assaywright.records.models import Assay, Instrument
    from assaywright.records.selectors.bench_checks import checks_of

    table = Instrument.objects.get(pk="B-11").content
    later = {**table, "certificate": {**table["certificate"], "id": "K-26-099", "due": {"date": "2027-11-29"}}}
    instrument_calibrate(identity="B-11", table=later, by="ines", reason="calibrated anew")
    assay = Assay.objects.get(pk="WS-26-0874")

    def burette():
        return next((one.words, one.attention) for one in checks_of(assay, method_of(assay.method))
                    if one.words.startswith("Burette B-11"))

    assert burette() == ("Burette B-11, certificate K-26-031, calibration valid through 11 March 2027", "")
    assay.body = json.dumps({**assay.content, "vessels": {"burette": later}})
    assert burette() == ("Burette B-11, certificate K-26-099, calibration valid through 29 November 2027",
                         "nobody else has compared what was entered with its certificate yet")


def test_glass_without_a_calibration_is_marked_and_what_is_worn_stands_first_on_a_line_of_its_own():
    from assaywright.records.methods import method_of
    from assaywright.records.models import Assay, Determination
    from assaywright.records.selectors.bench_checks import checks_of

    assay = Assay.objects.get(pk="WS-26-0878")  # its pipette states a class and no certificate
    checks = [*checks_of(assay, method_of(assay.method))]
    told = {one.words.partition(" ")[0]: one.attention for one in checks}
    share = share_of_pipette(assay)
    assert told["Pipette"] == (f"no calibration date on record: its class’s tolerance is used, about {share:.0f} % of "
                               "the result’s variance")
    assert told["Burette"] == ""
    Determination.objects.filter(assay=assay.identity).delete()
    told = {one.words.partition(" ")[0]: one for one in checks_of(assay, method_of(assay.method))}
    foreseen = float(re.search(r"about (\d+) %", told["Pipette"].attention)[1])
    assert foreseen == pytest.approx(share, abs=3), "as it is foreseen before anything is titrated"
    assert told["Pipette"].instrument == "P-20-03"
    assert checks[0].words.startswith("I wear safety goggles")
    assert "cautions" not in checks[0].words
    assert checks[1].words == "I have read the cautions and the safety data sheets"


def share_of_pipette(assay):
    """Share of a pipette in the variance [%]: ISO 648:2008, class A, 20 mL: ± 0.03 mL; triangular (from memory)."""
    from assaywright.records.bridge import evaluate_assay

    estimate = evaluate_assay(assay).result.estimate
    return 100 * (0.03 / 6 ** 0.5 / 20 / (estimate.standard_uncertainty / estimate.value)) ** 2


def test_glass_and_indicator_stand_in_the_list():
    assert line("WS-26-0906", "Pipettes clean")
    assert line("WS-26-0906", "Indicator at hand")
    assert "water and indicator" in line("WS-26-0906", "Blank")


def test_a_determination_made_without_the_checks_says_so_and_the_reviewer_is_asked(sheet, browser):  # noqa: F811
    assert finished()["unchecked"] is True
    shown = " ".join(browser("ines").get(f"/assay/{OPEN}").content.decode().split())
    assert shown.lower().count("the checks before the titrations had not been gone through") >= 2, "line and remark"


def test_after_the_checks_nothing_is_said(sheet):  # noqa: F811
    from assaywright.actions.bench import bench_check
    from assaywright.records.checks_left_out import unchecked_remark

    bench_check(identity=OPEN, checks=["goggles worn"], by="ines")
    assert "unchecked" not in finished()
    assert not unchecked_remark(sheet)


def test_a_control_titration_is_offered_once_the_planned_number_is_done_and_more_are_told_as_more(browser):
    from assaywright.records.models import Assay, Determination

    client = browser("ines")
    page = " ".join(client.get("/bench/WS-26-0878").content.decode().split())
    assert "Take it as a control titration" in page
    row = Determination.objects.filter(assay="WS-26-0878").order_by("place").last()
    for one in range(2):
        row.pk, row.place, row.version = row.pk + 100_000, row.place + 1, row.version + 100_000 + one
        row.save(force_insert=True)
    assert "mean of 5 determinations; the method asks for 3" in " ".join(
        client.get("/bench/WS-26-0878").content.decode().split())
    Determination.objects.filter(assay=Assay.objects.get(pk="WS-26-0878").identity, place__gt=1).delete()
    assert "Take it as a control titration" not in client.get("/bench/WS-26-0878").content.decode()


def test_the_page_and_the_sheet_say_how_much_to_weigh_before_anything_is_weighed(browser, sheet):  # noqa: F811
    from datetime import date

    from assaywright.records.selectors.bench_paper import paper_sheet

    page = " ".join(browser("ines").get(f"/bench/{OPEN}").content.decode().split())
    assert "Weigh about" in page
    weighed = [one.text for one in paper_sheet(sheet, date(2026, 11, 30), "").planned if one.label == "Weigh"]
    assert weighed
    assert weighed[0] in page


def test_the_page_cautions_of_the_strengths_on_the_bench(browser):
    page = " ".join(browser("ines").get("/bench/WS-26-0909").content.decode().split())
    cautions = page[page.index('aria-label="Cautions"'):page.index("<ul class=\"checklist")]
    told, others = cautions.split("Not on this worksheet")
    assert "Warning: hydrochloric acid solution, 5.00 mol/L, 16.8 % w/w (H315 Causes skin irritation" in told
    assert "hydrochloric acid, 25 % w/w and more" in others
    assert "hydrochloric acid, 25 % w/w and more" not in told
    assert "safety data sheet" in others


def test_what_was_begun_at_the_bench_and_not_finished_is_sent_with_the_worksheet_and_seen_by_the_reviewer(
    sheet, browser,  # noqa: F811
):
    from assaywright.actions.assays import assay_send
    from assaywright.actions.bench import bench_check, determination_finish, question_confirm
    from tests.records.test_bench import keep

    bench_check(identity=OPEN, checks=["goggles worn"], by="ines")
    for place in (1, 2, 3):
        all_kept(place)
        determination_finish(identity=OPEN, place=place, by="ines")
    keep("temperature", "20.6", place=4, carried=True)
    assert "not on record" not in browser("ines").get(f"/assay/{OPEN}").content.decode(), "only a proposal"
    keep("initial", "0.02", place=4, by="tomas")
    question_confirm(identity=OPEN, place=4, name="initial", text="0.02", code="far", question="0.02, is it so?",
                     by="tomas")
    keep("final", "24.99", place=3)
    open_page = browser("ines").get(f"/assay/{OPEN}").content.decode()
    assert "Typed at the bench and not on record" in open_page
    sent = json.loads(assay_send(identity=OPEN, by="ines").payload)["left_at_bench"]
    assert sent == ["determination 3 is on record, and something else was typed afterwards: final 24.99",
                    "determination 4 was begun and not finished: temperature 20.6, initial 0.02"]
    desk = " ".join(browser("jonas").get(f"/review/{OPEN}").content.decode().split())
    assert "typed by Tomas Rehn" in desk
    assert "0.02, is it so? Confirmed by Tomas Rehn" in desk
    assert desk.count("determination 4 was begun and not finished") >= 2, "remark and history"


def test_a_whole_determination_is_never_left_without_a_word(sheet, browser):  # noqa: F811
    """What was read is recorded or set aside with a reason, which holds the result until a person in charge accepts."""
    from assaywright.actions.assays import assay_return, assay_send, worked_on
    from assaywright.actions.bench import bench_check, determination_finish
    from assaywright.metrology.refusal import Refusal
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Result
    from assaywright.records.recompute import recompute
    from tests.records.test_bench import keep

    bench_check(identity=OPEN, checks=["goggles worn"], by="ines")
    for place, final in ((1, "24.52"), (2, "24.54"), (3, "24.50"), (4, "23.80")):
        all_kept(place)
        keep("final", final, place=place)
        if place < 4:
            determination_finish(identity=OPEN, place=place, by="ines")
    with pytest.raises(Refusal, match="determination 4 holds all its readings and is not on record"):
        assay_send(identity=OPEN, by="ines")
    keep("final", "", place=4)
    with pytest.raises(Refusal, match="determination 4 held all its readings until some were emptied"):
        assay_send(identity=OPEN, by="ines", left={4: " "})
    keep("initial", "0.00", place=4, by="tomas")
    keep("final", "23.80", place=4)
    client = browser("ines")

    def sent(act):
        body = json.dumps({"acts": [act]})
        return client.post("/bench/keep", body, content_type="application/json").json()["answers"][0]

    act = {"kind": "send", "uuid": "4f9c3cde-0000-4000-8000-00000000000a", "by": "ines", "identity": OPEN}
    answer = sent(act)
    assert (answer["state"], answer["left"]) == ("refused", [4])
    form = {"do": "send", "act": "4f9c3cde-0000-4000-8000-00000000000b"}
    assert "Why determination 4 does not count" in client.post(f"/assay/{OPEN}", form).content.decode()
    reason = "the tap dripped during the titration"
    act |= {"uuid": "4f9c3cde-0000-4000-8000-00000000000c", "left": {"4": reason}}
    answer = sent(act)
    assert answer["state"] == "kept", answer
    assert not Result.objects.get(assay=OPEN).releasable
    assert [one.kind for one in evaluate_assay(sheet).remarks if one.holds] == ["determination-set-aside"]
    assert not recompute([OPEN])[0].differences
    assert worked_on("tomas", sheet), "who typed at the bench does not review"
    desk = " ".join(browser("jonas").get(f"/review/{OPEN}").content.decode().split())
    assert f"Why it does not count, says Ines Okafor: <strong>{reason}" in desk
    assert "before: 24.52, Ines Okafor" in desk, "every text that stood there"
    assert "The mean with it would be" in desk
    assert "Asked, and not confirmed: final 23.80" in desk
    assay_return(identity=OPEN, by="jonas", reason="record it, then exclude it")
    determination_finish(identity=OPEN, place=4, by="ines")
    assay_send(identity=OPEN, by="ines")
    assert "determination-set-aside" not in {one.kind for one in evaluate_assay(sheet).remarks}
    assert not recompute([OPEN])[0].differences
