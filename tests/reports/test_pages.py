"""What stands on the pages."""

import re
import time

import pytest

from assaywright.assay.certificate import certificate_document
from assaywright.assay.working_document import working_document
from assaywright.metrology.refusal import Refusal
from assaywright.reports.render import certificate_pdf, working_pdf
from tests.reports import tarn_hollow
from tests.reports.reading import attached_data, bare, heights_mm, opened, printed, printed_pages

AWKWARD = ('#let x = 1 $x^2$ @ref [b] \\ "q" <l> *b* _i_ `r` // c /* d */ ~ --- #pdf.attach("x", bytes("y")) '
           "\\u{41} ½ µ ₂ − × · ° łódź Ωμέγα Кислота")
LONG = "tris(hydroxymethyl)aminomethane-ethylenediaminetetraacetate/hydrogenphosphate-buffered"
A4_MM, LETTER_MM = 297, 279.4
UNPRINTABLE_MM = 5


def certificate(characteristics=None, **changes):
    return certificate_pdf(certificate_document(tarn_hollow.lot_outcome(characteristics, **changes)))


@pytest.fixture(scope="module")
def page():
    return printed(certificate(hazards=("H290", "H314")))


@pytest.fixture(scope="module")
def working_page():
    return printed(working_pdf(working_document(tarn_hollow.outcome(remarks=[tarn_hollow.hold()]))))


@pytest.mark.parametrize("words", [
    "Tarn Hollow Reagents", "TH-26-0417-1", "Caustic soda solution 20 % w/v", "Lot 0417", "10 October 2026",
    "12 October 2026", "14 October 2026", "31 October 2027", "19.987", "± 0.023", "k = 1.97", "95 %", "ν = 378.8",
    "19.8 to 20.2 % w/v", "simple acceptance", "flat prior", "> 99.99 %", "refers to 20 °C", "edition 1",
    "less than 5", "an upper bound", "an observation", "oscillating tube densitometer D-2",
    "potassium hydrogen phthalate RM-204", "H290", "H314", "safety data sheet", "Maren Tolliver",
    "authorised signatory", "is responsible for this certificate", "signature", "date", "Assaywright",
    tarn_hollow.METHOD_SHA256, "page 1 of", "page 2 of"])
def test_the_certificate_prints(page, words):
    assert words in page


def test_every_figure_has_its_uncertainty_or_the_reason_beside_it(page):
    assert page.count("U with k = ") == 2
    assert page.count("no uncertainty: ") == 2


@pytest.mark.parametrize("words", [
    "WS-26-0412", "(19.987 ± 0.023) % w/v", "Held back", "the titrant was past its last day of use", "restandardise it",
    "40.12", "0.99952", "= (40.12 − 0.00) × 0.99952", "40.1007424", "19.9768427122", "bubble seen below the tap",
    "Range of three", "25.2 %", "combined standard uncertainty", "Simulation with", "Checked by", "Jonas Feld"])
def test_the_working_prints(working_page, words):
    assert words in working_page


def test_every_line_of_the_working_is_on_the_page_with_its_figures_and_its_value(working_page):
    lines = tarn_hollow.outcome().working.lines
    assert len(lines) == 3
    for line in lines:
        assert bare(f"= {line.figures} = {line.value}") in bare(working_page)


def test_what_looks_like_markup_is_printed_as_it_was_typed():
    names = {"customer": AWKWARD, "responsible": AWKWARD, "storage": AWKWARD, "note": AWKWARD, "cautions": (AWKWARD,)}
    pdf = certificate([tarn_hollow.assayed(AWKWARD)], **names)
    assert bare(printed(pdf)).count(bare(AWKWARD)) >= len(names) + 1
    assert attached_data(pdf)["responsible"] == AWKWARD


@pytest.mark.parametrize("character", ["日", "🜁", "\x07", "\ue000"])
def test_a_character_without_a_glyph_is_refused_in_one_sentence_that_names_it(character):
    with pytest.raises(Refusal, match=f"U\\+{ord(character):04X}") as refused:
        certificate(customer=f"Quayside {character}")
    assert "Latin" in str(refused.value)


def test_a_fault_of_the_typesetter_is_not_blamed_on_the_input(monkeypatch):
    from assaywright.reports import render

    monkeypatch.setattr(render, "_template", lambda _name: b"#panic(\"broken\")")
    with pytest.raises(Exception, match="panicked") as fault:
        certificate()
    assert not isinstance(fault.value, Refusal)


def many():
    shared = tarn_hollow.outcome()
    yield from (tarn_hollow.assayed(f"total alkali as NaOH, portion {number}", shared) for number in range(1, 16))
    for _ in range(5):
        yield from tarn_hollow.entered()


def test_a_long_list_breaks_over_pages_and_repeats_its_head():
    pdf = certificate(many())
    with opened(pdf) as file:
        pages = len(file.pages)
    text = printed(pdf)
    assert pages >= 3
    assert text.count("Characteristic Result Expanded") >= 2
    assert all(f"page {number} of {pages}" in text for number in range(1, pages + 1))
    assert all(f"portion {number}" in text for number in range(1, 16))


def test_long_names_stay_inside_the_page():
    pdf = certificate([tarn_hollow.assayed(f"{LONG} {LONG}")], maker=f"{LONG} works", responsible=LONG,
                      identity="04-" * 15, certificate_number="TH-" + "0123456789" * 4)
    text = bare(printed(pdf))
    assert bare(f"{LONG} {LONG}") in text
    with opened(pdf) as file:
        right_edges = [number for page in file.pages for number in right_of(page)]
    assert max(right_edges) < 595.3 - 22 / 25.4 * 72 + 1


def right_of(page):
    """Where the ruled lines of a page end, and nothing that is drawn may go beyond."""
    for found in re.finditer(rb"([\d.]+) [\d.]+ l\b", page.Contents.read_bytes()):
        yield float(found.group(1))


@pytest.mark.parametrize("characteristics", [None, tuple(many())])
def test_a_print_on_letter_loses_nothing_of_the_a4_page(characteristics):
    heights = heights_mm(certificate(characteristics, hazards=("H290", "H314")))
    lost = A4_MM - LETTER_MM
    assert min(heights) > lost + UNPRINTABLE_MM, "the sheets' upper edges laid together"
    assert max(heights) < A4_MM - lost / 2 - UNPRINTABLE_MM, "the page in the middle of the sheet"


def test_a_certificate_is_set_in_under_a_second():
    document = certificate_document(tarn_hollow.lot_outcome(number_of_copies(), hazards=("H290",)))
    certificate_pdf(document)
    begun = time.process_time()
    certificate_pdf(certificate_document(tarn_hollow.lot_outcome(number_of_copies(), note="another one")))
    assert time.process_time() - begun < 1.0


def number_of_copies():
    return (tarn_hollow.assayed(), *tarn_hollow.entered())


def test_a_characteristic_and_its_particulars_stand_on_one_page():
    pages = printed_pages(certificate(many()))
    for page in pages:
        assert page.count("accredited · ") == len(re.findall(r"✓ conforms|reported only", page))
