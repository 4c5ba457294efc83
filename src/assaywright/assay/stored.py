"""A result as it is kept: value, unit and contributions by permanent key, with what it came from."""

import json
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any

from assaywright.metrology.estimate import Estimate, from_record, to_record
from assaywright.metrology.refusal import Refusal

if TYPE_CHECKING:
    from assaywright.assay.result import Outcome

FORMAT = "assaywright result 1"


@dataclass(frozen=True, slots=True)
class StoredResult:
    """A result read back.

    Fields:
        estimate: value, unit and contributions by permanent key.
        worksheet, digest: number of the worksheet it came from and the hash of its file.
        performed: day of the determinations.
        releasable: whether nothing held it back when it was stored.
        formula: of the titrant, for a standardisation; else empty.
        lot, bottle: of the titrant; empty where the record or its worksheet does not say.
    """

    estimate: Estimate
    measurand: str
    worksheet: str
    digest: str
    performed: date
    releasable: bool
    reference_temperature_degC: float
    formula: str
    lot: str = ""
    bottle: str = ""


def store(outcome: "Outcome") -> dict[str, Any]:
    """Return an outcome's main result in the form that is written to a file."""
    from assaywright import __version__
    from assaywright.assay.moments import day_of

    sheet, result = outcome.worksheet, outcome.result
    return {
        "format": FORMAT,
        "measurand": result.measurand,
        "worksheet": sheet.identity,
        "digest": sheet.digest,
        "method": sheet.method,
        "method_edition": outcome.method_edition,
        "method_sha256": outcome.method_sha256,
        "performed": day_of(sheet.performed).isoformat(),
        "releasable": outcome.releasable,
        "reference_temperature_degC": result.reference_temperature_degC,
        "formula": sheet.titrant.formula if sheet.kind == "standardisation" else "",
        "lot": sheet.titrant.lot if sheet.kind == "standardisation" else "",
        "bottle": sheet.titrant.bottle if sheet.kind == "standardisation" else "",
        "software": __version__,
        "result": to_record(result.estimate),
    }


def restore(data: bytes, path: str) -> StoredResult:
    """Return the result that :func:`store` wrote.

    Raises:
        Refusal: the file is no stored result, or lacks something.
    """
    try:
        record = _record(data)
        return StoredResult(
            from_record(record["result"]),
            str(record["measurand"]),
            str(record["worksheet"]),
            str(record["digest"]),
            date.fromisoformat(record["performed"]),
            bool(record["releasable"]),
            float(record["reference_temperature_degC"]),
            str(record["formula"]),
            str(record.get("lot", "")),
            str(record.get("bottle", "")),
        )
    except Refusal as problem:
        raise problem.at(path) from None
    except (ValueError, KeyError, TypeError) as problem:
        raise Refusal(
            "the stored result is garbled", where=path, remedy="save it again with evaluate --save"
        ) from problem


def _record(data: bytes) -> dict[str, Any]:
    record = json.loads(data.decode("utf-8"))
    if not isinstance(record, dict) or record.get("format") != FORMAT:
        raise Refusal("the file is no stored result", remedy="save one with evaluate --save")
    return record
