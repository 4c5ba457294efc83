"""What an instrument that was wrong has done: every worksheet that used it in those days, and what rests on them.

Nothing on record is changed. Judging what was found with defective equipment: ISO/IEC 17025:2017, 6.4.9 and 7.10.
"""

import json
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

from assaywright.assay.as_if import (
    AsIf,
    IndicationError,
    demand_shown,
    distance_eaten,
    leaves_blank,
    was_used,
)
from assaywright.assay.decide import decide
from assaywright.assay.evaluate_lot import named_result
from assaywright.assay.observations import Characteristic, Vessel, Worksheet
from assaywright.assay.result import Outcome, Result
from assaywright.assay.wording import written_figures
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import lot_file, open_by_path, worksheet_bytes
from assaywright.records.instruments import read_instrument
from assaywright.records.models import Assay, Certificate, Instrument, Lot
from assaywright.records.models import Result as ResultRow
from assaywright.records.models.assays import VOID
from assaywright.records.printed import as_printed, printed
from assaywright.records.selectors.above import resting_on

MOST = 200  # worksheets that are computed anew in one go; of more, the days are narrowed down
NOTHING_PERCENT = 1e-9  # what rounding in the last digit of a float leaves
TOLD = 0.1  # of the standard uncertainty; a shift below it moves nothing that is printed: common practice, no source
SHIFT_DIGITS = 2
EARLIER = timedelta(days=31)  # a determination has a day of its own where it was titrated later than the others


@dataclass(frozen=True)
class Affected:
    """One result with what would have been found.

    Fields:
        worksheet, day, kind: its number, day of work, and "assay" or "standardisation".
        about: the lot, or the solution.
        measurand: what was found.
        on_record: the result as it went to review; empty before that.
        before, after: as computed now, and with the readings put right; as printed.
        shift_percent: of the second against the first, relative [%].
        uncertainty_percent: standard uncertainty of the first, relative [%].
        decisions: before and after, by the lot's specification; empty without limits.
        eaten: share of the distance to the nearest limit that the change uses up [1]; None without limits.
        certificates: in force that state it.
        blank_left: whether the worksheet has a blank that was left as it was.
        trouble: why it cannot be computed; then the fields from ``before`` on say nothing.
    """

    worksheet: str
    day: str
    kind: str
    about: str
    measurand: str = ""
    on_record: str = ""
    before: str = ""
    after: str = ""
    shift_percent: float = 0.0
    uncertainty_percent: float = 0.0
    decisions: tuple[str, str] = ("", "")
    eaten: float | None = None
    certificates: tuple[str, ...] = ()
    blank_left: bool = False
    trouble: str = ""

    @property
    def flips(self) -> bool:
        """Whether the decision becomes another one."""
        return self.decisions[0] != self.decisions[1]

    @property
    def shift(self) -> str:
        """The relative shift with its sign, in words of print [%]; none is told below a tenth of the uncertainty."""
        if abs(self.shift_percent) < NOTHING_PERCENT:
            return "none"
        if self.is_untold:
            return "less than can be told"
        return f"{'+' if self.shift_percent > 0 else ''}{written_figures(self.shift_percent, SHIFT_DIGITS)} %"

    @property
    def is_untold(self) -> bool:
        """Whether the shift is too small to be told."""
        return NOTHING_PERCENT <= abs(self.shift_percent) < TOLD * self.uncertainty_percent

    @property
    def share(self) -> str:
        """The share of the distance to the limit that is used up, as printed; empty without limits."""
        if self.eaten is None:
            return ""
        if math.isinf(self.eaten):
            return "outside, further" if self.eaten > 0 else "outside, nearer"
        return f"{round(100 * self.eaten)} %".replace("-", "−")


@dataclass(frozen=True)
class Impact:
    """What follows from an instrument that was wrong.

    Fields:
        used: results of the worksheets that used it on those days; those whose decision becomes another first, then by
            the share of the distance to the limit that is used up.
        resting: of others that rest on a standardisation among them, in the same order.
        left_out: numbers of worksheets that were not computed anew, there being too many.
    """

    used: tuple[Affected, ...]
    resting: tuple[Affected, ...]
    left_out: tuple[str, ...] = ()

    @property
    def flips(self) -> int:
        """How many decisions become another one."""
        return sum(one.flips for one in (*self.used, *self.resting))


def impact_of(error: IndicationError) -> Impact:
    """Return what follows from an instrument that was wrong; nothing on record is changed.

    Arguments:
        error: of an instrument on record.

    Raises:
        Refusal: the error is more than half of what the instrument showed on those days.
    """
    used, computing = _using(error), AsIf(open_by_path, error)
    demand_shown(error, _scale_of(error), (sheet for _, sheet in used))
    numbers = {assay.identity for assay, _ in used}
    above = {one.identity: one for assay, _ in used if assay.kind == "standardisation"
             for one in resting_on(assay).assays if one.identity not in numbers and one.stage != VOID}
    resting = [(one, _sheet(one)) for one in above.values()]
    every = [*used, *resting]
    computed = {assay.identity for assay, _ in every[:MOST]}
    return Impact(_ordered(one for pair in used if pair[0].identity in computed for one in _lines(*pair, computing)),
                  _ordered(one for pair in resting if pair[0].identity in computed for one in _lines(*pair, computing)),
                  tuple(assay.identity for assay, _ in every[MOST:]))


def _scale_of(error: IndicationError) -> Quantity | None:
    """Return where the scale of the instrument ends, or its volume; None of what is no vessel."""
    found = Instrument.objects.get(pk=error.identity)
    read = read_instrument(found.kind, found.content)
    return read.nominal if isinstance(read, Vessel) else None


def _using(error: IndicationError) -> list[tuple[Assay, Worksheet]]:
    """Return the worksheets whose readings were taken with the instrument on those days."""
    rows = Assay.objects.filter(
        body__contains=json.dumps(error.identity, ensure_ascii=False),
        performed__gte=(error.first - EARLIER).isoformat(), performed__lt=(error.last + timedelta(days=1)).isoformat())
    pairs = ((one, _sheet(one)) for one in rows.exclude(stage=VOID).order_by("performed", "identity"))
    return [(one, sheet) for one, sheet in pairs if sheet is not None and was_used(sheet, error)]


def _sheet(assay: Assay) -> Worksheet | None:
    """Return an assay as a worksheet; None where it cannot be read, as without a determination."""
    try:
        return parse_worksheet(worksheet_bytes(assay), assay.path)
    except Refusal:
        return None


def _ordered(found: Iterable[Affected]) -> tuple[Affected, ...]:
    return tuple(sorted(found, key=lambda one: (
        not one.flips, one.eaten is None, -(one.eaten or 0.0), -abs(one.shift_percent), one.worksheet)))


# --- one worksheet ----------------------------------------------------------------------------------------------------


def _lines(assay: Assay, sheet: Worksheet | None, computing: AsIf) -> Iterator[Affected]:
    """Yield the results of one worksheet: one for each characteristic that it decides, else its main one."""
    if sheet is None:
        return
    told = Affected(assay.identity, assay.performed[:10], assay.kind, assay.about,
                    blank_left=leaves_blank(sheet, computing.error))
    try:
        before, after = computing.both(sheet)
    except Refusal as refusal:
        yield replace(told, trouble=refusal.what)
        return
    row = ResultRow.objects.filter(assay=assay.identity).order_by("id").last()
    decided: list[Characteristic | None] = [*_decided(assay)]
    for characteristic in decided or [None]:
        yield _line(told, (before, after), characteristic, row)


def _decided(assay: Assay) -> list[Characteristic]:
    """Return the characteristics of the lot that rest on a worksheet."""
    lot = Lot.objects.filter(pk=assay.about).first() if assay.kind == "assay" else None
    if lot is None:
        return []
    try:
        return [one for one in lot_file(lot, whole=False).characteristics if one.worksheet == assay.path]
    except Refusal:
        return []


def _line(told: Affected, outcomes: tuple[Outcome, Outcome], characteristic: Characteristic | None,
          row: ResultRow | None) -> Affected:
    wanted = characteristic.measurand if characteristic is not None else ""
    before, after = (named_result(one, wanted) for one in outcomes)
    decisions, eaten = ("", ""), None
    if characteristic is not None:
        made = [decide(one, characteristic.specification) for one in (before, after)]
        decisions = (made[0].decision if made[0] else "", made[1].decision if made[1] else "")
        eaten = distance_eaten(before, after, characteristic.specification)
    value = before.estimate.value
    shift = 100 * (after.estimate.value / value - 1) if value else 0.0
    uncertainty = 100 * before.estimate.standard_uncertainty / abs(value) if value else 0.0
    certificates = Certificate.objects.filter(superseded_by="").order_by("number")
    own = certificates.filter(lot=told.about, worksheet="") if told.kind == "assay" else (
        certificates.filter(worksheet=told.worksheet))
    on_record = printed(row) if row is not None and row.measurand == before.measurand else ""
    return replace(told, measurand=before.measurand, on_record=on_record, before=_printed(before),
                   after=_printed(after), shift_percent=shift, uncertainty_percent=uncertainty, decisions=decisions,
                   eaten=eaten, certificates=tuple(own.values_list("number", flat=True)))


def _printed(result: Result) -> str:
    return as_printed(result.estimate.value, result.expanded_uncertainty, result.estimate.unit)
