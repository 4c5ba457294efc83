"""Certificates on their pages: a titrant from preparation to certificate, amended, withdrawn; who is offered what."""

import pytest

from tests.web.conftest import PASSWORD
from tests.web.test_line import attached_figures, certificate_text, plain, reviewed, sent

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
STATED = {"do": "specify", "stated_maker": "Tarn Hollow Reagents", "stated_made": "2026-11-27",
          "stated_use_before": "2099-01", "stated_storage": "in polyethylene, tightly closed",
          "stated_hazards": "H290\nH314", "stated_cautions": "Wear goggles and gloves.",
          "stated_name": "amount concentration of NaOH", "stated_lower": "0.48", "stated_upper": "0.52",
          "stated_rule": "simple acceptance"}


def standardised(browser):
    """A titrant prepared and standardised in the browser, its worksheets reviewed; no file is imported for it."""
    ines = browser("ines")
    sent(ines, "/solutions/new", number="T-0999", name="sodium hydroxide 0.5 mol/L", formula="NaOH", nominal="0.5",
         prepared="2026-11-27", volume="2", use_before="2099-01")
    sent(ines, "/assays/new", number="WS-26-0999", about="T-0999", method="naoh-against-hcl", handling="pipetted",
         against="T-0917", against_in_force="mean of accepted", thermometer="T-6", performed="2026-11-30",
         **{"vessel burette": "B-11", "vessel pipette": "P-20-03"})
    for final in ("20.08", "20.09", "20.07"):
        sent(ines, "/assay/WS-26-0999", do="record", sample_temperature="22.0", initial="0.00", final=final,
             temperature="22.0")
    reviewed(browser, "WS-26-0871", "WS-26-0874", "WS-26-0999")


def test_a_titrant_from_its_preparation_to_its_certificate_withdrawn_in_the_end(browser):
    standardised(browser)
    ines, jonas, maren = browser("ines"), browser("jonas"), browser("maren")
    assert "State what its certificate says" not in plain(ines.get("/solution/T-0999"))
    page = plain(maren.get("/solution/T-0999"))
    assert "None can be issued yet" in page
    assert 'value="Tarn Hollow Reagents"' in maren.get("/solution/T-0999").content.decode()
    answer = sent(jonas, "/solution/T-0999", 422, **{**STATED, "stated_hazards": "H999"})
    assert "there is no hazard statement 'H999'" in plain(answer)
    assert "in polyethylene, tightly closed" in answer.content.decode(), "what was typed is still there"
    sent(jonas, "/solution/T-0999", **STATED)
    assert "an authorised signatory issues the certificate" in plain(ines.get("/solution/T-0999"))
    number = sent(maren, "/certificates/titrant/T-0999", password=PASSWORD)["Location"].rpartition("/")[2]
    data = maren.get(f"/certificates/file/{number}").content
    one = attached_figures(data)["characteristics"][0]
    assert one["limits"] == "0.48 to 0.52 mol/L"
    text = certificate_text(data)
    assert "Store in polyethylene, tightly closed." in text
    assert "Responsibility The program computes; it answers for nothing." in text
    assert "Maren Tolliver, " in text.partition("Responsibility")[2]
    page = plain(ines.get("/solution/T-0999"))
    assert f"{number} , by WS-26-0999 in force" in page
    assert f"issued the certificate {number}" in page
    assert "H314" in plain(ines.get("/label/solution/T-0999"))

    assert f"No figure, date or statement differs from {number}" in plain(maren.get(f"/certificate/{number}"))
    assert "nothing on record differs" in plain(
        sent(maren, f"/certificate/{number}", 422, do="amend", changed="a slip", password=PASSWORD))
    sent(jonas, "/solution/T-0999", **{**STATED, "stated_storage": "in glass", "stated_reason": "a slip of the pen"})
    shown = plain(maren.get(f"/certificate/{number}"))
    assert "Storage in polyethylene, tightly closed in glass" in shown
    later = sent(maren, f"/certificate/{number}", do="amend", changed="a slip", password=PASSWORD)["Location"]
    assert "Storage in polyethylene, tightly closed in glass" in plain(ines.get(later))
    sent(jonas, later, 403, do="withdraw", reason="no longer ours", password=PASSWORD)
    sent(maren, later, do="withdraw", reason="the flask was not that of the lot", password=PASSWORD)
    told = plain(ines.get(later))
    assert "by Maren Tolliver because: the flask was not that of the lot" in told
    assert "no later one takes its place" in told
    assert "withdrawn" in plain(ines.get("/certificates"))
    file = ines.get(later.replace("/certificate/", "/certificates/file/"))
    assert "withdrawn.pdf" in file["Content-Disposition"]


def test_what_may_not_be_done_is_not_offered(browser):
    reviewed(browser, "WS-26-0871", "WS-26-0874", "WS-26-0878")
    number = sent(browser("maren"), "/certificates/titrant/T-0918", password=PASSWORD)["Location"]
    page = plain(browser("ines").get(number))
    assert "An authorised signatory amends or withdraws it." in page
    assert "Sign and withdraw" not in page
    assert "Sign and withdraw" in plain(browser("maren").get(number))


def test_the_laboratorys_copy_names_who_reviewed_who_signed_and_when(browser):
    from assaywright.records import days

    reviewed(browser, "WS-26-0871", "WS-26-0874", "WS-26-0878")
    number = sent(browser("maren"), "/certificates/titrant/T-0918", password=PASSWORD)["Location"].rpartition("/")[2]
    text = certificate_text(browser("ines").get("/working/WS-26-0878").content)
    day = days.today().isoformat()
    assert f"WS-26-0878: Jonas Feld, {day}" in text
    assert f"{number}: Maren Tolliver, {day}" in text


def test_paper_speaks_of_worksheets_by_number_and_never_of_files(browser):
    """The portions of lot 0944 lie too far apart; the remark is accepted, and stands on the certificate."""
    import re

    from assaywright.actions.irregularities import remark_accept
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.models import Lot

    reviewed(browser, "WS-26-0912")
    lot = Lot.objects.get(pk="0944")
    for one in evaluate_lot_record(lot).holds:
        remark_accept(subject="WS-26-0912", kind=one.kind, where=one.where, what=one.what, by="maren",
                      reason="a coarse powder; the scatter stands in the uncertainty")
    maren = browser("maren")
    reviewed_below = [one.worksheet.identity for one in evaluate_lot_record(lot).outcomes]
    assert reviewed_below == ["WS-26-0912"]
    text = certificate_text(maren.get("/working/WS-26-0912").content)
    assert "Irregularities accepted WS-26-0912: range" in text
    assert not re.search(r"\.toml|\[[a-z]", text)
