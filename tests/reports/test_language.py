"""Certificates in German: every word of the program's own is there, and every figure is that of the English one.

The catalogue is read by the standard library's gettext, from bytes that our own script compiles. A decimal comma is one
of the two decimal signs of ISO 80000-1:2009, 7.3.2 (from memory); the date with its month as a word is that of
DIN 5008 (from memory).
"""

import gettext
import io
import re
from collections import Counter
from dataclasses import asdict, fields, replace
from pathlib import Path

import pypdf
import pytest

from assaywright.assay.certificate import CertificateDocument, CertifiedCharacteristic, certificate_document
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method, method_names
from assaywright.assay.result import ChainLink
from assaywright.assay.worksheet import parse_worksheet
from assaywright.cli import main
from assaywright.metrology.refusal import Refusal
from assaywright.reports.certificate_language import (
    certificate_in,
    certificate_phrases,
    chain_in,
    language_of_certificates,
)
from assaywright.reports.certificate_phrases import WORDS
from assaywright.reports.language import DATE, message
from assaywright.reports.render import certificate_pdf
from scripts.compile_catalogues import compiled, messages
from tests.cli.terminal import works_in
from tests.reports import tarn_hollow
from tests.reports.reading import attached, opened, printed

# The certificates are made once, whatever number of workers share the tests.
pytestmark = pytest.mark.xdist_group("the language of certificates")

REPORTS = Path(__file__).resolve().parents[2] / "src" / "assaywright" / "reports"
CATALOGUE = messages((REPORTS / "languages" / "de.po").read_text(encoding="utf-8"))
GERMAN = language_of_certificates("de")
MONTHS = {"January": "Januar", "February": "Februar", "March": "März", "May": "Mai", "June": "Juni", "July": "Juli",
          "October": "Oktober", "December": "Dezember"}
NUMBER = re.compile(r"(?<![\w.,])\d+(?:[.,]\d+)*")


@pytest.fixture(scope="module")
def documents(tmp_path_factory):
    """The certificates of the demonstration: two lots and a titrant that is certified by its own worksheet."""
    from assaywright.cli.verbs import _lot, _lot_outcome

    folder = works_in(tmp_path_factory.mktemp("demonstration"))
    names = ("lots/0941-acetic-acid.toml", "lots/0942-sodium-carbonate.toml", "titrants/sodium-hydroxide.toml")
    return [certificate_document(_lot_outcome(_lot(str(folder / name)))) for name in names]


def of_chain(**changes):
    """An invented certificate whose chain says only what a chain of the program can say."""
    document = certificate_document(tarn_hollow.lot_outcome(hazards=("H290", "H314"), **changes))
    below = ChainLink("balance", "W-2", "mass", "C-2190 of 9 January 2026", "calibration due 8 January 2027")
    link = ChainLink("result", "WS-26-0412", "concentration of soda: 0.5 mol/L ± 0.1 mol/L", "own, edition 1",
                     "performed 12 October 2026", (below,))
    return replace(document, chains=tuple(replace(one, chain=link) for one in document.chains))


# --- the catalogue ----------------------------------------------------------------------------------------------------


def test_every_phrase_of_a_certificate_has_its_german_and_the_catalogue_holds_nothing_else():
    phrases = {message(one) for group in certificate_phrases().values() for one in group}
    months = {"January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
              "November", "December"}
    assert phrases | set(WORDS) | months | {DATE, "."} == set(CATALOGUE) - {""}


def test_german_says_something_else_unless_the_word_is_the_same():
    same = {english for english, german in CATALOGUE.items() if english == german and "{" not in english}
    assert same == {"normal", "April", "August", "September", "November"}


def test_every_place_of_a_phrase_is_in_its_german():
    for english, german in CATALOGUE.items():
        assert Counter(re.findall(r"\{\w+\}", english)) == Counter(re.findall(r"\{\w+\}", german)), english


def test_the_compiled_catalogue_is_that_of_the_text_and_the_standard_library_reads_it():
    data = (REPORTS / "languages" / "de.mo").read_bytes()
    assert data == compiled(CATALOGUE), "run scripts/compile_catalogues.py"
    read = gettext.GNUTranslations(io.BytesIO(data))
    assert {english: read.gettext(english) for english in CATALOGUE if english} == {
        english: german for english, german in CATALOGUE.items() if english}


@pytest.mark.parametrize("text", ['msgid "a"\nmsgstr ""\n', 'msgid "a"\nmsgstr "b"\n\nmsgid "a"\nmsgstr "c"\n', "a\n"])
def test_a_catalogue_with_a_gap_a_message_twice_or_a_strange_line_is_not_compiled(text):
    with pytest.raises(ValueError, match=r"stands twice, or has no translation|no line of a catalogue"):
        messages(text)


def test_the_words_of_the_page_are_those_that_its_templates_say():
    said = set()
    for name in ("certificate.typ", "sheet.typ"):
        said |= set(re.findall(r'\bsay\("([^"]+)"\)', (REPORTS / "templates" / name).read_text(encoding="utf-8")))
    assert said == set(WORDS)


def test_no_template_of_the_certificate_prints_a_word_that_it_does_not_say():
    text = (REPORTS / "templates" / "certificate.typ").read_text(encoding="utf-8")
    text = re.sub(r"^\s*//.*$", "", text, flags=re.MULTILINE)
    text = re.sub(r'"[^"]*"', "", text)
    while re.search(r"\([^()]*\)", text):
        text = re.sub(r"\([^()]*\)", "", text)
    for inner in re.findall(r"\[([^\[\]]*)\]", text):
        assert not re.search(r"[A-Za-z]{3,}", re.sub(r"#[\w.]+", "", inner).replace("SHA", "")), inner


# --- the certificate --------------------------------------------------------------------------------------------------


def figures(text):
    """The numbers of a page, whatever its decimal sign; a date of a record counts as one written with its month."""
    text = re.sub(r"performed (\d{4})-(\d\d)-(\d\d)", lambda day: f"performed {int(day[3])} {day[1]}", text)
    return Counter(one.replace(",", ".").rstrip(".") for one in NUMBER.findall(text))


def test_the_german_certificate_has_the_figures_of_the_english_one(documents):
    for document in documents:
        english, german = (figures(printed(certificate_pdf(document, code))) for code in ("en", "de"))
        assert english == german, (english - german, german - english)
        assert sum(english.values()) > 50


def traced(document):
    """What certificates say that they are traceable to, as typed."""
    links = [one.chain for one in document.chains]
    while links:
        link = links.pop()
        links += link.rests_on
        if link.kind == "traceability":
            yield link.identity


def test_no_phrase_of_the_program_is_left_in_english(documents):
    typed = {"measurand"}  # names of substances are typed too, and stay
    phrases = {part for group, those in certificate_phrases().items() if group not in typed for one in those
               for part in re.split(r"\{\w+\}", message(one))} | set(WORDS)
    own = {one.strip(" ;:,.()") for one in phrases if CATALOGUE.get(one) != one}
    for document in documents:
        text = printed(certificate_pdf(document, "de"))
        left = [one for one in own if len(one) > 3 and re.search(rf"(?<![\w-]){re.escape(one)}(?![\w-])", text)]
        kept = " ".join((*document.cautions, document.storage, document.note, *traced(document),
                         *(one.text for one in document.identification),
                         *(f"{one.source} {one.value} {one.limits} {one.name}" for one in document.characteristics)))
        assert [one for one in left if one not in kept] == []


def test_dates_and_figures_are_written_as_in_german(documents):
    text = printed(certificate_pdf(documents[0], "de"))
    for words in ("Analysenzertifikat", "Hergestellt 2. Oktober 2026", "30,043 ± 0,053",
                  "29,5 bis 30,5 % (Massenanteil)",
                  "Massenanteil in %",
                  "durchgeführt am 5. Oktober 2026 von Ines Okafor", "höchstens 2 mg/kg", "Seite 1 von 3",
                  "H314 Verursacht schwere Verätzungen der Haut und schwere Augenschäden"):
        assert words in text
    assert GERMAN.day("2026-10-12T08:20:00+02:00") == "12. Oktober 2026, 08:20:00+02:00"
    for english, german in MONTHS.items():
        assert GERMAN.day(f"5 {english} 2026") == f"5. {german} 2026"


def test_terms_are_those_of_the_trade():
    """International vocabulary of metrology in its German edition, 2.26, 2.41, 5.13, and DIN 1313 (from memory)."""
    assert "Messunsicherheit" in GERMAN.say("Expanded|uncertainty U")
    assert GERMAN.say("Metrological traceability") == "Metrologische Rückführbarkeit"
    assert GERMAN.say("reference material") == "Referenzmaterial"
    assert "Stoffmengenkonzentration" in GERMAN.say("amount concentration of iodine")


def test_the_file_says_that_it_is_german_and_holds_the_same_data(documents):
    data = {code: certificate_pdf(documents[0], code) for code in ("en", "de")}
    with opened(data["en"]) as english, opened(data["de"]) as german:
        assert (str(english.Root.Lang), str(german.Root.Lang)) == ("en-GB", "de")
        assert attached(english)[1] == attached(german)[1]
        assert "Worte dieses Zertifikats" in str(attached(german)[0].Desc)


def test_every_field_of_a_certificate_is_said_or_stays_on_purpose():
    document = of_chain(note="Shaken before use.")
    printed_in = certificate_in(document, GERMAN)
    stays = {"format", "number", "maker", "product", "lot", "made", "assayed", "issued", "use_before", "storage",
             "cautions", "responsible", "note", "lot_sha256", "software", "accepted", "accreditation_number"}
    for one in fields(CertificateDocument):
        if getattr(document, one.name):
            assert (getattr(document, one.name) == getattr(printed_in, one.name)) == (one.name in stays), one.name
    stays = {"name", "accredited", "numbers"}  # of a source its dates alone are said
    before, after = document.characteristics, printed_in.characteristics
    for one in fields(CertifiedCharacteristic):
        texts = [(getattr(old, one.name), getattr(new, one.name)) for old, new in zip(before, after, strict=True)]
        assert all(bool(old) == bool(new) for old, new in texts), one.name
        assert (one.name in stays) == all(old == new for old, new in texts if old) or one.name in (
            "factor", "temperature", "risks", "method"), one.name


def test_what_was_accepted_says_by_whom_and_when():
    from assaywright.assay.accepted import AcceptedIrregularity

    one = AcceptedIrregularity("too-few-replicates", "WS-26-0412", "two determinations count", "sample used up",
                               "Maren Tolliver", "authorised signatory", "2026-10-13")
    text = printed(certificate_pdf(replace(of_chain(), accepted=(one,), accreditation_number="D-1"), "de"))
    assert "Anerkannt am 13. Oktober 2026 von Maren Tolliver, zeichnungsberechtigte Person: sample used up" in text
    assert "Nummer der Akkreditierung: D-1" in text


@pytest.mark.parametrize("name", method_names())
def test_the_chain_of_every_method_has_its_german(name):
    for example in load_method(name).examples:
        outcome = evaluate_worksheet(parse_worksheet(example.worksheet.encode(), "example.toml"), _no_file)
        assert chain_in(outcome.chain, GERMAN).kind == "Ergebnis"
        assert GERMAN.say(outcome.method_title) != outcome.method_title


def _no_file(path):
    raise FileNotFoundError(path)


@pytest.mark.parametrize(("group", "english", "german"), [
    ("coverage", "k = 2 as agreed, ν = 12.5, by Student’s t 93.2 % coverage",
     "k = 2 wie vereinbart, ν = 12,5, nach Students t 93,2 % Überdeckungswahrscheinlichkeit"),
    ("rule", "rounding method, to 0.1, half even, no uncertainty taken into account",
     ("Rundungsverfahren, auf 0,1, halbe Schritte zum geraden Vielfachen, ohne Berücksichtigung einer "
     "Messunsicherheit")),
    ("rule", "guard band w = 0.5 U", "Sicherheitsband w = 0,5 U"),
    ("probability", "97.13 %, normal prior 20.01 with standard uncertainty 0.05",
     "97,13 %, A-priori-Normalverteilung um 20,01 mit der Standardunsicherheit 0,05"),
    ("statement", "Found (−0.5 ± 0.1) mg/L; specified not more than 1.5 mg/L: conforms.",
     "Gefunden (−0,5 ± 0,1) mg/L; spezifiziert höchstens 1,5 mg/L: konform."),
    ("end", "burette B-1.5, 50 mL (ISO 385:2005 class A, no certificate)",
     "Bürette B-1.5, 50 mL (ISO 385:2005 Klasse A, kein Zertifikat)"),
    ("note", ("This certificate takes the place of C-1-1. What changed, in the words of A. B., who signs: “the 2.5 L "
     "bottle”. Head of the records when this was issued: 12:ab."), ("Dieses Zertifikat tritt an die Stelle von C-1-1. "
     "Was sich geändert hat, in den Worten der unterzeichnenden Person (A. B.): „the 2.5 L bottle“. Stand der "
     "Aufzeichnungen bei Ausstellung: 12:ab.")),
])
def test_phrases_keep_what_was_typed_and_write_figures_with_a_comma(group, english, german):
    assert GERMAN.phrase(english, group) == german


def test_a_sentence_without_german_is_refused_rather_than_printed_in_a_mixture():
    document = replace(of_chain(), conformity="Nobody knows.")
    with pytest.raises(Refusal, match=r"there is no German for ‘Nobody knows\.’"):
        certificate_pdf(document, "de")


def test_the_command_prints_german_and_refuses_a_language_that_it_does_not_have(tmp_path, capsys):
    lot = works_in(tmp_path / "laboratory") / "lots" / "0941-acetic-acid.toml"
    written = tmp_path / "german.pdf"
    assert main(["certify", str(lot), "--language", "de", "-o", str(written)]) == 0
    assert "Analysenzertifikat" in printed(written.read_bytes())
    capsys.readouterr()
    assert main(["certify", str(lot), "--language", "tlh", "-o", str(tmp_path / "other.pdf")]) == 2
    assert "--language: documents are not printed in the language 'tlh'; choose one of en, de." in " ".join(
        capsys.readouterr().err.split())
    assert not (tmp_path / "other.pdf").exists()


def test_the_document_itself_is_not_changed(documents):
    before = asdict(documents[0])
    certificate_pdf(documents[0], "de")
    assert asdict(documents[0]) == before


def test_what_is_read_as_one_thing_is_on_one_line_and_no_date_is_left_as_year_month_day(documents):
    """Read back from the page: a unit, a date, an edition is not broken, nor is a short word of a name."""
    months = "|".join({*MONTHS, *MONTHS.values()})
    for document in documents:
        for code in ("en", "de"):
            reader = pypdf.PdfReader(io.BytesIO(certificate_pdf(document, code)))
            lines = [line.strip() for page in reader.pages for line in page.extract_text().splitlines()]
            for line in lines:
                assert not line.endswith(("mg/", "mol/", "g/", "edition", "Ausgabe", "so-", "hy-")), line
                assert not re.search(rf"\d\.? (?:{months})$", line), line
            if code == "de":
                assert not re.search(r"\d{4}-\d{2}-\d{2}", " ".join(lines))


def test_a_certificate_of_the_demonstration_says_so_on_every_page_and_no_other_does(documents):
    for code, words in (("en", "Demonstration: certifies nothing"), ("de", "Vorführung: bescheinigt nichts")):
        marked = certificate_pdf(replace(documents[0], demonstration="Demonstration: certifies nothing"), code)
        pages = [page.extract_text() for page in pypdf.PdfReader(io.BytesIO(marked)).pages]
        assert len(pages) > 1
        assert all(words in page for page in pages), code
        assert words not in printed(certificate_pdf(documents[0], code))


def test_what_is_covered_but_not_asked_for_is_not_said_to_be_beyond_the_accreditation(documents):
    text = printed(certificate_pdf(documents[0]))
    assert "No result on this certificate is reported as accredited." in text
    assert "◇ not reported as accredited" in text
    assert "covered" not in text


@pytest.mark.parametrize(("code", "words"), [
    ("en", "in the judgement of Maren Tolliver, authorised signatory."),
    ("de", "nach dem Urteil von Maren Tolliver, zeichnungsberechtigte Person.")])
def test_what_was_found_in_words_names_who_judged_it_and_as_what(documents, code, words):
    assert any("which meets" in one.statement for one in documents[1].characteristics)
    assert words in printed(certificate_pdf(documents[1], code))


def test_no_line_of_the_german_chain_says_its_kind_twice(documents):
    for document in documents:
        links = [certificate_in(document, GERMAN).chains[0].chain]
        while links:
            link = links.pop()
            links += link.rests_on
            assert link.kind.casefold() not in link.identity.casefold(), link.identity
