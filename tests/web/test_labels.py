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
                  "place": "Tarn Hollow, telephone 0100 200", "precautions": "P280\nP305+P351+P338",
                  "name-1": "appearance", "required-1": "clear"}
    wrong = maren.post("/products/new", {**definition, "precautions": "P999"})
    assert "P999" in plain(wrong)
    sent(maren, "/products/new", **definition)
    lot_make(identity="0961", by="ines", quantity="40 L", table={"product": "soda lye 10 % w/w"})
    page = plain(maren.get("/label/lot/0961"))
    for wanted in ("Tarn Hollow Reagents, Tarn Hollow, telephone 0100 200", "Quantity of the lot 40 L", "Danger",
                   "GHS05 corrosion", "H314 Causes severe skin burns and eye damage", "P280, P305+P351+P338",
                   "prints no pictograms"):
        assert wanted in page
    assert "Precautionary statements: P280, P305+P351+P338" in plain(maren.get("/product/soda lye 10 % w/w"))
