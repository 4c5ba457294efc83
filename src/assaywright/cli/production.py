"""The verbs ``prepare``, ``adjust`` and ``blend``: from a file or options to a sheet on terminal or paper."""

import argparse
import sys
from datetime import UTC, datetime
from typing import Any

from assaywright.assay.prepare.sheet import ProductionSheet
from assaywright.cli.files import check_ending, check_replacing, read_file, read_named, write_output
from assaywright.metrology.refusal import Refusal


def prepare(parsed: argparse.Namespace) -> int:
    """Work out a preparation, and print or write its sheet."""
    from assaywright.assay.prepare.form import read_preparation
    from assaywright.assay.prepare.prepare import prepare as worked_out
    from assaywright.assay.prepare.sheet import preparation_sheet
    from assaywright.cli.prepare_options import check_options, preparation_of_options
    from assaywright.cli.show_production import prepared_record

    if (parsed.file is None) == (parsed.of is None):
        raise Refusal("assaywright prepare: what is to be made is not said in exactly one way",
                      remedy='name a FILE, or give --of SUBSTANCE --to "0.1 mol/L" --volume "1 L"')
    _check_output(parsed)
    check_options(parsed)
    preparation = (preparation_of_options(parsed) if parsed.file is None
                   else read_preparation(read_named(parsed.file), parsed.file))
    try:
        prepared = worked_out(preparation, monte_carlo=parsed.monte_carlo, seed=parsed.seed or 0)
    except Refusal as refusal:
        raise (refusal.at(preparation.head.path) if preparation.head.path else refusal) from None
    return _show(parsed, preparation_sheet(prepared, _day(parsed)), prepared_record(prepared))


def adjust(parsed: argparse.Namespace) -> int:
    """Work out an adjustment, and print or write its sheet."""
    from assaywright.assay.adjust.adjust import adjust as worked_out
    from assaywright.assay.adjust.form import read_adjustment
    from assaywright.assay.adjust.sheets import adjustment_sheet
    from assaywright.assay.plan.shelf import read_shelf
    from assaywright.cli.show_production import adjusted_record

    _check_output(parsed)
    adjustment = read_adjustment(read_named(parsed.file), parsed.file)
    shelf = read_shelf(read_named(parsed.vessels), parsed.vessels) if parsed.vessels else None
    adjusted = worked_out(adjustment, read_file, trials=parsed.trials, seed=parsed.seed or 0, shelf=shelf,
                          day=datetime.now(UTC).date())
    return _show(parsed, adjustment_sheet(adjusted, _day(parsed)), adjusted_record(adjusted))


def blend(parsed: argparse.Namespace) -> int:
    """Work out a blend, and print or write its sheet."""
    from assaywright.assay.adjust.blend import blend_lots
    from assaywright.assay.adjust.blend_form import read_blend
    from assaywright.assay.adjust.sheets import blend_sheet
    from assaywright.cli.show_production import blended_record

    _check_output(parsed)
    blended = blend_lots(read_blend(read_named(parsed.file), parsed.file), read_file, trials=parsed.trials,
                         seed=parsed.seed or 0)
    return _show(parsed, blend_sheet(blended, _day(parsed)), blended_record(blended))


def _check_output(parsed: argparse.Namespace) -> None:
    """Refuse a place for the sheet that is none, before anything is worked out."""
    check_replacing(parsed.output, "-o", replace=parsed.replace, verb=parsed.verb)
    if parsed.output is not None:
        check_ending(parsed.output, ".pdf")


def _day(parsed: argparse.Namespace) -> str:
    """Return today's date where a sheet is written; it stands only where the file states no day."""
    return datetime.now(UTC).date().isoformat() if parsed.output else ""


def _show(parsed: argparse.Namespace, sheet: ProductionSheet, record: dict[str, Any]) -> int:
    """Write the sheet where one is asked for, then print it as text or its figures as JSON."""
    from assaywright.cli.opening import terminal_width
    from assaywright.cli.sheet_text import sheet_lines
    from assaywright.cli.show_json import json_text

    if parsed.output is not None:
        from assaywright.reports.render import production_pdf

        write_output(parsed.output, production_pdf(sheet), replace=parsed.replace)
    if parsed.json:
        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(record, plain=plain))
        return 0
    for line in sheet_lines(sheet, terminal_width()):
        print(line)
    if parsed.output is not None:
        print(f"\n{parsed.output} written: nothing is decided until {sheet.responsible or 'a qualified person'} has "
              "checked and signed it")
    return 0
