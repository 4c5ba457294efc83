"""What the files declare and hold. We look at structure; no independent validation of PDF/A is claimed.

The wanted entries are those of ISO 19005-3 (PDF/A-3), ISO 14289-1 (PDF/UA-1) and ISO 32000-1 (all from memory).
"""

from dataclasses import asdict, replace

import pikepdf
import pytest

from assaywright.assay.certificate import certificate_document
from assaywright.assay.working_document import working_document
from assaywright.reports.render import certificate_pdf, renderer, working_pdf
from tests.reports import tarn_hollow
from tests.reports.reading import DECLARATION, attached, attached_data, embedded, fonts, metadata, opened

CERTIFICATE = certificate_document(tarn_hollow.lot_outcome(hazards=("H290", "H314")))
WORKING = working_document(tarn_hollow.outcome(remarks=[tarn_hollow.hold()]))
FILES = {"certificate": certificate_pdf(CERTIFICATE), "working": working_pdf(WORKING)}


@pytest.fixture(params=FILES)
def pdf(request):
    with opened(FILES[request.param]) as file:
        yield file


def test_the_metadata_declare_part_3_at_level_a(pdf):
    found = DECLARATION.search(metadata(pdf))
    assert found
    assert found.groups() == ("3", "A")


def test_the_metadata_declare_a_file_for_every_reader(pdf):
    assert "<pdfuaid:part>1</pdfuaid:part>" in metadata(pdf)


def test_the_colours_have_an_output_intent(pdf):
    (intent,) = pdf.Root.OutputIntents
    assert intent.S == "/GTS_PDFA1"
    assert len(intent.DestOutputProfile.read_bytes()) > 100


def test_every_font_is_embedded(pdf):
    every = list(fonts(pdf))
    assert len(every) >= 2
    assert all(embedded(font) for font in every)


def test_a_font_without_its_program_would_be_noticed():
    assert not embedded(pikepdf.Dictionary(Type=pikepdf.Name.Font, FontDescriptor=pikepdf.Dictionary()))
    assert not embedded(pikepdf.Dictionary(Type=pikepdf.Name.Font, BaseFont=pikepdf.Name.Helvetica))


def test_the_pages_are_tagged_and_say_their_language(pdf):
    assert bool(pdf.Root.MarkInfo.Marked)
    assert "/K" in pdf.Root.StructTreeRoot
    assert str(pdf.Root.Lang) == "en-GB"


def test_the_title_is_shown_and_names_what_it_is(pdf):
    assert bool(pdf.Root.ViewerPreferences.DisplayDocTitle)
    assert any(word in metadata(pdf) for word in ("TH-26-0417-1", "WS-26-0412"))


def test_nothing_in_the_file_runs_or_is_locked(pdf):
    assert not pdf.is_encrypted
    assert not {"/OpenAction", "/AA", "/AcroForm"} & set(pdf.Root.keys())


def test_the_attachment_says_that_it_is_the_data_of_the_page(pdf):
    specification, _ = attached(pdf)
    assert specification.AFRelationship == "/Data"
    assert specification.EF.F.Subtype == "/application/json"
    assert [one.objgen for one in pdf.Root.AF] == [specification.objgen]


@pytest.mark.parametrize(("kind", "document"), [("certificate", CERTIFICATE), ("working", WORKING)])
def test_the_attached_data_are_the_documents_own(kind, document):
    data = attached_data(FILES[kind])
    assert data == listed(asdict(document))
    assert data["format"] == f"assaywright {kind} 1"


def listed(value):
    """JSON knows lists only."""
    if isinstance(value, dict):
        return {name: listed(each) for name, each in value.items()}
    return [listed(each) for each in value] if isinstance(value, list | tuple) else value


def test_the_same_document_gives_the_same_bytes():
    assert certificate_pdf(CERTIFICATE) == FILES["certificate"]
    assert working_pdf(WORKING) == FILES["working"]


def test_another_document_gives_other_bytes():
    assert certificate_pdf(replace(CERTIFICATE, note="Second print.")) != FILES["certificate"]


def test_the_only_date_in_the_file_is_the_date_of_issue():
    with opened(FILES["certificate"]) as file:
        assert str(file.docinfo["/CreationDate"]).startswith("D:20261014000000")
        assert str(file.docinfo["/ModDate"]).startswith("D:20261014000000")


def test_the_typesetter_is_named_with_its_version_for_the_record():
    name, version = renderer().split()
    assert name == "typst"
    assert version[0].isdigit()
