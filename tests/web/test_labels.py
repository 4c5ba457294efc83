"""What a label carries beside content and dates: published statements, codes of precautions, the works and its place.

The elements of a label: UN GHS, 1.4.10.5.2 (from memory).
"""

import pytest

from tests.web.test_line import plain, sent

pytestmark = pytest.mark.usefixtures("laboratory")


def test_a_label_carries_published_statements_precautions_names_of_pictograms_and_the_place_of_the_works(browser):
    from assaywright.actions.lots import lot_make

    maren = browser("maren")
    definition = {"do": "", "name": "soda lye 10 % w/w", "maker": "Tarn Hollow Reagents",
                  "hazards": "H290\nH314", "storage": "cool",
                  "place": "Tarn Hollow, telephone 0100 200",
                  "precautions": "P280\nP305+P351+P338\nP501\np264: hands\nP301+P330+P331",
                  "name-1": "appearance", "required-1": "clear"}
    wrong = maren.post("/products/new", {**definition, "precautions": "P999"})
    assert "P999" in plain(wrong)
    sent(maren, "/products/new", **definition)
    lot_make(identity="0961", by="ines", quantity="40 L", table={"product": "soda lye 10 % w/w"})
    page = plain(maren.get("/label/lot/0961"))
    for wanted in ("Tarn Hollow Reagents, Tarn Hollow, telephone 0100 200", "Quantity of the lot 40 L", "Danger",
                   "H314 Causes severe skin burns and eye damage",
                   ("P305+P351+P338 IF IN EYES: Rinse cautiously with water for several minutes. Remove contact "
                    "lenses, if present and easy to do. Continue rinsing."),
                   "P264 Wash hands thoroughly after handling.",
                   "P301+P330+P331 IF SWALLOWED: Rinse mouth. Do NOT induce vomiting.",
                   "P501 Dispose of contents/container to …"):
        assert wanted in page
    answer = maren.get("/label/lot/0961").content.decode()
    assert 'src="/static/web/ghs/GHS05.svg" alt="GHS05 corrosion"' in answer
    assert page.index("Danger") < page.index("H290") < page.index("P280") < page.index("Store cool")
    product = plain(maren.get("/product/soda lye 10 % w/w"))
    assert "P501 Dispose of contents/container to … to do the published wording leaves … open" in product
    assert "P280 Wear protective gloves/protective clothing/eye protection/face protection. P305" in product


def test_the_labels_of_the_demonstration_are_usable(browser):
    """Sodium hydroxide 0.5 mol/L is 1.96 % w/w: Annex VI, 011-002-00-6, irritates from 0.5 %, burns from 2 %."""
    none, client = "Stated: no hazard statement applies.", browser("ines")
    for path, wanted in {
        "lot/0941": ("Contains acetic acid", "Danger", "H314", "P310 Immediately", "P405 Store locked up."),
        "lot/0942": (none,), "lot/0944": (none,),
        "lot/0943": ("Contains hydrochloric acid", "Warning", "H290", "H335", "P390 Absorb"),
        "solution/T-0918": ("Warning", "H315", "H319"),
    }.items():
        answer = client.get(f"/label/{path}")
        page = plain(answer)
        assert "not for use as a label" not in page, path
        for one in (*wanted, "Millrace Yard"):
            assert one in page, (path, one)
        assert ("H314" in page) == (path == "lot/0941")
        assert ("GHS07" in answer.content.decode()) == (path in {"lot/0943", "solution/T-0918"}), path


def test_h400_is_left_off_beside_h410():
    """Regulation (EC) 1272/2008, Annex IV (from memory)."""
    from assaywright.records.selectors.labels import _label

    label = _label({"hazards": ["H315", "H319", "H400", "H410"]}, "x", "1", (), "", ())
    assert [one.code for one in label.hazards] == ["H315", "H319", "H410"]


def test_an_unknown_precaution_stands_as_its_code_alone_and_is_told():
    from assaywright.records.selectors.labels import precautions_of

    (one,) = precautions_of({"precautions": ["P999"]})
    assert (one.code, one.words) == ("P999", "")
    assert "code alone" in one.remark
