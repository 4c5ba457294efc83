"""A sheet of production on the terminal: the same words as on paper, cautions first."""

from collections.abc import Iterator

from assaywright.assay.prepare.sheet import NewAssay, ProductionSheet, SheetTable
from assaywright.cli.tables import Column, drawn, heading, paragraph
from assaywright.metrology.working import Line

LABEL = 20


def sheet_lines(sheet: ProductionSheet, width: int) -> Iterator[str]:
    """Yield the lines of a sheet.

    Arguments:
        sheet: to be shown.
        width: of the terminal.
    """
    yield from paragraph(f"{sheet.kind} {sheet.number}: {sheet.title}", width, first="")
    yield from heading("cautions, before the first step")
    for sentence in (*sheet.first, *sheet.hazards, f"Wear: {sheet.protection}.", sheet.deferral):
        yield from paragraph(sentence, width)
    yield ""
    for one in sheet.identification:
        yield from paragraph(one.text, width, first=f"  {one.label:<{LABEL}}")
    yield from heading("what to do, and what comes of it")
    for one in sheet.answers:
        yield from paragraph(one.text, width, first=f"  {one.label:<{LABEL}}")
    for table in (one for one in sheet.tables if not one.by_hand):
        yield from _table(table, width)
    yield from heading("steps")
    for number, step in enumerate(sheet.steps, start=1):
        yield from paragraph(step, width, first=f"  {number:>2}. ")
    yield from _sentences("samples", sheet.after, width)
    yield from _new_assay(sheet.new_assay, width)
    yield from _sentences("to know", sheet.notes, width)
    yield from heading("working")
    for line in sheet.lines:
        yield from _line(line, width)
    yield from heading("responsible")
    function = f", {sheet.responsible_function}" if sheet.responsible_function else ""
    yield from paragraph(f"{sheet.responsible or 'nobody is named yet'}{function}: a person decides, not the program.",
                         width)


def _sentences(title: str, sentences: tuple[str, ...], width: int) -> Iterator[str]:
    if sentences:
        yield from heading(title)
    for sentence in sentences:
        yield from paragraph(sentence, width)


def _new_assay(one: NewAssay, width: int) -> Iterator[str]:
    """Yield the new assay: its cautions by themselves, how it is done, what is taken, step by step."""
    yield from _sentences("the new assay: cautions, before its first step", one.cautions, width)
    yield from _sentences("the new assay", one.told, width)
    for number, step in enumerate(one.steps, start=1):
        yield from paragraph(step, width, first=f"  {number:>2}. ")


def _table(table: SheetTable, width: int) -> Iterator[str]:
    """Yield a table, without the columns that are there to be filled in by hand."""
    kept = [number for number, name in enumerate(table.headings)
            if any(row[number] for row in table.rows)]
    columns = [Column(table.headings[number], right=number in table.right, flexible=number not in table.right)
               for number in kept]
    yield from heading(table.title)
    yield from drawn(columns, [[row[number] for number in kept] for row in table.rows], width)


def _line(line: Line, width: int) -> Iterator[str]:
    unit = "" if line.unit == "1" else f" {line.unit}"
    yield from paragraph(f"{line.label}: {line.symbol} = {line.formula} = {line.figures} = {line.value}{unit}", width)
