"""Histories from spreadsheets: brought in whole or not at all, marked as unverified."""

import hashlib
from typing import Any

from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.permission import demand
from assaywright.metrology.refusal import Refusal
from assaywright.records import days
from assaywright.records.history import Mapping, read_history
from assaywright.records.log import append
from assaywright.records.models import Event


class RowsRefused(Refusal):
    """Rows that cannot be read; nothing was imported.

    Arguments:
        troubles: in sentences, each with its row in front; one row may have several.
    """

    def __init__(self, troubles: list[str], path: str) -> None:
        number = len({one.partition(":")[0] for one in troubles})
        super().__init__(f"{number} row{'s' if number > 1 else ''} cannot be read, and nothing was imported",
                         where=path, remedy="correct them in the spreadsheet, or correct the settings")
        self.troubles = troubles


def history_import(*, data: bytes, name: str, mapping: Mapping, by: str, act: str = "") -> Event:
    """Import a history.

    Arguments:
        data: the spreadsheet, CSV or XLSX.
        name: of the file, by which it is known to be the one or the other.
        mapping: how it is read.

    Raises:
        RowsRefused: with every row that cannot be read.
        Refusal: the file cannot be read, is on record already, or ``by`` may not.
    """
    demand(by, *IN_CHARGE)
    rows = read_whole(data, name, mapping)
    sha256 = hashlib.sha256(data).hexdigest()
    kept = Event.objects.filter(kind="history.imported", payload__contains=sha256).exclude(act=act or "none").first()
    if kept is not None:
        raise Refusal(f"the file is on record already, as '{kept.subject}'", where=name,
                      remedy="import each spreadsheet once")
    return append("history.imported", subject=mapping.source, by=by, act=act, payload={
        "file": name, "sha256": sha256, "columns": mapping.columns, "fixed": mapping.fixed,
        "decimal_mark": mapping.decimal_mark, "thousands": mapping.thousands, "dates": mapping.dates,
        "verified": False, "rows": rows})


def read_whole(data: bytes, name: str, mapping: Mapping) -> list[dict[str, Any]]:
    """Return every row of a spreadsheet.

    Raises:
        RowsRefused: with every row that cannot be read.
        Refusal: the file cannot be read at all.
    """
    found = read_history(data, name, mapping, today=days.today())
    if found.troubles:
        raise RowsRefused(found.troubles, name)
    return found.rows
