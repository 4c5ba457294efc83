"""The assay after an adjustment: planned with a shelf, or with what the lot's own worksheet was done with."""

import io
import json

import pypdf
import pytest

from assaywright.assay.adjust.adjust import adjust
from assaywright.assay.adjust.form import read_adjustment
from assaywright.assay.adjust.reassay import samples_of
from assaywright.assay.adjust.sheets import adjustment_sheet
from assaywright.reports.render import production_pdf
from tests.adjust.test_adjust import LABORATORY, ROUGH, STRONG, no_file, written
from tests.cli.terminal import assert_refused_in_one_sentence, call
from tests.plan.shelves import BALANCE, DAY, NORMAL_ACID, shelf_of, shelf_text, vessel

SHELF = (vessel("burette", 50), vessel("pipette", 5), BALANCE, NORMAL_ACID)
MISSED = LABORATORY / "production" / "0943-adjust-to-strength.toml"


def reassayed(shelf=None, text=STRONG, day=DAY):
    return adjust(read_adjustment(text.encode(), "a.toml"), no_file, trials=2000, shelf=shelf, day=day).reassay


def test_the_new_assay_is_planned_at_the_content_predicted_with_what_the_shelf_has():
    found = reassayed(shelf_of(*SHELF))
    setup = found.plan.options[0].setup
    # 30 % w/w: 40 mL × 1 mol/L × 39.997 g/mol / 0.30 = 5.333 g by hand; the air carries 0.1 % of it
    assert setup.portion_g == pytest.approx(5.333, rel=2e-3)
    assert setup.titre_mL == pytest.approx(40.00, abs=0.01)
    # between 29.8 and 30.2 % w/w: 40 mL × 29.8 / 30 = 39.73 mL and 40.27 mL, by hand
    assert found.guide.specified.low_mL == pytest.approx(39.73, abs=0.01)
    assert found.guide.specified.high_mL == pytest.approx(40.27, abs=0.01)
    words = " ".join(found.told)
    assert "H314" in " ".join(found.cautions)
    assert "Weigh about 5.33 g" in " ".join(found.take)
    assert "Expected titre 40.00 mL at the predicted 30.00" in words
    assert "at least one of each sample" in words


def test_whether_that_assay_decides_is_said():
    close = reassayed(shelf_of(*SHELF)).told[-1]
    assert "less than the distance to the nearer limit" in close
    narrow = STRONG.replace('"29.80', '"29.97').replace('"30.20', '"30.03').replace("± 0.16", "± 0.002")
    assert "more than the distance to the nearer limit" in reassayed(shelf_of(*SHELF), narrow).told[-1]


def test_without_a_shelf_the_lots_own_worksheet_tells_what_there_is():
    answer = call("adjust", MISSED, "--json")
    option = json.loads(answer.output)["reassay"]["option"]
    assert option["method"] == "hydrochloric-acid-by-naoh"
    assert option["burette"] == "B-11"
    # 50 mL of 5.000 mol/L to 250 mL, 20 mL of it: 20.000 mmol; / 0.49845 mol/L = 40.12 mL by hand, at 20 °C
    assert (option["portion_mL"], option["aliquot_mL"]) == (50.0, 20.0)
    assert option["expected_titre_mL"] == pytest.approx(40.12, abs=0.03)


def test_with_neither_nothing_is_planned_and_the_sheet_says_what_to_name():
    assert "--vessels FILE" in reassayed().told[0]
    assert "day of the work" in reassayed(shelf_of(*SHELF), STRONG.replace("date = 2026-10-14\n", ""), None).told[0]


def test_a_shelf_that_cannot_do_it_leaves_the_adjustment_and_says_why(tmp_path):
    shelf = tmp_path / "shelf.toml"
    shelf.write_text(shelf_text(vessel("burette", 50), vessel("pipette", 5)), encoding="utf-8")
    answer = call("adjust", written(tmp_path, STRONG), "--vessels", shelf)
    assert answer.status == 0
    words = " ".join(answer.output.split())
    assert "Add 75 kg" in words
    assert "No plan for the new assay: nothing on the shelf can be put together" in words


def test_the_files_own_shelf_is_taken_and_a_missing_one_refused(tmp_path):
    text = STRONG.replace("[specification]", 'shelf = "shelf.toml"\n[specification]')
    assert_refused_in_one_sentence(call("adjust", written(tmp_path, text)), "shelf.toml", "not there to be read")
    (tmp_path / "shelf.toml").write_text(shelf_text(*SHELF), encoding="utf-8")
    words = " ".join(call("adjust", written(tmp_path, text)).output.split())
    assert "Weigh about 5.33 g" in words


def test_after_the_first_of_two_steps_the_assay_expects_what_that_step_leaves():
    text = STRONG.replace(*ROUGH).replace("± 0.16", "± 0.02") + '[aim]\nland = "29.85 % w/w"\n'
    found = adjust(read_adjustment(text.encode(), "a.toml"), no_file, trials=20_000, shelf=shelf_of(*SHELF), day=DAY)
    assert found.two_steps.advised
    assert found.reassay.plan.options[0].result.estimate.value == pytest.approx(found.two_steps.first.result.value,
                                                                                rel=1e-5)


def test_the_sheet_has_a_line_to_fill_in_for_each_determination():
    found = adjust(read_adjustment(STRONG.encode(), "a.toml"), no_file, trials=2000, shelf=shelf_of(*SHELF), day=DAY)
    sheet = adjustment_sheet(found)
    table = next(one for one in sheet.tables if one.by_hand)
    assert len(table.rows) == found.reassay.plan.options[0].setup.determinations >= 3
    assert [row[1] for row in table.rows][:3] == ["top", "middle", "bottom"]
    assert all(cell == "" for row in table.rows for cell in row[2:])
    pages = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(production_pdf(sheet))).pages)
    words = " ".join(pages.split())
    assert found.reassay.guide.number in words
    assert words.index("Samples After mixing") < words.index("Initial, mL") < words.index("To know")


def test_the_new_assay_has_its_own_cautions_before_its_own_steps_on_paper_and_screen(tmp_path):
    (tmp_path / "shelf.toml").write_text(shelf_text(*SHELF), encoding="utf-8")
    target = tmp_path / "sheet.pdf"
    text = STRONG.replace('responsible = "', 'shelf = "shelf.toml"\nresponsible = "', 1)
    answer = call("adjust", written(tmp_path, text), "-o", target)
    assert answer.status == 0, answer.errors
    lines = [line.strip() for line in answer.output.splitlines()]
    at = lines.index("THE NEW ASSAY: CAUTIONS, BEFORE ITS FIRST STEP")
    assert at < lines.index("THE NEW ASSAY") < next(n for n, line in enumerate(lines) if "Weigh about 5.33 g" in line)
    reader = pypdf.PdfReader(target)
    words = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert (words.index("The new assay: cautions") < words.index("Expected titre") < words.index("To take")
            < words.index("Weigh about 5.33 g"))
    last = " ".join(reader.pages[-1].extract_text().split())
    assert len(last) > 600  # no page for the signature alone
    assert words.index("signature") < words.index("Calculation")


def test_more_determinations_than_samples_begin_again_at_the_top():
    assert samples_of(4) == ("top", "middle", "bottom", "top")
