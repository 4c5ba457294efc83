"""The drawn burette: well formed, inside its sheet, told in words too, and true to the scale."""

import re
import xml.etree.ElementTree as ET

import pytest

from assaywright.reports.chart_burette import BOTTOM, HEIGHT, LENS, TOP, WASH, WIDTH, burette_chart
from assaywright.reports.chart_svg import width_of
from tests.assay.bench_sheets import KHP, TWO_ENDPOINTS, state

SVG = "{http://www.w3.org/2000/svg}"
PORTION = {"gross": "60.5450", "tare": "60.1562"}
CASES = {
    "plan": (KHP, {**PORTION, "initial": "0.05"}, 0),
    "one before": (KHP, {**PORTION, "initial": "0.05"}, 1),
    "read": (KHP, {**PORTION, "initial": "0.05", "final": "18.71"}, 1),
    "read far off": (KHP, {**PORTION, "initial": "0.05", "final": "12.71"}, 1),
    "two endpoints": (TWO_ENDPOINTS, {"initial": "0.10"}, 1),
    "second of two": (TWO_ENDPOINTS, {"initial": "0.10", "first": "25.12"}, 1),
    "beyond the scale": (TWO_ENDPOINTS, {"initial": "22.10", "first": "47.12"}, 1),
    "off the scale": (TWO_ENDPOINTS, {"initial": "-3", "first": "99"}, 1),
    "nothing known": (TWO_ENDPOINTS, {}, 0),
}


@pytest.fixture(params=CASES)
def drawn(request):
    return parsed(*CASES[request.param])


def parsed(name, typed, earlier, **more):
    return ET.fromstring(burette_chart(state(name, typed, earlier, **more), "one"))  # noqa: S314  what we drew


def said(name, typed, earlier, **more):
    drawing = parsed(name, typed, earlier, **more)
    return " ".join(drawing.find(f"{SVG}desc").text.split())


def test_it_has_a_title_a_description_and_no_style(drawn):
    assert drawn.find(f"{SVG}title").text == "Burette"
    assert drawn.get("aria-labelledby") == "one-title one-desc"
    assert not [one for one in drawn.iter() if "style" in one.attrib or "class" in one.attrib]


def test_everything_lies_inside_the_sheet(drawn):
    assert WIDTH <= 320
    for one in drawn.iter(f"{SVG}rect"):
        left, top = float(one.get("x", 0)), float(one.get("y", 0))
        assert left >= 0
        assert left + float(one.get("width")) <= WIDTH
        assert top >= 0
        assert top + float(one.get("height")) <= HEIGHT
    for one in drawn.iter(f"{SVG}line"):
        assert all(0 <= float(one.get(place)) <= HEIGHT for place in ("x1", "y1", "x2", "y2"))


def test_every_word_has_room(drawn):
    for one in drawn.iter(f"{SVG}text"):
        if one.get("transform"):
            continue
        wide, at = width_of(one.text, float(one.get("font-size"))), float(one.get("x"))
        left = at - {"start": 0.0, "middle": wide / 2, "end": wide}[one.get("text-anchor")]
        assert left >= 0, one.text
        assert left + wide <= WIDTH, one.text


def test_it_tells_in_words_what_it_shows():
    # EURACHEM/CITAC CG 4, example A2: 18.64 mL for this portion, from a start at 0.05 mL.
    told = said(KHP, {**PORTION, "initial": "0.05", "final": "18.71"}, 1)
    assert told.startswith("20 mL burette; divided to 0.05 mL; initial reading 0.05 mL;")
    assert "run freely to 17.6 mL, from there dropwise, endpoint expected at 18.69 mL" in told
    assert told.endswith("read at 18.71 mL.")


def test_how_far_to_run_freely_is_never_rounded_past_itself():
    found = state(KHP, {**PORTION, "initial": "0.09"}, 1).expected["final"]
    figure = float(re.search(r"freely to ([0-9.]+) mL", said(KHP, {**PORTION, "initial": "0.09"}, 1))[1])
    assert figure <= found.free_running_to_mL < figure + 0.1


def test_the_level_stands_at_the_reading():
    drawing = parsed(KHP, {**PORTION, "initial": "5.00"}, 1)
    levels = [float(one.get("y1")) for one in drawing.iter(f"{SVG}line")
              if one.get("stroke-width") == "2" and float(one.get("x2")) < LENS]
    # 5 mL of 20 mL down the scale
    assert levels == [pytest.approx(TOP + (BOTTOM - TOP) * 5 / 20, abs=0.01)]


def test_the_band_in_the_drawing_narrows():
    def share(earlier):
        drawing = parsed(KHP, {**PORTION, "initial": "0.00"}, earlier)
        (band,) = (one for one in drawing.iter(f"{SVG}rect") if one.get("fill") == WASH)
        return float(band.get("height"))

    assert share(1) < share(0)


def test_a_burette_whose_scale_is_not_known_is_not_drawn():
    assert burette_chart(state(KHP, PORTION, 1, changed={"vessels": {}})) == ""
