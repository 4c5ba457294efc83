"""From a frozen document to the bytes of a PDF: the only place that knows the typesetter.

The files are PDF/A-3a and tagged for PDF/UA-1 as the typesetter writes them; no independent validation is claimed.
"""

import json
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import asdict
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from typing import Any

from assaywright.assay.bench.paper import PaperSheet
from assaywright.assay.certificate import CertificateDocument
from assaywright.assay.plan.guide import BenchGuide
from assaywright.assay.prepare.sheet import ProductionSheet
from assaywright.assay.working_document import WorkingDocument
from assaywright.metrology.refusal import Refusal
from assaywright.reports.certificate_language import certificate_in, language_of_certificates, words_of
from assaywright.reports.language import ENGLISH
from assaywright.reports.scannable import qr_code

ATTACHMENT = "document.json"
REGIONS = {ENGLISH: "GB"}  # of the ways to write a language; one that is not named here is written one way
SCREEN_PIXELS_PER_INCH = 96.0
POINTS_PER_PX = 72.0 / SCREEN_PIXELS_PER_INCH
_UNPRINTABLE = re.compile(r'`"(.+?)"`', re.DOTALL)
_SAID_OF_THE_UNPRINTABLE = ("could not be displayed", "disallowed codepoint", "contains the codepoint")


def certificate_pdf(document: CertificateDocument, code: str = ENGLISH) -> bytes:
    """Return a certificate as PDF, with its own figures attached as JSON: the same in every language.

    The same document gives the same bytes with the same version of the typesetter; its only date is the date of issue.

    Arguments:
        document: as concluded, in English.
        code: of the language it is printed in: "en" or "de".

    Raises:
        Refusal: the document holds a character that the program's own fonts do not have, there is no such language,
            or something that the document says has no words in it.
    """
    printed, words = document, dict[str, str]()
    if code != ENGLISH:
        language = language_of_certificates(code)
        printed, words = certificate_in(document, language), words_of(language)
    spoken = {"code": code, "region": REGIONS.get(code), "words": words}
    return _typeset("certificate.typ", document_json(document), document.issued, {
        "printed.json": document_json(printed), "language.json": json.dumps(spoken).encode(),
    }, mark=printed.demonstration)


def working_pdf(document: WorkingDocument, mark: str = "") -> bytes:
    """Return the written-out working as PDF, for a second person to check line by line.

    Arguments:
        mark: what is said at the head of every page.

    Raises:
        Refusal: the document holds a character that the program's own fonts do not have.
    """
    return _typeset("working.typ", document_json(document), document.day, mark=mark)


def production_pdf(document: ProductionSheet, mark: str = "") -> bytes:
    """Return the sheet of a preparation, an adjustment or a blend as PDF, to be ticked off and signed by hand.

    Arguments:
        mark: what is said at the head of every page.

    Raises:
        Refusal: the document holds a character that the program's own fonts do not have.
    """
    return _typeset("production.typ", document_json(document), document.day, mark=mark)


def guide_pdf(document: BenchGuide, mark: str = "") -> bytes:
    """Return the sheet of a bench guide as PDF, with blanks to fill in by hand and a bar code of its number.

    Arguments:
        mark: what is said at the head of every page.

    Raises:
        Refusal: the document holds a character that the program's own fonts do not have.
    """
    return _typeset("guide.typ", document_json(document), document.day, mark=mark)


def paper_pdf(document: PaperSheet, mark: str = "") -> bytes:
    """Return a worksheet as a sheet to be filled in by hand, with a bar code and a square code.

    Arguments:
        mark: what is said at the head of every page.

    Raises:
        Refusal: the document holds a character that the program's own fonts do not have.
    """
    return _typeset("paper.typ", document_json(document), document.day, {
        "code.svg": qr_code(document.scanned).encode("utf-8")}, mark=mark)


def drawing_png(svg: str, width_px: float) -> bytes:
    """Return a drawing in SVG as a picture in PNG, twice as fine as a screen shows it.

    Arguments:
        svg: the drawing.
        width_px: its width [px].
    """
    import typst

    page = (f"#set page(width: {POINTS_PER_PX * width_px}pt, height: auto, margin: 0pt)\n"
            '#image("drawing.svg", width: 100%)')
    sources: Any = {"main.typ": page.encode("utf-8"), "drawing.svg": svg.encode("utf-8")}
    produced = typst.compile(sources, font_paths=_fonts(), ignore_system_fonts=True, format="png",
                             ppi=2 * SCREEN_PIXELS_PER_INCH)
    if not isinstance(produced, bytes):
        raise TypeError("the typesetter gave no single picture")
    return produced


def document_json(document: CertificateDocument | WorkingDocument | ProductionSheet | BenchGuide | PaperSheet) -> bytes:
    """Return a document as JSON: what is typeset, and what is attached for programs."""
    return json.dumps(asdict(document), ensure_ascii=False, allow_nan=False, indent=1).encode("utf-8")


def renderer() -> str:
    """Return name and version of the typesetter, for the record of issued bytes."""
    from importlib.metadata import version

    return f"typst {version('typst')}"


def _typeset(template: str, document: bytes, day: str, beside: Mapping[str, bytes] | None = None,
             mark: str = "") -> bytes:
    """Typeset a template with its document, other files that it reads, and a mark at the head of each page."""
    import typst

    # A mapping of file names to their content: the typesetter reads no file of its own. Its types do not say so yet.
    sources: Any = {"main.typ": _template(template), "sheet.typ": _template("sheet.typ"), ATTACHMENT: document,
                    "mark.txt": mark.encode("utf-8"),
                    **(beside or {})}
    stamp = datetime.fromisoformat(day).replace(tzinfo=UTC)
    try:
        produced = typst.compile(sources, font_paths=_fonts(), ignore_system_fonts=True, format="pdf",
                                 pdf_standards=["a-3a", "ua-1"], timestamp=stamp)
    except typst.TypstError as problem:
        refusal = _refusal_of(problem)
        if refusal is None:
            raise
        raise refusal from problem
    if not isinstance(produced, bytes):
        raise TypeError("the typesetter gave no bytes")
    return produced


def _refusal_of(problem: Exception) -> Refusal | None:
    """Return the refusal for text that the fonts do not have; None for any other trouble, which is a fault."""
    told = str(getattr(problem, "message", problem))
    found = _UNPRINTABLE.search(told)
    if not found or not any(phrase in told for phrase in _SAID_OF_THE_UNPRINTABLE):
        return None
    escaped = re.fullmatch(r"\\u\{([0-9a-f]+)\}", found.group(1))
    character = chr(int(escaped.group(1), 16)) if escaped else found.group(1)[0]
    number = f"U+{ord(character):04X}"
    called = unicodedata.name(character, "without a name")
    name = f"'{character}' ({number}, {called})" if character.isprintable() else number
    return Refusal(f"the character {name} is not in the fonts that documents are set in",
                   remedy="write it in Latin, Greek or Cyrillic letters")


@cache
def _template(name: str) -> bytes:
    return (files("assaywright.reports") / "templates" / name).read_bytes()


@cache
def _fonts() -> Any:
    import typst

    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True)
