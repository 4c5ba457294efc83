"""Today's page: to each person what is theirs to do, and never what their roles do not allow."""

import pytest

from tests.web.test_line import entered, new_lot, plain, sent

pytestmark = pytest.mark.usefixtures("accounts")


def parts(client):
    """The parts of today's page: by heading the texts of their lines, or of what stands there instead."""
    from lxml import html

    page = html.fromstring(client.get("/").content.decode())
    quiet = {one.text_content().strip(): [" ".join(one.getnext().text_content().split())]
             for one in page.xpath("//section/dl/dt")}
    return quiet | {one.xpath("string(h2/text())").strip():
                    [" ".join(line.text_content().split()) for line in one.xpath("ul/li | p")]
                    for one in page.xpath("//section[ul]")}


def links(client, title):
    from lxml import html

    page = html.fromstring(client.get("/").content.decode())
    return page.xpath(f"//section[starts-with(normalize-space(h2), '{title}')]//li//a/@href")


def test_an_empty_laboratory_is_told_what_to_do_first(browser):
    text = plain(browser("ines").get("/"))
    assert "These records are empty. First register the instruments" in text
    assert "None of your worksheets lies open." in text
    assert "Define a product" not in text, "an analyst does not define products"
    assert "Define a product" in plain(browser("maren").get("/"))


@pytest.mark.usefixtures("laboratory")
def test_everybody_sees_what_their_roles_let_them_do(browser):
    analyst, reviewer, signatory = (set(parts(browser(name))) for name in ("ines", "jonas", "maren"))
    assert {"Your worksheets", "Lots to assay"} <= analyst
    assert not {"To review", "Lots to release", "Certificates to sign"} & analyst
    assert "To review" in reviewer
    assert "Lots to release" not in reviewer
    assert {"Lots to release", "Certificates to sign"} <= signatory


@pytest.mark.usefixtures("laboratory")
def test_a_worksheet_goes_from_the_analyst_to_the_reviewer_and_back_with_the_reason(browser):
    from assaywright.records.models import Assay

    ines, jonas, maren = browser("ines"), browser("jonas"), browser("maren")
    Assay.objects.get(pk="WS-26-0903", analyst="Ines Okafor", stage="titrating")
    assert any("WS-26-0903" in line for line in parts(ines)["Your worksheets"])
    assert not any("WS-26-0903" in line for line in parts(browser("tomas"))["Your worksheets"])
    sent(ines, "/assay/WS-26-0903", do="send")
    assert not any("WS-26-0903" in line for line in parts(ines)["Your worksheets"])
    assert "/review/WS-26-0903" in links(jonas, "To review")
    sent(jonas, "/review/WS-26-0903", do="return", reason="tare of the second portion misread")
    first = parts(ines)["Your worksheets"][0]
    assert "WS-26-0903" in first
    assert "Jonas Feld: “tare of the second portion misread”" in first
    assert "/bench/WS-26-0903" in links(ines, "Your worksheets")
    sent(maren, "/assay/WS-26-0903", do="send")
    assert "/review/WS-26-0903" not in links(maren, "To review"), "who sent it has worked on it"
    assert "/review/WS-26-0903" in links(jonas, "To review")


@pytest.mark.usefixtures("laboratory")
def test_lots_wait_for_what_they_lack_and_entries_for_a_second_person(browser):
    ines, jonas = browser("ines"), browser("jonas")
    new_lot(ines)
    assert any(line.startswith("0951") and "waits for the assay of acetic acid" in line
               for line in parts(ines)["Lots to assay"])
    assert "/plan/lot/0951" in links(ines, "Lots to assay")
    entered(ines)
    (line,) = (one for one in parts(jonas)["Entries to check"] if one.startswith("0951"))
    assert "density at 20 °C, chloride, appearance" in line
    sent(jonas, "/lot/0951", do="check")
    assert not any(one.startswith("0951") for one in parts(jonas)["Entries to check"])


@pytest.mark.usefixtures("people")
@pytest.mark.parametrize(("use_before", "said"), [
    ("2026-11-29", "1 day past"), ("2026-11-30", "last day today"), ("2026-11", "last day today"),
    ("2026-12-01", "1 day left"), ("2026-12-30", "30 days left"), ("2026-12-31", ""), ("2026-12", "")])
def test_what_falls_due_is_told_within_thirty_days(use_before, said):
    """A day or a month lasts through its last day (common practice, no source)."""
    from datetime import date

    from assaywright.actions.solutions import solution_prepare
    from assaywright.records.selectors.due import falls_due

    solution_prepare(identity="T-1", table={"name": "sodium hydroxide 0.1 mol/L", "formula": "NaOH",
                                            "nominal": "0.1 mol/L", "use_before": use_before},
                     prepared="2026-10-01", volume="5 L", by="ines")
    assert [one.said for one in falls_due(date(2026, 11, 30))] == ([said] if said else [])


@pytest.mark.usefixtures("laboratory")
def test_the_most_urgent_comes_first_and_leads_to_the_next_act(browser):
    from datetime import date

    from assaywright.records.selectors.due import falls_due

    found = falls_due(date(2027, 2, 1))
    assert [one.days for one in found] == sorted(one.days for one in found)
    assert {("titrant", "T-0918"), ("calibration", "W-4")} <= {(one.kind, one.identity) for one in found}
    assert ("calibration", "B-11") not in {(one.kind, one.identity) for one in found}, "it is due on 11 March"


@pytest.mark.usefixtures("laboratory")
def test_many_lots_at_once_stand_where_each_of_them_stands_alone(browser):
    from assaywright.records.models import Lot, Product
    from assaywright.records.selectors.lots import stages_of, waits_for
    from assaywright.records.selectors.stages import DONE, STOPPED
    from assaywright.records.selectors.standing import lot_lines_of

    ines, jonas, maren = browser("ines"), browser("jonas"), browser("maren")
    new_lot(ines)
    new_lot(ines, "0952")
    entered(ines, "0952")
    sent(ines, "/assay/WS-26-0903", do="send")
    sent(ines, "/assay/WS-26-0909", do="send")
    sent(jonas, "/review/WS-26-0909", do="return", reason="misread at the bench")
    sent(maren, "/lot/0944", do="hold", hold_reason="out of its limits")
    sent(maren, "/lot/0942", do="reject", reject_reason="spilt at the bench")
    lots = list(Lot.objects.order_by("identity"))
    seen = set()
    for lot, line in zip(lots, lot_lines_of(lots), strict=True):
        specified = Product.objects.get(pk=lot.product).content["characteristics"]
        stages = stages_of(lot, specified)
        assert line.waits_for == waits_for(lot, specified)
        assert line.stage == next((one.name for one in reversed(stages) if one.state in (DONE, STOPPED)), "made")
        seen.add(line.waits_for)
    assert len(seen) > 4
