"""What is typed into forms: whole or refused with all kept, figures with either decimal mark, units of any size."""

import re
import uuid
from html import unescape

import pytest

from tests.web.site import forms_of

pytestmark = pytest.mark.usefixtures("laboratory")


def plain(answer):
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def sent(client, path, **fields):
    from tests.web.test_line import version

    if path.startswith("/lot/"):
        fields = {"version": version("Lot", path.removeprefix("/lot/")), **fields}
    return client.post(path, {"act": str(uuid.uuid4()), **fields})


def made(client, path, **fields):
    """Send a form that is taken."""
    answer = sent(client, path, **fields)
    assert answer.status_code == 302, plain(answer)[:800]


@pytest.fixture
def comma(django_ready):
    """The laboratory's decimal mark is the comma."""
    from django.test import override_settings

    with override_settings(DECIMAL_MARK=","):
        yield


# --- whole, or not at all ---------------------------------------------------------------------------------------------

LONG = "a word and another, " * 210


@pytest.mark.parametrize(("path", "who", "fields", "field"), [
    ("/lot/0941", "ines", {"do": "hold"}, "hold_reason"),
    ("/lots/new", "ines", {"product": "calcium carbonate", "made": "2026-11-27"}, "number"),
    ("/solution/T-0917", "ines", {"do": "discard"}, "reason"),
    ("/assay/WS-26-0903", "ines", {"do": "record", "initial": "0.00", "final": "20.00"}, "note"),
    ("/products/new", "maren", {"name-1": "chloride", "upper-1": "2 mg/kg", "name": "brine"}, "cautions"),
    ("/equipment/new", "ines", {"kind": "pipette", "id": "P-99"}, "corrections"),
    ("/equipment/instrument/B-11", "ines", {"do": "withdraw"}, "reason"),
    ("/equipment/materials/new", "ines", {"number": "RM-9"}, "dried"),
])
def test_a_text_that_is_too_long_is_refused_and_all_of_it_stays_in_the_form(browser, path, who, fields, field):
    from assaywright.records.models import Event

    before = Event.objects.count()
    answer = sent(browser(who), path, **fields, **{field: LONG + "end"})
    assert answer.status_code == 422
    assert "4203 characters, and 4000 fit into the field" in plain(answer)
    assert (LONG + "end") in unescape(answer.content.decode())
    assert Event.objects.count() == before


def test_what_just_fits_is_taken_to_the_last_letter(browser):
    from assaywright.records.models import Investigation

    reason = "a smell " + "x" * 3991 + "!"
    made(browser("ines"), "/lot/0941", do="hold", hold_reason=reason)
    assert Investigation.objects.get(lot="0941").content["reason"] == reason


# --- the decimal mark -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "read"), [
    ("24,50 mL ± 0,02 mL, k = 2", "24.50 mL ± 0.02 mL, k = 2"), ("1,002", "1.002"), ("1.002", "1.002"),
    ("0,05 %, 30 degrees of freedom", "0.05 %, 30 degrees of freedom"), ("1.234,5", "1.234,5"),
    ("1,234,567", "1,234,567"), ("10 mL; +0,008 mL\n20 mL; -0,012 mL", "10 mL; +0.008 mL\n20 mL; -0.012 mL"),
    ("0,00 to 3,12; 0,00 to 1,50", "0.00 to 3.12; 0.00 to 1.50"),
])
def test_a_comma_between_digits_is_the_decimal_mark_and_groups_nothing(text, read):
    from assaywright.web.figures import with_points

    assert with_points({"final": text, "note": text}, ",") == {"final": read, "note": text}
    assert with_points({"final": text}, ".") == {"final": text}
    assert with_points({"found": text, "way": "words"}, ",")["found"] == text


def test_the_setting_is_point_or_comma_and_nothing_else():
    from assaywright.metrology.refusal import Refusal
    from assaywright.web.figures import decimal_mark

    assert [decimal_mark(one) for one in ("", "point", "comma", " Comma ", ",", ".")] == [".", ".", ",", ",", ",", "."]
    with pytest.raises(Refusal, match="no decimal mark"):
        decimal_mark("semicolon")


# Every field for a figure is told apart from those for words: a form that gains a field has to say which it is.
WORDS = {
    "act", "version", "do", "kind", "about", "method", "handling", "number", "performed", "title", "taken", "note",
    "titrant", "titrant_in_force", "reagent", "reagent_in_force", "against", "against_in_force", "standard", "dried",
    "balance", "thermometer", "where", "retained_until", "characteristic", "way", "satisfied", "source",
    "entry_reason", "hold_reason", "reject_reason", "amend_reason", "unit",
    "bottle", "opened", "password", "product", "made", "use_before",
    "maker", "customer", "name", "formula", "prepared", "reason", "id", "class", "material", "use", "adjusted",
    "certificate.id", "certificate.issued", "certificate.due", "certificate.traceable_to", "basis", "weighed_as",
    "lot", "state", "storage", "hazards", "cautions", "required", "rule", "measurand", "accredited", "place", "next",
    "language", "words", "calibrate_reason", "correction", "precautions",
    # of production
    "addition", "addition_lot", "filled_for", "function", "instrument", "mixing", "tank", "responsible", "others",
    "substance", "reaction", "counting", "expressed", "given_as", "titrates", "vessel", "source_lot", "hydrate",
    "second", "second_instrument",
    # a file that is sent along
    "certificate_file", "against_heading",
}
PAGES = {
    "ines": ("/lot/0941", "/lots/new", "/solutions/new", "/solution/T-0917", "/assay/WS-26-0903", "/plan/lot/0942",
             "/assays/new?about=0941&method=acetic-acid-by-naoh",
             "/assays/new?about=0941&method=acetic-acid-by-naoh&handling=diluted",
             "/assays/new?about=T-0917&method=hcl-by-tris",
             "/equipment/new?kind=burette", "/equipment/new?kind=balance", "/equipment/new?kind=thermometer",
             "/equipment/instrument/B-11", "/equipment/materials/new"),
    "maren": ("/products/new", "/lot/0941", "/adjust/lot/0941", "/convert", "/prepare",
              "/blend/acetic%20acid%2030%20%25%20w/w"),
}


def test_every_field_of_every_form_is_either_for_a_figure_or_for_words(browser):
    from assaywright.web.figures import FIGURES, OF_EACH_LOT

    unknown = set()
    for who, paths in PAGES.items():
        for path in paths:
            answer = browser(who).get(path)
            body = re.sub(r"<header.*?</header>", "", answer.content.decode(), flags=re.DOTALL)
            for name in re.findall(r'<(?:input|textarea)[^>]* name="([^"]+)"(?![^>]*type="(?:hidden|checkbox|radio))',
                                   body):
                plainly = re.sub(r"-\d+$", "", name)
                if plainly not in {*FIGURES, *WORDS} and not name.startswith(
                        ("vessel ", "check ", "csrf", *OF_EACH_LOT)):
                    unknown.add((path, name))
    assert not unknown


@pytest.mark.usefixtures("comma")
def test_a_comma_is_read_in_products_equipment_solutions_lots_and_worksheets(browser):
    from assaywright.records.models import Assay, Determination, Instrument, Lot, Material, Product, Solution

    ines, maren = browser("ines"), browser("maren")
    made(maren, "/products/new", **{
        "name": "potash lye 1,5", "name-1": "hydroxide", "lower-1": "1,002 mol/L", "upper-1": "1,520 mol/L",
        "rule-1": "rounding method", "rounding_step-1": "0,001 mol/L", "storage": "5,5 °C"})
    stated = Product.objects.get(pk="potash lye 1,5").content
    assert stated["storage"] == "5,5 °C", "words stay as they are"
    assert [stated["characteristics"][0][key] for key in ("lower", "upper", "rounding_step")] == [
        "1.002 mol/L", "1.520 mol/L", "0.001 mol/L"]
    made(ines, "/equipment/new", kind="pipette", id="P-98", nominal="20,0 mL", tolerance="0,03 mL, triangular",
         corrections="20 mL; -0,012 mL", calibration_uncertainty="0,010 mL, k = 2", scale_correlation="0,5")
    pipette = Instrument.objects.get(pk="P-98").content
    assert (pipette["nominal"], pipette["tolerance"]) == ("20.0 mL", "0.03 mL, triangular")
    assert pipette["corrections"] == [["20 mL", "-0.012 mL"]]
    made(ines, "/equipment/new", kind="balance", id="W-98", readability="0,1 mg", linearity="0,2 mg, rectangular",
         minimum_weight="0,2 g")
    assert Instrument.objects.get(pk="W-98").content["linearity"] == "0.2 mg, rectangular"
    made(ines, "/equipment/materials/new", **{
        "number": "RM-98", "name": "potassium hydrogen phthalate", "formula": "C8H5KO4", "density": "1,636 g/mL",
        "content": "99,97 % ± 0,04 %, k = 2", "certificate.id": "RM-98"})
    assert Material.objects.get(pk="RM-98").content["content"] == "99.97 % ± 0.04 %, k = 2"
    made(ines, "/solutions/new", number="T-98", name="hydrochloric acid 0,5 mol/L", formula="HCl", nominal="0,5",
         volume="2,5", use_before="2027-02")
    assert Solution.objects.get(pk="T-98").content["nominal"] == "0.5 mol/L"
    assert Solution.objects.get(pk="T-98").name == "hydrochloric acid 0,5 mol/L"
    made(ines, "/solution/T-0917", do="verify", found="0,5020", in_force="0,50189", limit="0,2")
    made(ines, "/lots/new", number="0998", product="acetic acid 30 % w/w", made="2026-11-27", quantity="2,5 L",
         use_before="2028-11", storage="cool", maker="Tarn Hollow Reagents")
    assert "2.5 L" in str(Lot.objects.get(pk="0998").content)
    made(ines, "/lot/0998", do="enter", characteristic="density at 20 °C", way="value",
         found="1,0385 g/mL ± 0,0005 g/mL, k = 2", source="densitometer D-2, 1,5 h")
    form = forms_of(ines.get("/assays/new?about=0998&method=acetic-acid-by-naoh"), "/assays/new")[-1].fields
    begun = {**form, "titrant": "T-0918", "vessel burette": "B-11", "balance": "W-4", "density": "1,0385 g/mL",
             "pooled": "0,05 %, 30 degrees of freedom", "air_temperature": "21,5", "air_pressure": "1001,5"}
    made(ines, "/assays/new", **begun)
    made(ines, f"/assay/{begun['number']}", do="record", gross="57,1234", tare="55,1234", initial="0,02",
         final="20,05", temperature="21,5", note="0,5 min")
    assert Assay.objects.get(pk=begun["number"]).content["air"]["temperature"] == "21.5 °C"
    read = str(Determination.objects.get(assay=begun["number"]).content)
    assert all(one in read for one in ("57.1234 g", "0.02 mL", "20.05 mL", "0,5 min"))
    planned = ines.get("/plan/lot/0998?nominal=30,0 %25 w/w&density=1,0385 g/mL&uncertainty=0,5")
    assert 'value="30.0 % w/w"' in planned.content.decode()


def test_a_number_that_may_mean_two_is_asked_about_in_the_words_of_the_page(browser):
    for client, path, fields in (
        (browser("maren"), "/products/new", {"name": "brine", "name-1": "chloride", "upper-1": "1,002 mg/kg"}),
        (browser("ines"), "/equipment/new", {"kind": "pipette", "id": "P-97", "nominal": "1,002 mL"}),
        (browser("ines"), "/assay/WS-26-0903", {"do": "record", "gross": "57,123", "tare": "55.1", "initial": "0.0",
                                                "final": "20.0"}),
        (browser("ines"), "/solution/T-0917", {"do": "verify", "found": "1,002", "in_force": "1", "limit": "1"}),
    ):
        answer = sent(client, path, **fields)
        said = re.search(r'role="alert">(.*?)</p>', answer.content.decode(), re.DOTALL)[1]
        said = unescape(said)
        assert answer.status_code == 422, path
        assert "may mean" in said, said
        assert "decimal point" in said
        assert not re.search(r"decimal.mark|\bfile\b|toml|\[|\]|_", said), said


# --- units ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("field", "text", "said"), [
    ("minimum_weight", "0.2", "unit"), ("minimum_weight", "0.2 mL", "mass"), ("readability", "0.1", "unit"),
    ("linearity", "0.2 mL, rectangular", "mass"), ("repeatability", "0.1 °C", "mass"),
])
def test_a_unit_of_another_kind_and_none_at_all_are_refused(browser, field, text, said):
    answer = sent(browser("ines"), "/equipment/new", kind="balance", id="W-97", **{field: text})
    assert answer.status_code == 422, field
    assert said in plain(answer)


def test_a_unit_of_another_size_is_converted_and_never_taken_as_the_number():
    from assaywright.records.instruments import read_instrument, read_material

    balance = read_instrument("balance", {"id": "W-1", "readability": "0.0001 g", "minimum_weight": "0.0002 kg"})
    assert float(balance.minimum_weight.to("g")) == pytest.approx(0.2)
    vessel = read_instrument("pipette", {"kind": "pipette", "id": "P-1", "nominal": "0.02 L", "tolerance":
                                         "0.00003 L, triangular"})
    assert float(vessel.nominal.to("mL")) == pytest.approx(20)
    material = read_material({"name": "x", "formula": "NaCl", "lot": "1", "content": "999.3 g/kg ± 0.5 g/kg, k = 2",
                              "certificate": {"id": "C"}, "minimum_sample": "0.0001 kg"})
    assert float(material.minimum_sample.to("g")) == pytest.approx(0.1)
