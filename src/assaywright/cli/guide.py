"""The verb ``guide``: from one option of a plan to what is done at the bench, on screen or as a sheet to fill in."""

import argparse
import sys
from collections.abc import Iterator
from dataclasses import asdict

from assaywright.assay.plan.guide import BenchGuide, Interval, bench_guide
from assaywright.assay.plan.words import decimals, per_cent
from assaywright.cli.files import read_file, write_output
from assaywright.cli.opening import terminal_width
from assaywright.cli.plan import planned
from assaywright.cli.tables import heading, paragraph
from assaywright.cli.typed_option import of_option
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity, shown

ENDINGS = (".pdf", ".txt")
PAPER_WIDTH = 92
LABEL = 24


def run(parsed: argparse.Namespace) -> int:
    """Print the guide as text or JSON, or write its sheet."""
    if parsed.output is not None and not parsed.output.casefold().endswith(ENDINGS):
        raise Refusal("a guide is written as PDF or as text", where=parsed.output, remedy="let it end in .pdf or .txt")
    guide = _guide(parsed)
    if parsed.output is not None:
        write_output(parsed.output, _sheet(guide, parsed.output), replace=parsed.replace)
    if parsed.json:
        from assaywright.cli.show_json import json_text

        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text({"kind": "bench guide", **asdict(guide)}, plain=plain))
    elif parsed.output is not None:
        print(f"{parsed.output} written: worksheet {guide.number}")
    else:
        for line in guide_lines(guide, terminal_width()):
            print(line)
    return 0


def _guide(parsed: argparse.Namespace) -> BenchGuide:
    found = planned(parsed)
    options = found.plan.options
    if not (parsed.option.isascii() and parsed.option.isdigit() and 1 <= int(parsed.option) <= len(options)):
        raise Refusal(f"'{shown(parsed.option)}' is no option of the plan", where="--option",
                      remedy=f"name one from 1 to {len(options)}; assaywright plan lists them")
    if parsed.identity is not None and not parsed.identity.strip():
        raise Refusal("the worksheet's number is empty", where="--id",
                      remedy="write it, like WS-26-0412, or leave --id out")
    return bench_guide(found.plan, options[int(parsed.option) - 1], found.day, read_file,
                       earlier=_earlier(parsed.earlier), identity=parsed.identity or "")


def _earlier(typed: list[list[str]]) -> tuple[Quantity, ...]:
    """Return the titres; a figure and its unit may stand apart, as in --earlier 24.50 mL 24.53 mL."""
    words = " ".join(word for group in typed for word in group).replace("mL", "mL\n")
    found = []
    for text in (one.strip() for one in words.splitlines()):
        if text:
            try:
                found.append(read_quantity(text, "mL"))
            except Refusal as refusal:
                raise of_option(refusal, "--earlier") from None
    return tuple(found)


def _sheet(guide: BenchGuide, path: str) -> bytes:
    if path.casefold().endswith(".pdf"):
        from assaywright.reports.render import guide_pdf

        return guide_pdf(guide)
    return ("\n".join([*guide_lines(guide, PAPER_WIDTH), *_blanks(guide)]) + "\n").encode("utf-8")


def guide_lines(guide: BenchGuide, width: int) -> Iterator[str]:
    """Yield the lines of a guide: cautions, sample, portion, burette, flask, titration.

    Arguments:
        guide: as worked out.
        width: of the terminal.
    """
    yield from paragraph(f"Worksheet {guide.number}: {guide.title}", width, first="")
    yield from heading("cautions, before the first step")
    for sentence in (*guide.cautions, guide.deferral):
        yield from paragraph(sentence, width)
    sections = (("the sample, by the method", guide.sample), ("take", guide.take), ("the burette", guide.burette),
                ("in the flask, by the method", guide.flask), ("titrate", guide.titrate))
    for title, sentences in (one for one in sections if one[1]):
        yield from heading(title)
        for number, sentence in enumerate(sentences, start=1):
            yield from paragraph(sentence, width, first=f"  {number}. ")
    yield from heading("where the endpoint is expected")
    for label, text in _expected(guide):
        yield from paragraph(text, width, first=f"  {label:<{LABEL}}")


def _expected(guide: BenchGuide) -> Iterator[tuple[str, str]]:
    yield "Nominal", f"{decimals(guide.titre_mL, 2)} mL of {guide.titrant}"
    yield "By the product", _interval(guide.specified)
    if guide.earlier is not None:
        yield "By earlier titres", _interval(guide.earlier)
    free = f"{decimals(guide.free_to_mL, 1)} mL" if guide.free_to_mL > 0 else "nothing: dropwise from the start"
    yield "Free to, then dropwise", free
    if guide.blank_free_to_mL is not None:
        yield "A blank: free to", f"{decimals(guide.blank_free_to_mL, 1)} mL"
    yield "A drop", f"about {decimals(guide.drop_mL, 2)} mL, {per_cent(guide.drop_share)} of the titre"
    yield "Indicator", guide.indicator
    yield "Stop at", guide.stop_at
    yield "Temperature", guide.temperature
    yield "Determinations", f"{guide.determinations}; {guide.uncertainty}"


def _interval(one: Interval) -> str:
    return f"{decimals(one.low_mL, 2)} to {decimals(one.high_mL, 2)} mL ({one.basis})"


def _blanks(guide: BenchGuide) -> Iterator[str]:
    """Yield the lines to fill in by hand, for a sheet of plain text."""
    yield from heading("to fill in by hand")
    for table in guide.tables:
        yield ""
        yield f"  {table.title}"
        for line in table.lines:
            yield ""
            yield f"  {line}  " + "  ".join(f"{name} ________" for name in table.columns[:4])
            if table.columns[4:]:
                yield "     " + "  ".join(f"{name} ________" for name in table.columns[4:])
    yield ""
    yield "  Sample, lot ________________  Titrant, lot ________________  Analyst, date ________________"
