"""Temperatures that stand in a worksheet's heading: one that no evaluation takes is refused when it is entered."""

from collections.abc import Mapping, Sequence
from typing import Any

from assaywright.assay.bench.heading import refused_of_blank
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.worksheet import FORMAT, parse_worksheet
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import open_by_path
from assaywright.records.methods import method_of
from assaywright.records.toml_text import toml_text

GROUPS = ("dilution", "air")
OF_A_DETERMINATION = "determination "


def demand_taken(heading: Mapping[str, Any], determinations: Sequence[Mapping[str, Any]], path: str) -> None:
    """Refuse a heading with a temperature of blank, dilution or air that no evaluation takes.

    Whatever else the worksheet cannot be evaluated for yet is told when it is.

    Arguments:
        heading: of a worksheet.
        determinations: on record, or one that nobody made.
        path: of the worksheet.

    Raises:
        Refusal: with the field in its place.
    """
    for where, refusal in refused_of_blank(method_of(str(heading["method"])), heading):
        raise Refusal(refusal.what, where=where, remedy=refusal.remedy) from refusal
    if not any("temperature" in str(heading.get(group, "")) for group in GROUPS):
        return
    whole = {"format": FORMAT, **heading, "determination": [*determinations]}
    try:
        evaluate_worksheet(parse_worksheet(toml_text(whole).encode(), path), open_by_path)
    except Refusal as refusal:
        where = refusal.where.removeprefix(f"{path}: ")
        if "temperature" in where and not where.startswith(OF_A_DETERMINATION):
            raise Refusal(refusal.what, where=where, remedy=refusal.remedy) from refusal
