"""The plan of a lot's assay on its page: what the records hold, and nothing else, is planned with.

The plan itself is checked elsewhere; here the page has to ask the same plan as the command, show its figures unaltered,
and hand a chosen option on to the form and to the bench guide.
"""

import io
import re
from datetime import date
from urllib.parse import parse_qs, urlsplit

import pytest

from tests.web.test_line import plain, sent, version

pytestmark = pytest.mark.usefixtures("laboratory", "accounts")
DAY = date(2026, 10, 6)


@pytest.fixture(autouse=True)
def on_that_day(laboratory, monkeypatch):
    """The pages plan for a day on which the demonstration's solutions are in date, whenever the tests run."""
    from assaywright.web.pages import plans

    monkeypatch.setattr(plans, "today", lambda: DAY)


def links(answer, part):
    import html

    return [html.unescape(one) for one in re.findall(r'href="([^"]+)"', answer.content.decode()) if part in one]


def new_lot(ines, number="0951", product="sodium carbonate 0.5 mol/L"):
    sent(ines, "/lots/new", number=number, product=product, made="2026-11-27", use_before="2099-10", quantity="20 L")


def test_the_shelf_is_what_is_registered_in_use_in_date_and_worth_something():
    from assaywright.records.shelf import shelf_on_record

    found = shelf_on_record(DAY)
    shelf = found.shelf
    assert [one.identity for one in shelf.burettes] == ["B-11"]
    assert [one.identity for one in shelf.balances] == ["W-4"]
    assert {one.lot for one in shelf.titrants} == {"T-0917", "T-0918"}
    assert {one.lot for one in shelf.reference_materials} >= {"RM-SC-5", "RM-TRIS-3"}
    assert all(one.worksheets for one in shelf.titrants)
    assert found.left_out == ()
    later = shelf_on_record(date(2027, 6, 1))
    assert later.shelf.titrants == ()
    assert any("lot T-0918: past its last day of use, 2026-11" in one for one in later.left_out)
    assert "burette B-11: its calibration was due on 2027-03-11." in later.left_out
    assert later.shelf.burettes == ()


def test_glass_that_the_way_does_not_use_says_that_it_comes_from_the_standardisation(browser):
    """The best way for acetic acid weighs; T-0918 was set against an acid with pipette P-20-03."""
    answer = browser("ines").get("/plan/lot/0941")
    shown = plain(answer)
    assert "what limits it is pipette P-20-03, from the titrant’s standardisation, with" in shown
    assert "burette B-11, from" not in shown
    assert "lot T-0918: nobody has reviewed WS-26-0871" in shown
    assert "the release of what is titrated with it waits for that" in shown
    assert "It cannot be begun now: " in shown
    assert "no retest is authorised" in shown
    assert not links(answer, "/assays/new"), "what would be refused is not offered"


def test_a_calibration_holds_through_the_day_on_which_it_is_due():
    from assaywright.records.shelf import shelf_on_record

    assert shelf_on_record(date(2027, 3, 11)).shelf.burettes
    assert not shelf_on_record(date(2027, 3, 12)).shelf.burettes


def test_what_was_withdrawn_is_not_planned_with():
    from assaywright.records.models import Instrument
    from assaywright.records.projections.tables import rows
    from assaywright.records.shelf import shelf_on_record

    rows(Instrument).filter(pk="B-11").update(state="withdrawn")
    assert shelf_on_record(DAY).shelf.burettes == ()


def test_a_solution_without_standardisation_is_left_out_with_the_reason(browser):
    from assaywright.records.shelf import shelf_on_record

    sent(browser("ines"), "/solutions/new", number="T-0999", name="hydrochloric acid 1 mol/L", formula="HCl",
         nominal="1 mol/L", use_before="2099-10", volume="1 L")
    found = shelf_on_record(DAY)
    assert "T-0999" not in {one.lot for one in found.shelf.titrants}
    assert any("T-0999: nothing tells what it is worth" in one for one in found.left_out)


def test_the_page_shows_the_plan_of_the_command(browser):
    from assaywright.assay.plan.plan import plan_assay
    from assaywright.assay.plan.product import read_product
    from assaywright.assay.plan.words import decimals, per_cent, whole_per_cent
    from assaywright.records.bridge import open_by_path
    from assaywright.records.shelf import shelf_on_record

    ines = browser("ines")
    new_lot(ines)
    lot = ines.get("/lot/0951")
    (address, *_) = links(lot, "/plan/lot/0951")
    answer = ines.get(address)
    assert answer.status_code == 200, plain(answer)
    product = read_product(b"""format = "assaywright product 1"
name = "sodium carbonate 0.5 mol/L"
substance = "Na2CO3"
nominal = "0.5000 mol/L"
methods = ["sodium-carbonate-by-acid"]
density = "1.0500 g/mL \xc2\xb1 0.0005 g/mL, k = 2"
[repeatability]
pooled = "0.05 %, 30 degrees of freedom"
[[characteristic]]
name = "sodium carbonate"
lower = "0.4950 mol/L"
upper = "0.5050 mol/L"
""", "product.toml")
    text = plain(answer)
    plan = plan_assay(product, shelf_on_record(DAY).shelf, DAY, open_by_path)
    best = plan.options[0]
    assert f"{decimals(best.setup.titre_mL, 2)} {whole_per_cent(best.burette_use)}" in text
    assert plan.why in text
    assert per_cent(best.relative_uncertainty) in text
    assert f"({best.result.value_text} ± {best.result.uncertainty_text}) mol/L" in text
    assert f"{plan.considered} considered, {plan.feasible} feasible" in text
    body = answer.content.decode()
    assert body.count("<svg") >= 1
    assert " style=" not in body
    assert text.index("Before the first step") < text.index("Options, best first")


def test_an_option_is_begun_with_the_form_filled_in(browser):
    ines = browser("ines")
    new_lot(ines)
    page = ines.get("/plan/lot/0951")
    (first, *_) = links(page, "/assays/new")
    asked = {key: texts[0] for key, texts in parse_qs(urlsplit(first).query).items()}
    assert asked["about"] == "0951"
    assert asked["titrant"] == "T-0917"
    form = ines.get(first)
    body = form.content.decode()
    for key, text in asked.items():
        if key.startswith("vessel ") or key in ("titrant", "balance"):
            assert re.search(rf'<option value="{re.escape(text)}" selected', body), (key, text)
    from tests.web.site import forms_of

    filled = {**forms_of(form, "/assays/new")[-1].fields, **asked, "performed": "2026-11-30"}
    sent(ines, "/assays/new", **{key: text for key, text in filled.items() if key != "act"})
    begun = ines.get(f"/assay/{filled['number']}")
    assert begun.status_code == 200
    from assaywright.records.models import Assay

    heading = Assay.objects.get(pk=filled["number"]).content
    assert heading["titrant"]["lot"] == "T-0917"
    assert heading["vessels"]["burette"]["id"] == "B-11"


def test_the_bench_guide_of_an_option_is_sent_as_pdf_with_its_cautions(browser):
    import pypdf

    ines = browser("ines")
    new_lot(ines)
    page = ines.get("/plan/lot/0951")
    (first, *_) = links(page, "/guide/lot/0951")
    answer = ines.get(first)
    assert answer["Content-Type"] == "application/pdf"
    text = " ".join(" ".join(one.extract_text() for one in pypdf.PdfReader(io.BytesIO(answer.content)).pages).split())
    titre = re.search(r"min 1 .+? PDF (\d+\.\d\d) \d+ %", plain(page))[1]
    assert f"Endpoint at nominal {float(titre):g} mL" in text
    assert text.index("safety data sheets") < text.index("Run freely")


@pytest.mark.parametrize(("asked", "sentence"), [
    ("nominal=", "nominal content: no nominal content is stated"),
    ("nominal=0", "nominal"), ("nominal=0.9 mol/L", "above the upper limit"),
    ("uncertainty=0.0001", "nearest feasible"), ("uncertainty=-3 %", "no relative uncertainty"),
    ("uncertainty=x", "uncertainty"), ("density=-1 g/mL", "density"), ("state=gas", "gas"),
])
def test_what_cannot_be_is_refused_above_the_form_with_all_that_was_typed(browser, asked, sentence):
    ines = browser("ines")
    new_lot(ines)
    answer = ines.get("/plan/lot/0951?" + asked.replace(" ", "%20"))
    assert answer.status_code == 422
    assert sentence in plain(answer)
    assert "Options, best first" not in plain(answer)
    assert 'name="nominal"' in answer.content.decode()


def test_an_option_that_is_none_is_refused(browser):
    ines = browser("ines")
    new_lot(ines)
    assert "the plan has no option" in plain(ines.get("/guide/lot/0951?option=99"))
    assert "the plan has no option" in plain(ines.get("/guide/lot/0951?option=x"))


def test_without_an_instrument_the_page_says_what_to_register(browser):
    from assaywright.records.models import Instrument
    from assaywright.records.projections.tables import rows

    ines = browser("ines")
    new_lot(ines)
    rows(Instrument).filter(pk="B-11").update(state="withdrawn")
    answer = ines.get("/plan/lot/0951")
    assert answer.status_code == 422
    assert "there is no burette" in plain(answer)


def test_a_released_lot_offers_no_plan_and_a_new_one_does(browser):
    ines = browser("ines")
    new_lot(ines)
    assert links(ines.get("/lot/0951"), "/plan/lot/0951")
    from assaywright.records.models import Lot
    from assaywright.records.projections.tables import rows

    rows(Lot).filter(pk="0951").update(state="released")
    assert not links(ines.get("/lot/0951"), "/plan/lot/0951")
    assert version("Lot", "0951")


# --- what is planned can be begun -------------------------------------------------------------------------------------


def begun_from(client, address, **more):
    """Begin a worksheet with the form that an option of a plan fills in, and return its number."""
    from tests.web.site import forms_of

    asked = {key: texts[0] for key, texts in parse_qs(urlsplit(address).query).items()}
    filled = {**forms_of(client.get(address), "/assays/new")[-1].fields, **asked, "performed": "2026-11-30", **more}
    sent(client, "/assays/new", **{key: text for key, text in filled.items() if key != "act"})
    return filled["number"]


WEIGHINGS = {
    "weighed into a flask": {"dilution_gross": "75.0000", "dilution_tare": "25.0000"},
    "diluted by mass": {"dilution_gross": "75.0000", "dilution_tare": "25.0000", "dilution_total_gross": "330.00",
                        "dilution_total_tare": "130.00"},
}


@pytest.mark.parametrize("way", ["weighed", "diluted", *WEIGHINGS])
def test_every_way_that_the_plan_offers_can_be_begun_and_evaluated(browser, way):
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    ines = browser("ines")
    new_lot(ines, "0971", "acetic acid 30 % w/w")
    (address, *_) = [one for one in links(ines.get("/plan/lot/0971"), "/assays/new")
                     if parse_qs(urlsplit(one).query)["handling"] == [way]]
    number = begun_from(ines, address, **WEIGHINGS.get(way, {}))
    weighed = {"gross": "24.0000", "tare": "20.0000"} if way in ("weighed", "diluted by mass") else {}
    sent(ines, f"/assay/{number}", do="record", initial="0.00", final="40.00", **weighed)
    outcome = evaluate_assay(Assay.objects.get(pk=number))
    heading = Assay.objects.get(pk=number).content
    assert set(heading.get("dilution", {})) >= {
        "weighed": set(), "diluted": {"pipette", "flask"}, "weighed into a flask": {"gross", "tare", "flask"},
        "diluted by mass": {"gross", "tare", "total_gross", "total_tare"}}[way]
    # 40.00 mL of 0.4985 mol/L hold 19.94 mmol, which are 1.1974 g of acetic acid (60.052 g/mol), in what was titrated:
    density, aliquot_mL, flask_mL = 1.0385, float(heading["vessels"].get("aliquot pipette", {"nominal": "0 mL"})[
        "nominal"].split()[0]), float(heading["vessels"].get("flask", {"nominal": "1 mL"})["nominal"].split()[0])
    pipette_mL = float(heading["vessels"].get("pipette", {"nominal": "0 mL"})["nominal"].split()[0])
    portion_g = {"weighed": 4.0, "diluted": pipette_mL * density * aliquot_mL / flask_mL,
                 "weighed into a flask": 50.0 * aliquot_mL / flask_mL, "diluted by mass": 4.0 * 50.0 / 200.0}[way]
    assert float(outcome.result.value_text) == pytest.approx(100 * 1.1974 / portion_g, rel=0.004)
    assert "gross" not in heading["vessels"]


def test_a_dilution_whose_portion_was_not_weighed_is_not_begun(browser):
    ines = browser("ines")
    new_lot(ines, "0971", "acetic acid 30 % w/w")
    (address, *_) = [one for one in links(ines.get("/plan/lot/0971"), "/assays/new")
                     if parse_qs(urlsplit(one).query)["handling"] == ["weighed into a flask"]]
    asked = {key: texts[0] for key, texts in parse_qs(urlsplit(address).query).items()}
    answer = ines.post("/assays/new", {"number": "WS-1", "performed": "2026-11-30", **asked})
    assert answer.status_code == 422
    assert "nothing says what the portion for the dilution weighs" in plain(answer)


def test_the_laboratorys_own_method_is_planned_with(browser):
    import uuid

    from assaywright.assay.method import library_text
    from assaywright.records.models import Assay

    jonas, ines = browser("jonas"), browser("ines")
    own = library_text("sodium-carbonate-by-acid").replace('"sodium-carbonate-by-acid"', '"our-soda"')
    made = jonas.post("/methods/own", {"act": str(uuid.uuid4()), "text": own})
    assert made.status_code == 302, plain(made)[:600]
    sent(jonas, "/products/new", **{
        "name": "soda by our own", "name-1": "sodium carbonate", "lower-1": "0.4950 mol/L", "upper-1": "0.5050 mol/L",
        "method-1": "our-soda.toml", "rule-1": "simple acceptance", "maker": "Tarn Hollow Reagents", "storage": "cool"})
    new_lot(ines, "0961", "soda by our own")
    question = "?density=1.0500 g/mL&pooled=0.05 %25, 30 degrees of freedom"
    page = ines.get("/plan/lot/0961" + question)
    assert page.status_code == 200, plain(page)[:800]
    new_lot(ines, "0962")
    library = ines.get("/plan/lot/0962" + question)
    titre = re.compile(r"min 1 .+? (\d+\.\d\d) \d+ %")
    assert titre.search(plain(page))[1] == titre.search(plain(library))[1]
    number = begun_from(ines, links(page, "/assays/new")[0])
    assert Assay.objects.get(pk=number).method == "our-soda.toml"


@pytest.mark.parametrize("address", [
    "/plan/lot/0941?characteristic=nothing", "/plan/lot/none", "/plan/solution/none", "/guide/lot/none",
    "/guide/solution/none", "/plan/solution/T-0917?method=none", "/plan/solution/T-0917?method=acetic-acid-by-naoh",
])
def test_what_is_not_there_is_told_and_nothing_else_is_planned_in_its_place(browser, address):
    answer = browser("ines").get(address)
    assert answer.status_code == 404
    assert re.search(r"There is no|has no characteristic|no method", plain(answer))


def test_a_standardisation_is_planned_from_the_solutions_page_and_begun(browser):
    from assaywright.records.models import Assay

    ines = browser("ines")
    (address,) = links(ines.get("/solution/T-0917"), "/plan/solution/T-0917")
    page = ines.get(address)
    assert page.status_code == 200, plain(page)[:600]
    text = plain(page)
    # 40.00 mL of 0.5 mol/L acid take 20.00 mmol of tris (121.14 g/mol, 99.93 %): 2.424 g.
    assert re.search(r"1 2\.42 g, weighed, balance W-4.+? 40\.00 80 %", text)
    assert text.index("Before the first step") < text.index("Options, best first")
    begin = next(one for one in links(page, "/assays/new"))
    number = begun_from(ines, begin)
    begun = Assay.objects.get(pk=number)
    assert (begun.kind, begun.about, begun.content["standard"]["lot"]) == ("standardisation", "T-0917", "RM-TRIS-3")
    (guide, *_) = links(page, "/guide/solution/T-0917")
    assert ines.get(guide)["Content-Type"] == "application/pdf"
    assert "nearest feasible" in plain(ines.get("/plan/solution/T-0917?uncertainty=0.0001"))
    assert ines.get("/plan/solution/T-0917?nominal=").status_code == 422


def test_a_solution_set_against_another_is_planned_and_begun(browser):
    from assaywright.records.models import Assay

    ines = browser("ines")
    page = ines.get("/plan/solution/T-0918")
    number = begun_from(ines, links(page, "/assays/new")[0])
    assert Assay.objects.get(pk=number).content["against"]["lot"] == "T-0917"
