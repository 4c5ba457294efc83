"""How much to weigh before the first determination, by hand: m = c V M / w, with V = 80 % of the burette.

Molar masses from the standard atomic weights (CIAAW, abridged 2021): NaOH 39.997 g/mol, HCl 36.458 g/mol,
tris(hydroxymethyl)aminomethane C4H11NO3 121.136 g/mol. The share of the burette is common practice, no source.
"""

import re

import pytest

from assaywright.assay.bench.aimed import aimed_words
from assaywright.assay.method import load_method

BURETTE = {"burette": {"kind": "burette", "id": "B-1", "nominal": "50 mL", "class": "A", "standard": "ISO 385"}}
BALANCE = {"balance": {"id": "W-1", "readability": "0.1 mg", "linearity": "0.2 mg, rectangular"}}
TRIS = {
    "kind": "standardisation", "id": "WS-1", "performed": "2026-09-29", "analyst": "Tomas Rehn",
    "titrant": {"name": "hydrochloric acid", "formula": "HCl", "nominal": "0.5 mol/L", "lot": "T-1"},
    "standard": {"name": "tris(hydroxymethyl)aminomethane", "formula": "C4H11NO3", "lot": "RM-1",
                 "content": "99.93 % ± 0.05 %, k = 2", "basis": "dried", "dried": "24 h in a vacuum desiccator",
                 "certificate": {"id": "RM-1", "issued": "2026-02-09", "due": "2028-02-29", "traceable_to": "SI"}},
    "vessels": BURETTE, "balances": BALANCE,
    "air": {"temperature": "20 °C", "pressure": "1013 hPa", "humidity": "50 %"},
}


def grams(text):
    return float(re.search(r"about ([\d.]+) g", text)[1])


def test_a_primary_standard_is_weighed_for_most_of_the_burette():
    told = aimed_words(load_method("hcl-by-tris"), {**TRIS, "method": "hcl-by-tris"}, [])
    assert grams(told) == pytest.approx(0.5 * 0.040 * 121.136 / 0.9993, rel=0.03), told
    assert "40 mL of the 50 mL" in told


def test_half_the_strength_takes_half_the_portion():
    weak = {**TRIS, "method": "hcl-by-tris", "titrant": {**TRIS["titrant"], "nominal": "0.25 mol/L"}}
    assert grams(aimed_words(load_method("hcl-by-tris"), weak, [])) == pytest.approx(1.2124, rel=0.03)


def test_after_a_determination_it_is_as_before():
    before = [{"gross": "22.5000 g", "tare": "20.0000 g"}, {"net": "9.0 g", "excluded": "spilt"}]
    told = aimed_words(load_method("hcl-by-tris"), {**TRIS, "method": "hcl-by-tris"}, before)
    assert told == "about 2.50 g, as in the determinations before"


def test_where_no_burette_is_stated_nothing_is_said():
    assert not aimed_words(load_method("hcl-by-tris"), {**TRIS, "method": "hcl-by-tris", "vessels": {}}, [])
