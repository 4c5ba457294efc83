"""Open a PDF and look at what it declares, holds and prints."""

import io
import json
import re
from collections.abc import Iterator

import pikepdf
import pypdf

DECLARATION = re.compile(r"<pdfaid:part>(\d)</pdfaid:part>.*?<pdfaid:conformance>(\w)</pdfaid:conformance>", re.DOTALL)
POINTS_PER_MM = 72 / 25.4


def opened(data):
    return pikepdf.open(io.BytesIO(data))


def metadata(pdf):
    return bytes(pdf.Root.Metadata.read_bytes()).decode("utf-8")


def fonts(pdf) -> Iterator[pikepdf.Object]:
    """Every font of the file, wherever it hangs."""
    for entry in pdf.objects:
        if isinstance(entry, pikepdf.Dictionary) and entry.get("/Type") == "/Font":
            yield entry


def embedded(font):
    """A composite font's program hangs on its descendant."""
    carriers = list(font.get("/DescendantFonts", [font]))
    return all(any(name in carrier.get("/FontDescriptor", {}) for name in ("/FontFile", "/FontFile2", "/FontFile3"))
               for carrier in carriers)


def attached(pdf):
    """The one attachment: its file specification and its bytes."""
    (name,) = pdf.attachments
    return pdf.attachments[name].obj, pdf.attachments[name].get_file().read_bytes()


def attached_data(data):
    with opened(data) as pdf:
        return json.loads(attached(pdf)[1])


def printed_pages(data):
    """The text of each page, with every run of white space as one space."""
    return [" ".join(page.extract_text().split()) for page in pypdf.PdfReader(io.BytesIO(data)).pages]


def printed(data):
    """The text of all pages."""
    return " ".join(printed_pages(data))


def bare(text):
    """A text without any white space: names break over lines wherever there is room."""
    return "".join(text.split())


def heights_mm(data):
    """How high above the lower edge each piece of text stands, over all pages [mm]."""
    found: list[float] = []

    def note(text, page_matrix, text_matrix, _font, _size):
        if text.strip():
            height = text_matrix[4] * page_matrix[1] + text_matrix[5] * page_matrix[3] + page_matrix[5]
            found.append(height / POINTS_PER_MM)

    for page in pypdf.PdfReader(io.BytesIO(data)).pages:
        page.extract_text(visitor_text=note)
    return found
