"""No release and no certificate on rows that somebody changed in the database, whatever the pages show of them.

A laboratory must protect records from tampering and detect it (ISO/IEC 17025:2017, 7.11.3 and 8.4).
"""

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.tampering import put_guards_back, sql, take_guards_away


@pytest.fixture
def lot(laboratory):
    """The number of a lot with a titrated and an entered characteristic."""
    return "0941"


def numbers():
    from assaywright.records.models import Lot, Solution

    return [*Lot.objects.values_list("pk", flat=True), *Solution.objects.values_list("pk", flat=True)]


def test_nothing_of_the_whole_laboratory_counts_as_changed_while_nothing_was(laboratory):
    from assaywright.records.untouched import touched

    assert len(numbers()) > 4
    assert {number: touched(number, "maren") for number in numbers()} == {number: [] for number in numbers()}


def last(model, **wanted):
    return model.objects.filter(**wanted).order_by("pk").last()


def a_state(lot, models):
    models.Lot.objects.filter(pk=lot).update(state="released")


def a_limit(lot, models):
    product = models.Product.objects.get(pk=models.Lot.objects.get(pk=lot).product)
    product.body = product.body.replace('"lower":"', '"lower":"1')
    product.save()


def a_reading(lot, models):
    row = models.Determination.objects.filter(assay=last(models.Assay, about=lot).pk).first()
    row.body = row.body.replace(row.content["final"], "1.00 mL")
    row.save()


def a_reading_of_the_titrant(lot, models):
    from assaywright.records.bridge import rests_on

    below = rests_on(last(models.Assay, about=lot))[0]
    models.Determination.objects.filter(assay=below, place=1).delete()


def an_assay_given_to_another_lot(lot, models):
    models.Assay.objects.filter(about=lot).update(about="another")


def a_review(lot, models):
    models.Assay.objects.filter(about=lot).update(stage="reviewed")


def a_signature(lot, models):
    models.Signature.objects.create(id=77_777, subject=last(models.Assay, about=lot).pk, by="ines", meaning="x",
                                    sha256="0" * 64, at="2026-11-30T13:47:20.000000Z", version=77_777)


def a_role(lot, models):
    models.Person.objects.filter(pk="maren").update(roles="authorised signatory, reviewer")


def an_accepted_remark(lot, models):
    models.AcceptedRemark.objects.create(id=88_888, subject=lot, kind="x", place="", what="x", reason="x as it was",
                                         by="maren",
                                         at="2026-11-30T13:47:20.000000Z", version=88_888)


def an_event(lot, models):
    take_guards_away()
    sql("UPDATE records_event SET reason = 'x' WHERE kind = 'lot.made' AND subject = %s", [lot])
    put_guards_back()


CHANGES = [a_state, a_limit, a_reading, a_reading_of_the_titrant, an_assay_given_to_another_lot, a_review, a_signature,
           a_role, an_accepted_remark, an_event]


@pytest.mark.parametrize("change", CHANGES)
def test_what_was_changed_by_hand_holds_back_release_and_certificate(lot, change):
    from assaywright.actions.lots import lot_release
    from assaywright.records import models

    change(lot, models)
    with pytest.raises(Refusal, match="the records are not what their events say") as refused:
        lot_release(identity=lot, by="maren")
    assert "administrator" in str(refused.value)


def test_a_lot_made_released_and_reviewed_by_hand_gets_no_certificate(lot):
    from assaywright.actions.certificates import certificate_issue
    from assaywright.records import models

    models.Lot.objects.filter(pk=lot).update(state="released")
    models.Assay.objects.update(stage="reviewed")
    with pytest.raises(Refusal, match=r"not what their events say \(.*, and \d+ more\)"):
        certificate_issue(lot=lot, by="maren")
    assert not models.Certificate.objects.exists()


def test_another_lots_rows_do_not_hold_a_lot_back(lot):
    from assaywright.records.models import Lot
    from assaywright.records.untouched import touched

    others = Lot.objects.exclude(pk=lot)
    assert others.exists()
    others.update(state="rejected")
    assert touched(lot, "maren") == []


def test_nothing_is_released_while_all_tables_are_still_being_compared(lot, tmp_path, monkeypatch):
    from django.conf import settings

    from assaywright.actions.lots import lot_release
    from assaywright.records.untouched import COMPARING

    monkeypatch.setattr(settings, "DATA_FOLDER", tmp_path)
    (tmp_path / COMPARING).write_text("the records are still being compared with their events\n", encoding="utf-8")
    with pytest.raises(Refusal, match="still being compared"):
        lot_release(identity=lot, by="maren")


def test_very_many_events_are_compared_while_pages_are_served(lot, tmp_path, capsys, monkeypatch):
    import threading

    from assaywright.cli.serve_check import compare
    from assaywright.records.check import check_records
    from assaywright.records.models import Assay, Head, Lot
    from assaywright.records.untouched import COMPARING

    def here(_folder):
        return check_records().faults  # in this process: the database is this one's

    monkeypatch.setattr(threading.Thread, "start", threading.Thread.run)
    left = compare(tmp_path, at_once=10, aside=here)
    assert "compared with the tables while pages are served" in capsys.readouterr().out
    assert (tmp_path / COMPARING).exists()
    left()
    assert not (tmp_path / COMPARING).exists()
    Lot.objects.filter(pk=lot).update(state="released")
    compare(tmp_path, at_once=10, aside=here)()
    assert f"lot {lot}: state is 'released', by the events 'made'" in (tmp_path / COMPARING).read_text("utf-8")
    with pytest.raises(Refusal, match="the records are not in order: lot"):
        compare(tmp_path)
    Lot.objects.filter(pk=lot).update(state="made")
    compare(tmp_path)()
    assert not (tmp_path / COMPARING).exists()
    events, _ = Head.objects.get().number, capsys.readouterr()
    compare(tmp_path, at_once=events)
    assert "while pages are served" not in capsys.readouterr().out
    Assay.objects.filter(pk="WS-26-0903").update(stage="reviewed")
    compare(tmp_path, at_once=events + 10, aside=lambda _folder: [])
    assert f"{events} events and 1 signed worksheet: compared" in capsys.readouterr().out, "which counts as 20 events"


def test_no_act_of_any_kind_leaves_rows_that_count_as_changed(records, demonstration, tmp_path, monkeypatch):
    """Whatever was done to a lot, by whichever kind of event, its own events alone make its rows again."""
    from django.conf import settings

    from assaywright.records.untouched import touched
    from tests.records import story

    monkeypatch.setattr(settings, "FILES_FOLDER", tmp_path / "files")
    story.perform(demonstration)
    assert {number: touched(number, "maren") for number in numbers()} == {number: [] for number in numbers()}
