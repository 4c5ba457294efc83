"""Production's questions on their pages: adjusting, blending; the same as the command says, and right by hand.

The balance of masses is conservation of mass: m_w = m (w/w_t - 1) for water, m_c = m (w_t - w)/(w_c - w_t) for a
concentrate, x = (w_t - w_b)/(w_a - w_b) for the share of lot a in a blend with b (alligation alternate, USP <1160>).
Probabilities are held against the normal distribution of scipy.
"""

import io
import json
import re
from datetime import date
from pathlib import Path
from urllib.parse import urlencode

import pytest
from scipy.stats import norm

from tests.house.sentences import assert_well_said
from tests.web.test_line import ACETIC, assayed, new_lot, plain

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
WATER = {"amount": "5000 kg ± 10 kg, k = 2", "tank": "T-4", "readability": "1 kg", "nominal": "30.00 % w/w",
         "content": "30.45 % w/w ± 0.06 % w/w, k = 2", "kind": "diluent", "addition": "purified water"}
HYDROCHLORIC = {
    "nominal": "5.000 mol/L", "tank": "tank 5", "amount": "2050 L ± 4 L, rectangular", "repeatability": "0.0025 mol/L",
    "tank_density": "1.0826 g/mL ± 0.0002 g/mL, k = 2", "dead_leg": "12 kg ± 3 kg, rectangular",
    "density": "1.0833 g/mL ± 0.0002 g/mL, k = 2",
    "tank_temperature": "22 °C", "capacity": "2400 L", "greatest_temperature": "50 °C", "readability": "0.1 L",
    "mixing": "pump round for 30 minutes", "measuring": "0.2 L, rectangular", "instrument": "water meter M-1",
    "number": "AD-26-0943", "failing": "5 %", "overshoot": "1 %"}


@pytest.fixture(autouse=True)
def on_that_day(laboratory, monkeypatch):
    """The pages ask of a day on which the demonstration's solutions are in date, whenever the tests run."""
    from assaywright.web.pages import production

    monkeypatch.setattr(production, "today", lambda: date(2026, 10, 9))


def asked(client, path, fields, expected=200):
    """Send a form by its address; return the page's text."""
    answer = client.get(f"{path}?{urlencode(fields)}")
    assert answer.status_code == expected, plain(answer)
    return plain(answer)


def printed(client, path, fields):
    """Return the figures that are attached to the printed sheet."""
    import pypdf

    answer = client.get(f"{path}?{urlencode(fields)}")
    assert answer.content[:5] == b"%PDF-", plain(answer)
    return json.loads(pypdf.PdfReader(io.BytesIO(answer.content)).attachments["document.json"][0])


def test_the_page_says_what_the_command_says_of_the_file_to_the_last_digit(browser):
    import assaywright
    from assaywright.assay.adjust.adjust import adjust
    from assaywright.assay.adjust.form import read_adjustment
    from assaywright.assay.adjust.sheets import adjustment_sheet
    from assaywright.reports.render import document_json

    file = Path(assaywright.__file__).parent / "cli/demo_files/laboratory/production/0943-adjust-to-strength.toml"
    adjusted = adjust(read_adjustment(file.read_bytes(), str(file)), lambda path: Path(path).read_bytes())
    by_file = json.loads(document_json(adjustment_sheet(adjusted)))
    client = browser("ines")
    by_form = printed(client, "/sheet/adjust/0943", HYDROCHLORIC)
    for one in ("first", "hazards", "protection", "steps", "after", "notes", "given", "lines", "responsible"):
        assert by_form[one] == by_file[one], one
    for title in ("One step or two", "What makes it uncertain"):
        both = [next(one for one in sheet["tables"] if one["title"] == title) for sheet in (by_form, by_file)]
        assert both[0] == both[1]
    assert [one for one in by_form["answers"] if one["label"] != "Check first"] == by_file["answers"]
    told = asked(client, "/adjust/lot/0943", HYDROCHLORIC)
    assert {"label": "Add", "text": "33.2 L of purified water (33.14 kg)"} in by_file["answers"]
    for one in by_file["answers"]:
        assert f"{one['label']} {' '.join(one['text'].split())}" in told, one
    assert "Check first: Worksheet WS-26-0909 is not reviewed yet" in told
    assert told.index("Before the first step") < told.index("Add 33.2 L")
    assert "expected U" in told


def test_water_concentrate_and_chances_are_right_by_hand(browser):
    client = browser("ines")
    told = asked(client, "/adjust/lot/0941", WATER)
    assert f"Add {5000 * (30.45 / 30.00 - 1):.0f} kg of purified water (about 75.13 L)" in told
    found = float(re.search(r"Conforms as it is ([0-9.]+) %", told)[1]) / 100
    upper = float(re.search(r"Limits [0-9.]+ to ([0-9.]+) % w/w", told)[1])
    assert found == pytest.approx(norm.cdf((upper - 30.45) / 0.03), abs=0.003)
    raised = {**WATER, "content": "29.40 % w/w ± 0.06 % w/w, k = 2", "kind": "concentrate", "addition": "acetic acid",
              "addition_content": "80.00 % w/w ± 0.2 % w/w, k = 2"}
    kg = 5000 * (30.00 - 29.40) / (80.00 - 30.00)
    assert f"Add {int(kg)} kg of acetic acid" in asked(client, "/adjust/lot/0941", raised)
    cheap = asked(client, "/adjust/lot/0941", {**WATER, "land": "cheapest", "failing": "1 %"})
    assert 0.99 <= float(re.search(r"Conforms then ([0-9.]+) %", cheap)[1]) / 100 < 0.995


BAD = [
    ({"amount": ""}, "in the tank: how much is in the tank is missing"), ({"amount": "5000 kg"}, "no uncertainty"),
    ({"amount": "-5 kg ± 1 kg, k = 2"}, "in the tank"), ({"amount": "nan kg ± 1 kg, k = 2"}, "in the tank"),
    ({"amount": "5000 mol ± 1 mol, k = 2"}, "in the tank"), ({"amount": "5.000,5 kg ± 1 kg, k = 2"}, "in the tank"),
    ({"content": "30.45 % w/w"}, "content found: 30.45 % w/w has no uncertainty"),
    ({"content": "much"}, "content found"), ({"nominal": ""}, "nominal"), ({"nominal": "35 % w/w"}, "lies outside"),
    ({"nominal": "30.00 g/L"}, "limit"), ({"land": "nowhere"}, "no aim"), ({"land": "content"}, "content to land at"),
    ({"land": "content", "land_at": "31 % w/w"}, "would not conform"), ({"failing": "120"}, "chance of failing"),
    ({"failing": "x"}, "chance of failing"), ({"failing": "0.001"}, "from 0.01 %"),
    ({"kind": "concentrate"}, "the content of the concentrate is missing"),
    ({"kind": "concentrate", "addition_lot": "0942"}, "its lot or solution: lot 0942 is sodium carbonate"),
    ({"capacity": "100 L"}, "the tank"), ({"tank_temperature": "400 °C"}, "temperature in the tank"),
    ({"number": ""}, "number of the sheet: it is missing; write it, like"), ({"responsible": ""}, "responsible: it is"),
    ({"readability": "0 kg"}, "smallest step"),
    ({"content": "29.40 % w/w ± 0.06 % w/w, k = 2"}, "cannot raise the lot"), ({"tank": "x" * 400}, "400 characters"),
    ({"content": "", "worksheet": "WS-26-0909"}, "no worksheet that assays this"), ({"available": "10 kg"}, "10 kg"),
    ({"addition_lot": "0943"}, "its lot or solution: 0943 is on record as hydrochloric acid 5 mol/L, and purified"),
    ({"addition_content": "36 % w/w"}, "its content: “36 % w/w” is given, and a diluent holds nothing"),
    ({"addition": "hydrochloric acid"}, "no diluent"), ({"amount": "5000 kg ± 6000 kg, k = 2"}, "a third of it"),
    ({"dead_leg": "5000 kg"}, "dead leg"), ({"mixing": "a\u2028b"}, "mixed"), ({"prior_mean": "30 % w/w"}, "prior"),
]
FILE_WORDS = re.compile(r"\[|\]|toml|TOML|--\w|\bfile\b|assaywright [a-z]|\b(?!k =)\w+ = |correct it on the page of")


def test_what_cannot_be_is_one_sentence_of_fields_and_nothing_typed_is_lost(browser):
    client = browser("ines")
    for typed, said in BAD:
        answer = client.get(f"/adjust/lot/0941?{urlencode({**WATER, **typed})}")
        assert answer.status_code == 422, typed
        sentence = told_in(answer)
        assert said in sentence, sentence
        assert not FILE_WORDS.search(sentence), sentence
        assert_well_said(sentence)
        assert 'value="T-4"' in answer.content.decode() or "tank" in typed


def told_in(answer):
    """Return the sentence by which a form is refused."""
    import html

    found = re.search(r'class="sentence"[^>]*>(.*?)</p>', answer.content.decode(), re.DOTALL)
    return html.unescape(" ".join(found[1].split()))


def results():
    """Return what the assays of lots 0941 and 0951 found, with all that it rests on."""
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    return [evaluate_assay(Assay.objects.get(pk=number)).result.estimate for number in ("WS-26-0903", "WS-26-0951")]


def shared_and_apart(weights):
    """Return u of the blend by JCGM 100, 5.2.2, what the assays share added up, and u as if they shared nothing."""
    parts = {}
    for weight, result in zip(weights, results(), strict=True):
        for one in result.contributions:
            parts.setdefault(one.key, []).append(weight * one.amount)
    return (sum(sum(one) ** 2 for one in parts.values()) ** 0.5,
            sum(each**2 for one in parts.values() for each in one) ** 0.5)


def test_lots_blend_as_the_square_says(browser):
    ines = browser("ines")
    new_lot(ines)
    stronger = [(gross, tare, initial, f"{float(final) * 1.02:.2f}") for gross, tare, initial, final in ACETIC]
    assayed(ines, rows=stronger)
    path = "/blend/acetic%20acid%2030%20%25%20w/w"
    page = asked(ines, path, {})
    low, high = (one.value for one in results())
    shown = [float(re.search(rf"{lot} made ([0-9.]+) % w/w ±", page)[1]) for lot in ("0941", "0951")]
    assert shown == pytest.approx([low, high], abs=0.0006)
    fields = {"stock 0941": "5000", "stock 0951": "5000 kg", "nominal": "30.20 % w/w", "aim": "nominal",
              "failing": "20", "readability": "0.1 kg"}
    told = asked(ines, path, fields)
    share = (30.20 - low) / (high - low)
    found = float(re.search(r"0951 [0-9.]+ kg ([0-9.]+) %", told)[1])
    assert found == pytest.approx(100 * share, abs=0.01)
    together, apart = shared_and_apart((1 - share, share))
    assert float(re.search(r"\(30[.]200 ± ([0-9.]+)\) % w/w", told)[1]) == pytest.approx(1.96 * together, abs=0.0006)
    assert together > 1.1 * apart  # one titrant, burette and balance behind both assays
    assert "Not predicted, and found anew on the blend: density at 20 °C" in told
    sheet = printed(ines, "/sheet" + path, fields)
    assert sheet["answers"][-1]["text"].startswith(re.search(r"Conforms in all ([0-9.<> ]+ %)", told)[1])
    for wrong, said in (({"stock 0951": ""}, "given of one"), ({"others": "none"}, "no lot “none”"),
                        ({"stock 0941": "some"}, "much there is of lot 0941"),
                        ({"stock 0941": "-5 kg"}, "lot 0941: -5 kg"), ({"aim": "x"}, "no aim"),
                        ({"wanted": "20000 kg"}, "10000 kg are there"), ({"nominal": "35 % w/w"}, "35")):
        answer = ines.get(f"{path}?{urlencode({**fields, **wrong})}")
        assert answer.status_code == 422, wrong
        sentence = told_in(answer)
        assert said in sentence, sentence
        assert not FILE_WORDS.search(sentence), sentence
        assert_well_said(sentence)
        assert wrong.get("stock 0951") == "" or 'value="5000 kg"' in answer.content.decode()


def test_a_content_converts_as_the_command_says_and_as_published(browser, capsys):
    from assaywright.cli import main

    client = browser("ines")
    # USP, sodium chloride by silver nitrate: each mL of 0.1 N is equivalent to 5.844 mg of NaCl.
    silver = {"content": "0.1 mol/L ± 0.0002 mol/L, k = 2", "substance": "AgNO3", "to": "g/L", "titrates": "NaCl",
              "nominal": "0.1 mol/L", "reaction": "Ag+ + Cl- -> AgCl"}
    told = asked(client, "/convert", silver)
    assert "each mL is equivalent to 5.844 mg" in told
    # M(AgNO3) = 169.873 g/mol (IUPAC, standard atomic weights): 0.1 M = 16.987, 1.96 times 0.0001 M = 0.033
    assert "16.987 g/L ± 0.033 g/L (k = 1.96, about 95 %) at 20 °C" in told
    assert main(["convert", silver["content"], "--of", "AgNO3", "--to", "g/L", "--titrates", "NaCl", "--nominal",
                 "0.1 mol/L", "--reaction", silver["reaction"], "--json"]) == 0
    record = json.loads(capsys.readouterr().out)
    assert f"{record['result']['value_text']} g/L ± {record['result']['uncertainty_text']} g/L" in told
    for line in record["working"]:
        assert line["value"] in told
    normal = {"content": "5 eq/L", "substance": "H2SO4", "to": "mol/L", "reaction": "H2SO4 + 2 OH- -> SO4-2 + 2 H2O"}
    assert "2.5 mol/L" in asked(client, "/convert", normal)
    page = asked(client, "/convert", {"lot": "0943"})
    strength = float(re.search(r"mol/L ([0-9.]+) [0-9.]+ mmol/L", page)[1])
    assert f"g/L {strength * 36.46094:.1f}"[:8] in page  # M(HCl) = 36.461 g/mol
    assert f"eq/L {strength} " in page
    for wrong, said in (({"content": ""}, "content: the content is missing"), ({"content": "5"}, "content: "),
                        ({"content": "nan mol/L"}, "content: "), ({"content": "-1 mol/L"}, "content"),
                        ({"substance": "unobtainium"}, "substance: no substance"), ({"to": "furlong"}, "unit wanted: "),
                        ({"density": "9"}, "density: "), ({"temperature": "400 °C"}, "temperature of the content: "),
                        ({"reaction": "nonsense"}, "nonsense"), ({"reaction": ""}, "substance to titrate: "),
                        ({"nominal": "0.1 mol/L ± 1 mol/L, k = 2"}, "nominal content: "), ({"expressed": "Fe"}, "Fe"),
                        ({"content": "1" * 400}, "400 characters"), ({"to": "eq/L", "reaction": ""}, "reaction")):
        answer = client.get(f"/convert?{urlencode({**silver, **wrong})}")
        assert answer.status_code == 422, wrong
        sentence = told_in(answer)
        assert said in sentence, sentence
        assert not FILE_WORDS.search(sentence.replace(silver["reaction"], "")), sentence
        assert_well_said(sentence)
        assert 'value="Ag+ + Cl- -&gt; AgCl"' in answer.content.decode() or "reaction" in wrong


def test_a_solution_is_made_as_the_command_says_and_as_by_hand(browser):
    import assaywright
    from assaywright.assay.prepare.form import read_preparation
    from assaywright.assay.prepare.prepare import prepare
    from assaywright.assay.prepare.sheet import preparation_sheet
    from assaywright.reports.render import document_json

    client = browser("ines")
    # M(NaCl) = 22.990 + 35.45 = 58.44 g/mol: a tenth of a mole is 5.84 g
    salt = {"substance": "NaCl", "content": "0.1 mol/L", "amount": "1 L", "form": "solid", "source": "sodium chloride",
            "readability": "0.01 g", "capacity": "1 L"}
    assert re.search(r"sodium chloride: NaCl[^0-9]* 58[.]44[0-9]* g/mol 5[.]84 g", asked(client, "/prepare", salt))
    file = Path(assaywright.__file__).parent / "cli/demo_files/laboratory/production/hydrochloric-acid-5-molar.toml"
    by_file = json.loads(document_json(preparation_sheet(prepare(read_preparation(file.read_bytes(), "")))))
    acid = {
        "substance": "hydrochloric acid", "content": "5.000 mol/L", "amount": "100 L", "vessel": "K-2",
        "vessel_kind": "bottle", "capacity": "150 L", "greatest_temperature": "50 °C", "form": "solution",
        "source": "hydrochloric acid 37 %", "source_lot": "drum 2217",
        "source_content": "36.9 % w/w ± 0.1 % w/w, k = 2",
        "readability": "0.01 kg", "measuring": "0.02 kg, rectangular", "instrument": "scale W-6", "available": "250 kg",
        "second_form": "diluent", "second": "purified water", "second_readability": "0.01 kg",
        "second_measuring": "0.02 kg, rectangular", "second_instrument": "scale W-6", "number": "PR-26-0951"}
    by_form = printed(client, "/prepare/sheet", acid)
    for one in ("first", "hazards", "steps", "notes", "given", "lines", "answers", "tables", "responsible"):
        assert by_form[one] == by_file[one], one
    page = client.get("/prepare?product=hydrochloric%20acid%205%20mol/L").content.decode()
    assert 'value="HCl"' in page
    assert 'value="5.00 mol/L"' in page
    for wrong, said in (({"amount": ""}, "how much is made: it is missing"), ({"amount": "1"}, "how much is made: "),
                        ({"amount": "-1 L"}, "how much is made"), ({"content": "nan mol/L"}, "content wanted: "),
                        ({"content": ""}, "content wanted: it is missing"),
                        ({"substance": "unobtainium"}, "substance: "),
                        ({"source": ""}, "name of what it is made from: it is missing"), ({"form": "gas"}, "solid or"),
                        ({"source_content": ""}, "its content: it is missing"), ({"vessel_kind": "hat"}, "kind of"),
                        ({"source_content": "3 % w/w"}, ""), ({"available": "1 kg"}, "1 kg"),
                        ({"source_lot": "0942", "source_content": ""}, "its lot: lot 0942 is sodium carbonate"),
                        ({"source_lot": "0941"}, "its lot: lot 0941 is acetic acid"),
                        ({"source": "caustic soda 50 %"}, "sodium hydroxide (NaOH), and hydrochloric acid"),
                        ({"source_lot": "T-0918"}, "its lot: sodium hydroxide 0.5 mol/L T-0918 is a solution of NaOH"),
                        ({"capacity": "10 L"}, "10 L"), ({"second_form": "x"}, "what fills it up"),
                        ({"second_content": "5 % w/w"}, "content of the second"), ({"responsible": ""}, "responsible")):
        answer = client.get(f"/prepare?{urlencode({**acid, **wrong})}")
        assert answer.status_code == 422, wrong
        sentence = told_in(answer)
        assert said in sentence, sentence
        assert not FILE_WORDS.search(sentence), sentence
        assert_well_said(sentence)
        assert 'value="scale W-6"' in answer.content.decode()


def test_the_lot_of_what_is_added_stands_on_the_sheet_and_a_content_typed_beside_one_on_record_is_told(browser):
    client = browser("ines")
    told = asked(client, "/adjust/lot/0941", {**WATER, "addition_lot": "PW-12"})
    assert "75 kg of purified water, lot PW-12" in told
    assert "Check first: Lot PW-12 is not in these records" in told
    acid = {"substance": "HCl", "content": "1 mol/L", "amount": "1 L", "source": "hydrochloric acid 37 %",
            "source_lot": "0943", "source_content": "36.9 % w/w ± 0.1 % w/w, k = 2", "capacity": "1 L"}
    told = asked(client, "/prepare", acid)
    assert "g of hydrochloric acid 5 mol/L, lot 0943" in told
    assert "g of hydrochloric acid 37 %" not in told
    assert "Check first: The content typed is taken, 36.9 % w/w ± 0.1 % w/w, k = 2; on record 0943 has" in told
    # 36.9 % w/w of 1.1837 g/mL holds 11.98 mol/L (CRC, density of hydrochloric acid, from memory), 5.08 on record
    assert float(re.search(r"typed is ([0-9.]+) % more", told)[1]) == pytest.approx(100 * (11.98 / 5.081 - 1), abs=1)


def test_an_irregularity_that_was_let_pass_goes_in_and_is_told(browser):
    from assaywright.actions.assays import assay_send
    from assaywright.actions.irregularities import remark_accept
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    ines, path = browser("ines"), "/blend/acetic%20acid%2030%20%25%20w/w"
    new_lot(ines)
    assayed(ines, rows=[(gross, tare, initial, f"{float(final) * (1 + 0.02 * n):.2f}")
                        for n, (gross, tare, initial, final) in enumerate(ACETIC)])
    held = [one for one in evaluate_assay(Assay.objects.get(pk="WS-26-0951")).remarks if one.holds]
    assert held
    fields = {"stock 0941": "5000", "stock 0951": "5000 kg", "aim": "most", "readability": "0.1 kg"}
    adjusted = {**WATER, "content": "", "worksheet": "WS-26-0951", "nominal": "30.00 % w/w"}
    assert "is held back" in asked(ines, path, fields, 422)
    assert "is held back" in asked(ines, "/adjust/lot/0951", adjusted, 422)
    assay_send(identity="WS-26-0951", by="ines")
    for one in held:
        remark_accept(subject="WS-26-0951", kind=one.kind, where=one.where, what=one.what, by="maren",
                      reason="looked at with the analyst")
    for told in (asked(ines, path, fields), asked(ines, "/adjust/lot/0951", adjusted)):
        assert "Check first: Worksheet WS-26-0951 goes in with an irregularity that Maren Tolliver let pass" in told


def test_from_a_lots_page_the_way_leads_there(browser):
    page = browser("tomas").get("/lot/0943").content.decode()
    assert 'href="/adjust/lot/0943"' in page
    assert 'href="/convert?lot=0943"' in page
    assert browser("tomas").get("/adjust/lot/none").status_code == 404
    assert browser("tomas").get("/blend/none").status_code == 404
