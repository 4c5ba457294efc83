"""A row of the tables in words: what it is of, and how it differs from what the events say."""

import json
from collections.abc import Iterator
from typing import Any

from assaywright.records.projections.tables import Model

LONGEST = 60
NAMED = {
    "Accreditation": "the statement of {since} on the accreditation {number}",
    "AcceptedRemark": "the accepted irregularity '{kind}' of {subject}",
    "Attachment": "the file {name} of {subject}",
    "Calibration": "the calibration {certificate} of {instrument}",
    "Determination": "determination {place} of {assay}",
    "EnteredCharacteristic": "the entered characteristic {name} of lot {lot}",
    "HistoricResult": "row {row} of the history {source}",
    "Investigation": "the investigation of lot {lot}",
    "MethodEdition": "method {name}, edition {edition}",
    "ProductEdition": "product {product}, edition {edition}",
    "Result": "the result of {assay}",
    "Sample": "the sample of lot {lot} taken {taken}",
    "Signature": "the signature of {by} under {subject}",
}
Row = dict[str, Any]


def named(model: Model, row: Row) -> str:
    """Return what a row is of, in words: "lot 0941", "determination 2 of WS-26-0903"."""
    wording = NAMED.get(model.__name__)
    if wording is None:
        return f"{model._meta.verbose_name} {_short(row[model._meta.pk.attname])}"
    return " ".join(wording.format(**{name: _short(value) for name, value in row.items()}).split())


def differences(there: Row, expected: Row) -> list[str]:
    """Return each column that differs, with the value in the table and the one that follows from the events."""
    return [f"{what.replace('_', ' ')} is {_quoted(found)}, by the events {_quoted(ought)}"
            for name in expected for what, found, ought in _differing(name, there[name], expected[name])]


def _differing(name: str, there: Any, expected: Any) -> Iterator[tuple[str, Any, Any]]:
    """Yield what differs in a column; of a body, entry by entry."""
    if there == expected:
        return
    if name == "body":
        found, ought = _entries(there), _entries(expected)
        entries = [key for key in {**ought, **found} if found.get(key) != ought.get(key)]
        if entries:
            yield from ((key, found.get(key), ought.get(key)) for key in entries)
            return
    yield name, there, expected


def _entries(body: Any, before: str = "") -> dict[str, Any]:
    """Return a body's entries, those of tables within it by their path."""
    try:
        table = json.loads(body) if isinstance(body, str) and not before else body
    except ValueError:
        return {"body": body}
    if not isinstance(table, dict):
        return {before or "body": table}
    found: dict[str, Any] = {}
    for key, value in table.items():
        path = f"{before} {key}".strip()
        found |= _entries(value, path) if isinstance(value, dict) else {path: value}
    return found


def _quoted(value: Any) -> str:
    if value is None:
        return "not there"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"'{_short(value)}'" if isinstance(value, str) else _short(value)


def _short(value: Any) -> str:
    text = " ".join((value if isinstance(value, str) else json.dumps(value, ensure_ascii=False, default=str)).split())
    return text if len(text) <= LONGEST else f"{text[:LONGEST - 1]}…"
