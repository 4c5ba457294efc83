"""The verbs: each takes its parsed arguments, prints, and returns the exit status."""

import argparse
import os
import sys
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path, PurePath
from typing import TYPE_CHECKING, Any

from assaywright.cli.files import (
    check_ending,
    check_replacing,
    read_file,
    read_named,
    write_new,
    write_output,
)
from assaywright.cli.opening import terminal_width
from assaywright.cli.plain_text import say
from assaywright.metrology.refusal import Refusal

if TYPE_CHECKING:
    from assaywright.assay.evaluate_lot import LotOutcome
    from assaywright.assay.method import Method
    from assaywright.assay.observations import Lot, Worksheet
    from assaywright.assay.result import Outcome

DONE, REFUSED = 0, 2
OWN_METHOD, PDF = ".toml", ".pdf"


def new(parsed: argparse.Namespace) -> int:
    """Print a blank worksheet for a method, or write it into a file that must not exist yet."""
    from assaywright.assay.template import blank_worksheet

    named = parsed.method
    if named.endswith(OWN_METHOD) and parsed.output is not None:
        named = os.path.relpath(named, Path(parsed.output).parent)  # as the worksheet will name it
    text = blank_worksheet(_method(parsed.method), named.replace(os.sep, "/"))
    if parsed.output is None:
        sys.stdout.write(text)
        return DONE
    write_new(parsed.output, text.encode("utf-8"))
    print(f"{parsed.output} written; fill it in, then: assaywright evaluate {parsed.output}")
    return DONE


def evaluate(parsed: argparse.Namespace) -> int:
    """Evaluate worksheets and lots; when one is refused, nothing is printed but the refusals."""
    if parsed.save is not None and len(parsed.files) > 1:
        raise Refusal("assaywright evaluate: --save keeps the result of one worksheet, and several files are named",
                      remedy="save them one by one")
    if parsed.seed is not None and not parsed.monte_carlo:
        raise Refusal("assaywright evaluate: --seed is of a simulation, and none is asked for",
                      remedy="add --monte-carlo N, or leave --seed out")
    check_replacing(parsed.save, "--save", replace=parsed.replace, verb="evaluate")
    outcomes, refused = [], []
    for path in parsed.files:
        try:
            outcomes.append(_evaluated(path, parsed.monte_carlo, parsed.seed or 0))
        except Refusal as refusal:
            refused.append(str(refusal))
    for sentence in refused:
        say(sentence)
    if refused:
        return REFUSED
    if parsed.save is not None:
        _save(outcomes[0], parsed.save, replace=parsed.replace)
    if parsed.json:
        _print_json(outcomes)
    else:
        _print_tables(outcomes)
    return DONE


def explain(parsed: argparse.Namespace) -> int:
    """Write out the working of a worksheet as text, or as PDF."""
    from assaywright.assay.observations import Lot

    check_replacing(parsed.pdf, "--pdf", replace=parsed.replace, verb="explain")
    if parsed.pdf is not None:
        check_ending(parsed.pdf, PDF)
    found = _read(parsed.file)
    if isinstance(found, Lot):
        paths = dict.fromkeys(one.worksheet for one in found.characteristics if one.worksheet)
        raise Refusal("a lot has no working of its own", where=parsed.file,
                      remedy=f"name one of its worksheets: {', '.join(paths) or 'it has none'}")
    outcome = _outcome(found)
    if parsed.pdf is None:
        from assaywright.cli.show_working import working_lines

        _print(working_lines(outcome, terminal_width()))
        return DONE
    from assaywright.assay.working_document import working_document
    from assaywright.reports.render import working_pdf

    write_output(parsed.pdf, working_pdf(working_document(outcome)), replace=parsed.replace)
    print(f"{parsed.pdf} written")
    return DONE


def certify(parsed: argparse.Namespace) -> int:
    """Draft the certificate of a lot as PDF."""
    from assaywright.assay.certificate import certificate_document
    from assaywright.reports.render import certificate_pdf

    output = parsed.output or str(PurePath(parsed.file).with_suffix(PDF))
    check_ending(output, PDF)
    lot = replace(_lot(parsed.file), **_said_besides(parsed))
    document = certificate_document(_lot_outcome(lot))
    try:
        data = certificate_pdf(document, parsed.language)
    except Refusal as refusal:
        if refusal.where != "language":
            raise
        raise Refusal(refusal.what, where="--language", remedy=refusal.remedy) from None
    write_output(output, data, replace=parsed.replace)
    print(f"{output} written: a draft until {lot.responsible} has checked and signed it")
    return DONE


def _said_besides(parsed: argparse.Namespace) -> dict[str, Any]:
    """Return what the command line says of a certificate in place of the file."""
    from assaywright.assay.reading.dates import read_day

    found = {"certificate_number": parsed.number, "responsible": parsed.responsible,
             "responsible_function": parsed.function}
    if parsed.issued is not None:
        try:
            found["issued"] = read_day(parsed.issued)
        except Refusal as refusal:
            raise refusal.at("--issued") from None
    return {name: value for name, value in found.items() if value is not None}


def methods(parsed: argparse.Namespace) -> int:
    """List the methods, show one, or check them."""
    from assaywright.cli.methods import run

    return run(parsed)


def substance(parsed: argparse.Namespace) -> int:
    """Look up a substance."""
    from assaywright.cli.substance import run

    return run(parsed)


def convert(parsed: argparse.Namespace) -> int:
    """Convert a content into other units."""
    from assaywright.cli.convert import run

    return run(parsed)


def curve(parsed: argparse.Namespace) -> int:
    """Follow a titration along the burette and rank its indicators."""
    from assaywright.cli.curve import run

    return run(parsed)


def buffer(parsed: argparse.Namespace) -> int:
    """Look up a standard buffer, make a recipe, or find a pH between two buffers."""
    from assaywright.cli.buffer import run

    return run(parsed)


def prepare(parsed: argparse.Namespace) -> int:
    """Work out a preparation."""
    from assaywright.cli.production import prepare as run

    return run(parsed)


def adjust(parsed: argparse.Namespace) -> int:
    """Work out what brings a lot to strength."""
    from assaywright.cli.production import adjust as run

    return run(parsed)


def blend(parsed: argparse.Namespace) -> int:
    """Work out a blend of lots."""
    from assaywright.cli.production import blend as run

    return run(parsed)


def plan(parsed: argparse.Namespace) -> int:
    """Plan an assay or a standardisation."""
    from assaywright.cli.plan import run

    return run(parsed)


def guide(parsed: argparse.Namespace) -> int:
    """Guide through the titrations of a plan."""
    from assaywright.cli.guide import run

    return run(parsed)


def serve(parsed: argparse.Namespace) -> int:
    """Serve the records and pages of a laboratory."""
    from assaywright.cli.serve import run

    return run(parsed)


def people(parsed: argparse.Namespace) -> int:
    """Make an administrator, reset a password, or list the people."""
    from assaywright.cli.people import run

    return run(parsed)


def check_records(parsed: argparse.Namespace) -> int:
    """Prove that records are whole."""
    from assaywright.cli.records_keep import check_records as run

    return run(parsed)


def rebuild(parsed: argparse.Namespace) -> int:
    """Make the tables of the records anew from the events."""
    from assaywright.cli.records_rebuild import run

    return run(parsed)


def backup(parsed: argparse.Namespace) -> int:
    """Write a backup of the records."""
    from assaywright.cli.records_keep import backup as run

    return run(parsed)


def restore(parsed: argparse.Namespace) -> int:
    """Bring a backup into an empty folder."""
    from assaywright.cli.records_keep import restore as run

    return run(parsed)


def export(parsed: argparse.Namespace) -> int:
    """Take a worksheet or a list along."""
    from assaywright.cli.records_carry import export as run

    return run(parsed)


def bring(parsed: argparse.Namespace) -> int:
    """Bring worksheets and lots into the records."""
    from assaywright.cli.records_carry import bring as run

    return run(parsed)


def import_history(parsed: argparse.Namespace) -> int:
    """Bring old results into the records."""
    from assaywright.cli.records_carry import import_history as run

    return run(parsed)


def demo(parsed: argparse.Namespace) -> int:
    """Write the demonstration laboratory."""
    from assaywright.cli.demo import run

    return int(run(parsed.folder) or DONE)


RUN: dict[str, Callable[[argparse.Namespace], int]] = {
    "new": new, "evaluate": evaluate, "explain": explain, "certify": certify, "methods": methods,
    "substance": substance,
    "convert": convert, "buffer": buffer, "curve": curve,
    "plan": plan, "guide": guide,
    "prepare": prepare, "adjust": adjust, "blend": blend, "demo": demo,
    "check-records": check_records, "rebuild": rebuild, "backup": backup, "restore": restore,
    "export": export, "import": bring, "import-history": import_history,
    "serve": serve, "people": people,
}


# --- reading and evaluating -------------------------------------------------------------------------------------------


def _read(path: str) -> "Worksheet | Lot":
    from assaywright.assay.worksheet import read_bytes

    return read_bytes(read_named(path), path)


def _naming(path: str, refusal: Refusal) -> Refusal:
    """Return the refusal with the file's name in front, unless it names a file already."""
    named = path in refusal.where or OWN_METHOD in refusal.where
    return refusal if named else refusal.at(path)


def _method(name: str) -> "Method":
    """Return one of the program's methods by its name, or a laboratory's own by the path of its file."""
    from assaywright.cli.methods import named_method

    return named_method(name)


def _outcome(worksheet: "Worksheet", monte_carlo: int = 0, seed: int = 0) -> "Outcome":
    from assaywright.assay.evaluate import evaluate_worksheet

    try:
        return evaluate_worksheet(worksheet, read_file, monte_carlo=monte_carlo, seed=seed)
    except Refusal as refusal:
        raise _naming(worksheet.path, refusal) from refusal.__cause__


def _lot_outcome(lot: "Lot") -> "LotOutcome":
    from assaywright.assay.evaluate_lot import evaluate_lot

    try:
        return evaluate_lot(lot, read_file)
    except Refusal as refusal:
        raise _naming(lot.path, refusal) from refusal.__cause__


def _evaluated(path: str, monte_carlo: int, seed: int) -> "Outcome | LotOutcome":
    from assaywright.assay.observations import Lot

    found = _read(path)
    if not isinstance(found, Lot):
        return _outcome(found, monte_carlo, seed)
    if monte_carlo:
        raise Refusal("a simulation is of one worksheet, and this is a lot", where=path,
                      remedy="name one of its worksheets, or leave --monte-carlo out")
    return _lot_outcome(found)


def _lot(path: str) -> "Lot":
    """Return the lot that a file describes, or that a worksheet holds in its own [lot] table."""
    from assaywright.assay.observations import Lot

    found = _read(path)
    lot = found if isinstance(found, Lot) else found.lot
    if lot is None:
        raise Refusal("the worksheet says nothing of the lot that is to be certified", where=path,
                      remedy="add [lot] with maker, certificate_number, issued and responsible, or name a lot file")
    return lot


# --- printing ---------------------------------------------------------------------------------------------------------


def _print(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


def _print_tables(outcomes: "list[Outcome | LotOutcome]") -> None:
    from assaywright.assay.result import Outcome
    from assaywright.cli.show_lot import lot_lines
    from assaywright.cli.show_outcome import outcome_lines

    width = terminal_width()
    for number, outcome in enumerate(outcomes):
        if number:
            print(f"\n{'─' * width}\n")
        _print(outcome_lines(outcome, width) if isinstance(outcome, Outcome) else lot_lines(outcome, width))


def _print_json(outcomes: "list[Outcome | LotOutcome]") -> None:
    from assaywright.assay.result import Outcome
    from assaywright.cli.show_json import json_text, lot_record, outcome_record

    records = [outcome_record(one) if isinstance(one, Outcome) else lot_record(one) for one in outcomes]
    plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
    print(json_text(records if len(records) > 1 else records[0], plain=plain))


def _save(outcome: "Outcome | LotOutcome", path: str, *, replace: bool) -> None:
    """Keep a worksheet's result in a file that other worksheets can name."""
    from assaywright.assay.result import Outcome
    from assaywright.assay.stored import store
    from assaywright.cli.show_json import json_text

    if not isinstance(outcome, Outcome):
        raise Refusal("a lot has no single result to keep", where=path, remedy="save one of its worksheets")
    write_output(path, (json_text(store(outcome), plain=False) + "\n").encode("utf-8"), replace=replace)
