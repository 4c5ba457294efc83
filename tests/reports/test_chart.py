"""The drawn curve: well formed, readable without colour, nothing outside the sheet, and true to the figures."""

import json
import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import numpy as np
import pytest

from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.indicator import rank_indicators
from assaywright.chemistry.system import Portion, System, prepared
from assaywright.reports.chart_curve import LEFT_PX, RIGHT_PX, WIDTH_PX, curve_svg
from assaywright.reports.chart_document import Band, CurvePicture, Mark
from assaywright.reports.chart_scale import Scale, round_step, tick_labels, widened
from assaywright.reports.chart_svg import Drawing, lines_of, number, width_of
from assaywright.reports.curve_picture import curve_picture, typographic
from assaywright.reports.render import drawing_png

SVG = "{http://www.w3.org/2000/svg}"
SYSTEMS = {
    "acetic acid": (System("acid-base", (Portion("acetic acid", 0.1),), 25.0, (Portion("NaOH", 0.1),)),
                    "phenolphthalein"),
    "carbonate": (System("acid-base", (Portion("sodium carbonate", 0.05),), 25.0, (Portion("HCl", 0.1),)),
                  "methyl orange"),
    "chloride": (System("precipitation", (Portion("NaCl", 0.1),), 25.0, (Portion("AgNO3", 0.1),)),
                 "potassium chromate"),
    "magnesium": (System("complexometric", (Portion("Mg2+", 0.01),), 25.0,
                         (Portion("disodium edetate dihydrate", 0.01),), pH=10.0), "eriochrome black T"),
    "iodine": (System("redox", (Portion("iodine", 0.05),), 25.0, (Portion("sodium thiosulfate", 0.1),)), "starch"),
}


@pytest.fixture(scope="module", params=SYSTEMS)
def drawn(request):
    """Return curve, endpoint and drawing of a titration."""
    system, name = SYSTEMS[request.param]
    ready = prepared(system)
    curve = titration_curve(ready.titration)
    ranking = rank_indicators(curve, ready.flask)[-1]
    end = ranking.of(name)
    picture = curve_picture(curve, f"{request.param} & <others>", "a titration", ranking=ranking, ends=(end,),
                            notes=(ranking.verdict,))
    return curve, end, ET.fromstring(curve_svg(picture))  # noqa: S314  our own drawing


def texts(root):
    return [element.text or "" for element in root.iter(f"{SVG}text") if element.get("aria-hidden") is None]


def test_the_drawing_is_820_px_wide_with_a_title_and_a_description_for_those_who_do_not_see_it(drawn):
    _curve, end, root = drawn
    assert float(root.get("width")) == WIDTH_PX == 820
    assert root.get("role") == "img"
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert root.get("aria-labelledby").split() == [title.get("id"), description.get("id")]
    assert "& <others>" in title.text
    for words in (*end.colours, end.indicator.name, f"{end.volume_mL:.2f} mL"):
        assert words in description.text


def test_no_style_sheet_no_script_and_nothing_from_elsewhere_is_in_it(drawn):
    _curve, _end, root = drawn
    for element in root.iter():
        assert element.tag.removeprefix(SVG) in {"svg", "title", "desc", "rect", "line", "path", "text"}
        assert not {"style", "href", "onload"} & set(element.attrib)


def test_every_colour_of_the_flask_has_its_word(drawn):
    _curve, end, root = drawn
    said = texts(root)
    assert end.colours[0] in said
    assert end.colours[2] in said
    assert f"{end.colours[1]} at the endpoint" in said
    assert any(words.startswith("endpoint") and f"{end.volume_mL:.3f} mL" in words for words in said)


def test_every_equivalence_point_has_its_volume_in_figures(drawn):
    curve, _end, root = drawn
    for volume in curve.equivalence_points_mL:
        assert any(words.startswith(f"equivalence point {volume:.2f} mL") for words in texts(root))


def test_nothing_lies_outside_the_sheet(drawn):
    _curve, _end, root = drawn
    width, height = float(root.get("width")), float(root.get("height"))
    for element in root.iter(f"{SVG}text"):
        size, x, y = (float(element.get(key)) for key in ("font-size", "x", "y"))
        long = width_of(element.text or "", size)
        left = x - {"start": 0, "middle": long / 2, "end": long}[element.get("text-anchor")]
        assert left >= 0, element.text
        assert left + long <= width, element.text
        assert 0 < y < height
    for path in root.iter(f"{SVG}path"):
        for x, y in re.findall(r"(-?[\d.]+),(-?[\d.]+)", path.get("d")):
            assert 0 <= float(x) <= width
            assert 0 <= float(y) <= height


def test_labels_on_one_line_do_not_meet(drawn):
    _curve, _end, root = drawn
    lines = {}
    for element in root.iter(f"{SVG}text"):
        size, x = float(element.get("font-size")), float(element.get("x"))
        long = width_of(element.text or "", size)
        left = x - {"start": 0, "middle": long / 2, "end": long}[element.get("text-anchor")]
        lines.setdefault(element.get("y"), []).append((left, left + long, element.text))
    for line in lines.values():
        for one, other in pairwise(sorted(line)):
            assert one[1] <= other[0] + 2, (one, other)


def test_the_bar_covers_the_whole_burette_without_a_gap(drawn):
    _curve, _end, root = drawn
    bars = {}
    for element in root.iter(f"{SVG}rect"):
        if element.get("height") == "24" and element.get("fill") != "none":
            x, width = float(element.get("x")), float(element.get("width"))
            bars.setdefault(element.get("y"), []).append((x, x + width))
    assert len(bars) == 2
    for cells in bars.values():
        cells.sort()
        assert cells[0][0] == pytest.approx(LEFT_PX, abs=0.01)
        assert cells[-1][1] == pytest.approx(RIGHT_PX, abs=0.01)
        assert all(one[1] >= other[0] for one, other in pairwise(cells))


def test_a_drawing_becomes_a_picture_without_a_browser(drawn):
    _curve, _end, root = drawn
    png = drawing_png(ET.tostring(root, encoding="unicode"), WIDTH_PX)
    assert png.startswith(b"\x89PNG\r\n\x1a\n")
    assert int.from_bytes(png[16:20], "big") == 2 * WIDTH_PX


def test_a_curve_can_be_drawn_without_an_indicator():
    ready = prepared(SYSTEMS["acetic acid"][0])
    picture = curve_picture(titration_curve(ready.titration), "acetic acid", "")
    root = ET.fromstring(curve_svg(picture))  # noqa: S314  our own drawing
    assert picture.strips == ()
    assert not any("Colour of the flask" in words for words in texts(root))


def test_a_long_title_and_a_flat_curve_are_drawn_too():
    picture = CurvePicture("titration of " * 20, "on " * 80, "", "pH", "dpH/dV / mL⁻¹", (0.0, 1.0, 2.0), (7.0,) * 3,
                           (0.0,) * 3, (Mark(1.0, 7.0, "equivalence point 1.00 mL"),),
                           bands=(Band(6.9, 7.1, "narrow"),))
    root = ET.fromstring(curve_svg(picture))  # noqa: S314  our own drawing
    assert len([words for words in texts(root) if words.startswith("titration of")]) > 1


# --- scales and words -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("step", "rounded"), [(0.9, 1), (1.0, 1), (1.1, 2), (2.2, 2.5), (3, 5), (7, 10),
                                               (0.013, 0.02)])
def test_a_step_is_rounded_up_to_one_two_two_and_a_half_or_five(step, rounded):
    assert round_step(step) == pytest.approx(rounded)


def test_a_scale_keeps_its_ends_and_its_ticks_are_round():
    scale = Scale(0.0, 37.5, 66.0, 796.0)
    assert (scale.place(0.0), scale.place(37.5), scale.place(99.0)) == (66.0, 796.0, 796.0)
    assert scale.ticks() == pytest.approx(tuple(range(0, 40, 5)))
    assert widened(3.06, 8.84) == (3.0, 9.0)


def test_ticks_have_equal_decimals_and_a_true_minus():
    assert tick_labels((-0.5, 0.0, 0.5)) == ("−0.5", "0.0", "0.5")
    assert tick_labels((24.0, 24.25, 24.5)) == ("24.00", "24.25", "24.50")
    assert tick_labels((-600.0, -400.0)) == ("−600", "−400")


def test_the_widths_assumed_hold_for_the_face_that_pictures_are_set_in():
    """The assumed mean width of a letter is no narrower than what the typesetter measures, within a tenth."""
    import typst

    words = "equivalence point 25.00 mL, pH 8.64"
    page = f'#context [#metadata(measure(text(font: "Libertinus Serif", size: 100pt, "{words}")).width.pt()) <w>]'
    (found,) = json.loads(typst.query({"main.typ": page.encode()}, "<w>", field="value"))
    assert found <= 1.1 * width_of(words, 100.0)


def test_a_line_breaks_between_words_and_not_before_a_unit():
    lines = lines_of("an error of 0.2 % of 25.00 mL", 13.0, width_of("an error of 0.2", 13.0))
    assert "".join(lines).count("\u00a0") == 2
    assert not any(line.startswith(("%", "mL")) for line in lines)


@pytest.mark.parametrize(
    ("name", "set_"),
    [("Ca^2+", "Ca²⁺"), ("Mg2+", "Mg²⁺"), ("Cr2O7 2-", "Cr₂O₇²⁻"), ("NH4+", "NH₄⁺"), ("Cl-", "Cl⁻"),
     ("K2Cr2O7", "K₂Cr₂O₇"), ("sodium carbonate", "sodium carbonate"), ("Na2S2O3·5H2O", "Na₂S₂O₃·5H₂O")],
)
def test_formulas_are_set_with_lowered_digits_and_raised_charges(name, set_):
    assert typographic(name) == set_


def test_words_are_escaped_and_coordinates_short():
    drawing = Drawing(10, 10, title="a < b", description='"&"')
    drawing.text((1.23456, -0.0), "x < y & z")
    text = str(drawing)
    assert "x &lt; y &amp; z" in text
    assert 'x="1.23" y="0"' in text
    assert number(np.float64(-1e-9)) == "0"
