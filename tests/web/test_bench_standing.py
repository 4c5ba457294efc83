"""What stands at the bench: readings from paper and from the burette, late ones, and the numbers of determinations."""

import pytest

from tests.records.test_bench import OPEN, READINGS, sheet  # noqa: F401 - a fixture by its name
from tests.web.test_bench_page import act, events, ines, keeps, looked, sent, states  # noqa: F401 - a fixture likewise

pytestmark = pytest.mark.usefixtures("laboratory")
PAPER = {"from_paper": True, "titrated_by": "jonas", "titrated_on": "2026-10-07"}


def test_readings_of_one_determination_from_paper_and_from_the_burette_are_asked_about(ines):  # noqa: F811
    from assaywright.records.models import Determination

    early = {**PAPER, "titrated_on": "1999-01-01"}
    states(ines, *keeps(READINGS[:1], **early), *keeps(READINGS[1:2], **PAPER), *keeps(READINGS[2:]))
    answer = sent(ines, act("finish"))[0]
    assert (answer["state"], answer["asked"]) == ("refused", True)
    page = looked(ines, **dict(READINGS))
    assert ("The sheet is said to be of 1999-01-01; the worksheet was begun on 2026-10-05, lot 0951 was made on "
            "2026-10-02 and the titrant T-0918 was first standardised on 2026-09-30.") in page
    states(ines, *keeps(READINGS[:1], **PAPER))  # the day is mended
    page = looked(ines, **dict(READINGS))
    assert "1999" not in page
    words = page[page.index('data-code="mixed-origin"'):]
    assert "read at the burette" in words
    assert "from paper of 2026-10-07 by Jonas" in words
    assert "data-alike" in words
    name = page.partition('data-code="mixed-origin"')[0].rpartition('data-name="')[2].partition('"')[0]
    confirmed = act("confirm", name=name, text=dict(READINGS)[name], code="mixed-origin", question="Some from paper.")
    assert states(ines, confirmed, act("finish")) == ["kept", "kept"]
    found = Determination.objects.get(assay=OPEN, place=1).content
    assert not {"analyst", "at"} & set(found), "the endpoint was read at the burette"
    assert "net from paper of 2026-10-07 by Jonas" in found["note"]
    assert found["note"].endswith("the rest read at the burette")
    assert events("determination.recorded")[0]["confirmed"] == [f"{name}: Some from paper."]
    titrated_before_it_was_made()


def titrated_before_it_was_made():
    """A lot made after it was titrated is asked about at the reviewer's desk."""
    from assaywright.records.models import Assay, Lot
    from assaywright.records.selectors.assays import outcome_of

    early = [one.what for one in outcome_of(Assay.objects.get(pk=OPEN))[0].remarks if "before-its-day" in one.kind]
    assert early == []
    Lot.objects.filter(pk="0951").update(made="2026-10-06")
    (early,) = [one for one in outcome_of(Assay.objects.get(pk=OPEN))[0].remarks if "before-its-day" in one.kind]
    assert early.what == "lot 0951 was made on 6 October 2026, and it was titrated on 5 October 2026"


def test_determinations_with_a_number_missing_between_them_are_named_by_their_numbers_everywhere(ines):  # noqa: F811
    from assaywright.records.bridge import worksheet_bytes
    from assaywright.records.models import Assay
    from assaywright.records.selectors.assays import outcome_of

    finals = {1: "24.52", 2: "24.53", 4: "25.60"}
    for place, final in finals.items():
        states(ines, *keeps((("net", f"2.04{place}2"), ("initial", "0.00"), ("final", final), ("temperature", "20.6")),
                            place=place), act("finish", place=place))
    found, _ = outcome_of(Assay.objects.get(pk=OPEN))
    assert [one.label for one in found.determinations] == ["1", "2", "4"]
    page = looked(ines, place=3, net="2.0432", initial="0.00", final="24.54", temperature="20.6")
    assert "determination 4: Grubbs’ test flags it" in page.replace("&#x27;", "’").replace("'", "’")
    assert "determination 3: Grubbs" not in page
    assert worksheet_bytes(Assay.objects.get(pk=OPEN)).decode().count("label = ") == 1
    desk = ines.get(f"/assay/{OPEN}").content.decode()
    assert "Determination 4" in desk
    imported_under_another_number()


def imported_under_another_number():
    """Its file brings the determinations in by the same numbers under another number of the worksheet, and twice."""
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.records.bridge import export, worksheet_bytes
    from assaywright.records.models import Assay, Determination
    from assaywright.records.rebuild import differences
    from assaywright.records.selectors.assays import assay_shown

    number = "WS-26-0959"
    files = {name: data.replace(OPEN.encode(), number.encode()) for name, data in
             export(Assay.objects.get(pk=OPEN)).items()}
    for _ in range(2):
        WorksheetImport(files.__getitem__, "runa").worksheet(f"{OPEN}.toml")
    assay = Assay.objects.get(pk=number)
    assert [*Determination.objects.filter(assay=number).order_by("place").values_list("place", flat=True)] == [1, 2, 4]
    assert worksheet_bytes(assay) == files[f"{OPEN}.toml"], "it comes down as it came in"
    assert [one.recorded.startswith("imported by Runa") for one in assay_shown(assay).determinations] == [True] * 3
    assert not differences()


def test_corrections_stand_beside_their_field_and_what_is_asked_of_them_is_answered_with_the_reason(ines):  # noqa: F811
    states(ines, *keeps(), act("finish"), *keeps(place=2), act("finish", place=2))
    asked = {"place": 2, "name": "final"}
    fix = act("correct", text="12.95", reason="other burette", answers=["far-from-expected"], **asked)
    assert states(ines, fix, fix) == ["kept", "kept"]
    assert states(ines, act("correct", text="12.85", reason="typed wrongly", **asked)) == ["kept"]
    assert states(ines, act("correct", text="24.52", reason="read again", **asked)) == ["kept"]
    first, second, _ = events("determination.corrected")
    assert [one.partition(":")[0] for one in first["confirmed"]] == ["final"]
    assert "unanswered" not in first
    assert [one.partition(":")[0] for one in second["unanswered"]] == ["final"]
    page = " ".join(ines.get(f"/bench/{OPEN}").content.decode().split())
    assert "24.52, then 12.95 (other burette), then 12.85 (typed wrongly), then 24.52 (read again)" in page
    assert "Confirmed of 12.95, which stands no longer" in page
    assert "asked, and not answered: final:" in " ".join(ines.get(f"/assay/{OPEN}").content.decode().split())


def test_a_reading_typed_earlier_and_sent_late_does_not_override_another_persons(ines, browser):  # noqa: F811
    from assaywright.records.models import Determination

    early, late = "2026-11-30T09:00:00.000Z", "2026-11-30T09:05:00.000Z"
    tomas = browser("tomas")
    theirs = [act("keep", name=name, text=text, seen=0, by="tomas", typed_at=late) for name, text in READINGS]
    assert set(states(tomas, *theirs)) == {"kept"}
    mine = act("keep", name="final", text="24.62", seen=0, typed_at=early)
    first, again = sent(ines, mine, mine)
    assert first == again
    assert (first["late"], first["other"], first["other_by"].split()[0]) == (True, "24.52", "Tomas")
    shown = dict(READINGS)
    answer = sent(tomas, act("finish", by="tomas", shown=shown))[0]
    assert (answer["state"], answer["differs"][0]["late"]) == ("refused", "24.62")
    assert sent(tomas, act("finish", by="tomas"))[0]["asked"]
    stays = act("keep", name="final", text="24.52", seen=first["version"], by="tomas",
                typed_at="2026-11-30T09:07:00.000Z")
    assert states(tomas, stays, act("finish", by="tomas", shown=shown)) == ["kept", "kept"]
    assert Determination.objects.get(assay=OPEN, place=1).content["final"] == "24.52 mL"
    assert [one["text"] for one in events("reading.kept") if one["name"] == "final"] == ["24.52", "24.62", "24.52"]
