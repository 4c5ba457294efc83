"""Entered characteristics: seen by two people, never entered again until they fit, investigated like titrated ones.

That raw data are checked by a second person, that a first result outside its limits is not replaced by testing again
unasked, and that nobody judges their own result: common practice, no source.
"""

import json

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import CHECKS, READINGS, act, heading, held, reviewed_all

pytestmark = pytest.mark.usefixtures("laboratory")
STANDS, COUNTS, CORRECTED = ("no laboratory error: the first result stands",
                             "laboratory error found: the retest counts",
                             "laboratory error found: the first result has been corrected")
DENSITY = "density at 20 °C"


def enter(lot="0941", by="ines", reason="measured again", name=DENSITY, **found):
    return act("characteristics.characteristic_enter", identity=lot, by=by, reason=reason, table={
        "name": name, "source": "densitometer D-2, 2026-11-29, T. Rehn", **found})


def conclude(lot="0941", by="jonas", verdict=COUNTS, **more):
    return act("investigations.investigation_conclude", identity=lot, by=by, verdict=verdict,
               conclusion="the cell was not clean", **more)


def authorise(lot="0941"):
    act("lots.lot_hold", identity=lot, by="ines", reason="outside its limits")
    act("investigations.retest_authorise", identity=lot, by="jonas", checks=CHECKS, plan="twice by Tomas Rehn")


def shown(lot="0941", name=DENSITY):
    from assaywright.records.models import Lot
    from assaywright.records.selectors.lots import lot_shown

    return next(one for one in lot_shown(Lot.objects.get(pk=lot)).characteristics if one.name == name)


def entries(lot="0941", name=DENSITY):
    return [(one.said, one.counts) for one in shown(lot, name).entries]


def check(by="jonas", lot="0941"):
    return act("characteristics.characteristic_check", identity=lot, by=by)


def test_a_value_outside_its_limits_is_entered_again_only_as_an_authorised_retest_and_stays():
    enter(value="1.0500 g/mL")
    for value in ("1.0385 g/mL", "1.0400 g/mL"):
        with pytest.raises(Refusal, match=r"lies outside its limits, and stays.*put the lot on hold"):
            enter(value=value)
    act("lots.lot_hold", identity="0941", by="ines", reason="outside its limits")
    with pytest.raises(Refusal, match="no retest is authorised"):
        enter(value="1.0385 g/mL")
    act("investigations.retest_authorise", identity="0941", by="jonas", checks=CHECKS, plan="twice by Tomas Rehn")
    enter(value="1.0385 g/mL", by="tomas", reason="")
    with pytest.raises(Refusal, match=f"the retest of {DENSITY} that was authorised is entered already"):
        enter(value="1.0386 g/mL")
    assert entries()[1:] == [("1.0500 g/mL", True), ("1.0385 g/mL", False)], "the first counts until it is concluded"
    with pytest.raises(Refusal, match=f"the retest {DENSITY} has not been reviewed"):
        conclude()
    check()
    conclude()
    assert entries()[1:] == [("1.0500 g/mL", False), ("1.0385 g/mL", True)]
    assert shown().decision == "conforms"
    assert [one.retest for one in shown().entries] == [False, False, True]
    reviewed_all()
    act("lots.lot_release", identity="0941", by="maren")


def test_where_the_first_result_stands_the_retest_counts_for_nothing_and_there_is_no_further_one():
    enter(value="1.0500 g/mL")
    authorise()
    enter(value="1.0385 g/mL", by="tomas")
    check()
    conclude(verdict=STANDS)
    assert entries()[1:] == [("1.0500 g/mL", True), ("1.0385 g/mL", False)]
    assert shown().decision == "does not conform"
    reviewed_all()
    with pytest.raises(Refusal, match="does not conform"):
        act("lots.lot_release", identity="0941", by="maren")
    authorise()
    with pytest.raises(Refusal, match=f"has let the first result of {DENSITY} stand"):
        enter(value="1.0385 g/mL")


def test_a_value_inside_its_limits_is_entered_again_with_a_reason_and_both_are_shown():
    with pytest.raises(Refusal, match="the reason for entering it again is missing"):
        enter(value="1.0386 g/mL", reason=" ")
    enter(value="1.0386 g/mL", reason="a digit misread")
    first, second = shown().entries
    assert (first.said, first.counts, first.imported) == ("1.0385 g/mL ± 0.0005 g/mL, k = 2", False, True)
    assert (second.by, second.reason, second.checked_by) == ("Ines Okafor", "a digit misread", "")


@pytest.mark.parametrize(("lot", "name", "found", "refused"), [
    ("0942", DENSITY, {"value": "1.05 kg"}, "a unit of mass, and density at 20 °C is told in g/mL"),
    ("0942", DENSITY, {"value": "1.05"}, "density at 20 °C is told in g/mL"),
    ("0941", DENSITY, {"value": "1.05 kg"}, r"mass|kg"),
    ("0941", DENSITY, {"found": "light", "satisfied": True}, "it has limits, and words cannot be compared"),
    ("0941", "appearance", {"found": "clear"}, "nobody has said whether it satisfies"),
    ("0941", "appearance", {"value": "1 mg/kg"}, "what is required is in words")])
def test_an_entry_of_another_kind_is_refused(lot, name, found, refused):
    with pytest.raises(Refusal, match=refused):
        enter(lot, name=name, **found)


def test_a_unit_of_its_own_kind_is_taken_without_limits_too():
    enter("0942", value="1050.0 kg/m3")
    assert shown("0942").value == "1050.0"


def test_no_lot_is_released_on_an_entry_that_one_person_alone_has_seen():
    reviewed_all()
    enter(value="1.0386 g/mL", by="maren")
    with pytest.raises(Refusal, match="was entered by whoever would release it, and nobody else has checked it"):
        act("lots.lot_release", identity="0941", by="maren")
    with pytest.raises(Refusal, match=f"Maren Tolliver has entered {DENSITY}"):
        check("maren")
    from assaywright.records.models import Lot
    from assaywright.records.selectors.standing import lot_lines

    assert next(one for one in lot_lines() if one.identity == "0941").waits_for == f"the check of {DENSITY}"
    event = check("jonas")
    assert json.loads(event.payload)["characteristics"] == [DENSITY]
    with pytest.raises(Refusal, match="everything entered is checked already"):
        check("jonas")
    act("lots.lot_release", identity="0941", by="maren")
    assert Lot.objects.get(pk="0941").state == "released"


def test_words_other_than_those_required_are_confirmed_by_whoever_releases():
    reviewed_all()
    event = act("lots.lot_release", identity="0941", by="maren")
    assert json.loads(event.payload)["confirmed"] == [
        {"name": "appearance", "required": "clear, colourless, free of particles", "found": "clear, colourless"}]
    from assaywright.actions.lots import in_other_words
    from assaywright.records.models import Lot

    assert in_other_words(Lot.objects.get(pk="0943")) == [], "‘clear, colourless’ is what is required there"


def test_a_specification_without_limits_says_in_what_unit_a_value_is_told():
    definition = {"characteristics": [{"name": "refraction", "unit": "%"}], "storage": "cool", "maker": "Tarn Hollow"}
    act("products.product_define", name="vinegar", by="jonas", definition=definition)
    act("lots.lot_make", identity="0950", by="ines", table={"product": "vinegar"})
    with pytest.raises(Refusal, match="a unit of density, and refraction is told in %"):
        enter("0950", name="refraction", value="1.05 g/mL")
    enter("0950", name="refraction", value="4.2 %")
    for wrong, refused in (({"unit": "bananas"}, "unit"), ({"unit": "%", "lower": "4 %"}, "leave it out")):
        with pytest.raises(Refusal, match=refused):
            act("products.product_revise", name="vinegar", by="jonas", reason="revised as every year",
                definition={"characteristics": [{"name": "refraction", **wrong}]})


# --- conclusions ------------------------------------------------------------------------------------------------------


def test_an_investigation_is_concluded_only_on_what_it_rests_on():
    held()
    with pytest.raises(Refusal, match="no verdict is chosen"):
        conclude("0943", verdict="fine", checks=CHECKS)
    with pytest.raises(Refusal, match="the check list is empty"):
        conclude("0943", verdict=STANDS)
    with pytest.raises(Refusal, match="no retest is on record that could count"):
        conclude("0943", verdict=COUNTS, checks=CHECKS)
    with pytest.raises(Refusal, match="nothing of the lot has been corrected since"):
        conclude("0943", verdict=CORRECTED, checks=CHECKS)
    act("assays.assay_amend", identity="WS-26-0909", by="ines", rests_on=["WS-26-0878"], reason="the density misread",
        heading=_heading_0909())
    event = conclude("0943", verdict=CORRECTED, checks=CHECKS)
    assert json.loads(event.payload)["checks"] == CHECKS


def _heading_0909():
    from assaywright.records.models import Assay

    return {**Assay.objects.get(pk="WS-26-0909").content, "title": "hydrochloric acid, density read again"}


def test_nobody_concludes_about_what_they_have_titrated_or_entered():
    act("people.person_change_roles", identity="ines", roles=["analyst", "reviewer"], by="maren", reason="trained now")
    held()
    with pytest.raises(Refusal, match="Ines Okafor has worked on WS-26-0909"):
        conclude("0943", by="ines", verdict=STANDS, checks=CHECKS)
    enter(value="1.0500 g/mL", by="jonas")
    act("lots.lot_hold", identity="0941", by="ines", reason="outside its limits")
    with pytest.raises(Refusal, match=f"Jonas Feld has worked on {DENSITY}"):
        conclude("0941", verdict=STANDS, checks=CHECKS)
    conclude("0941", by="ines", verdict=STANDS, checks=CHECKS)


def test_a_titrated_retest_is_reviewed_before_anything_is_concluded_and_sets_the_other_aside():
    from assaywright.records.bridge import assay_of
    from assaywright.records.models import Lot

    authorise()
    act("assays.assay_begin", heading=heading("WS-26-0961", "0941"), about="0941", rests_on=["WS-26-0878"], by="ines")
    for final in ("40.30 mL", "40.31 mL", "40.32 mL"):
        act("assays.determination_record", identity="WS-26-0961", by="ines", fields={**READINGS, "final": final})
    for verdict in (COUNTS, STANDS):
        with pytest.raises(Refusal, match="the retest WS-26-0961 has not been reviewed"):
            conclude(verdict=verdict)
    reviewed_all("WS-26-0961")
    event = conclude(verdict=STANDS)
    assert json.loads(event.payload)["set_aside"]["worksheets"] == ["WS-26-0961"]
    assert assay_of(Lot.objects.get(pk="0941"), "acetic-acid-by-naoh").identity == "WS-26-0903"
    authorise()
    with pytest.raises(Refusal, match="has let the first result of acetic acid stand"):
        act("assays.assay_begin", heading=heading("WS-26-0962", "0941"), about="0941", rests_on=["WS-26-0878"],
            by="ines")
