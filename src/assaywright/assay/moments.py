"""When something was done: days, times, and which of two came first."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time

from assaywright.assay.observations import Worksheet

Moment = date | datetime


def day_of(moment: Moment) -> date:
    """Return the day of a date or of a time, in the time's own zone."""
    return moment.date() if isinstance(moment, datetime) else moment


def moments_of(worksheet: Worksheet) -> Iterator[Moment]:
    """Yield when the worksheet was performed, and the times of determinations and blank that state their own."""
    yield worksheet.performed
    for one in worksheet.determinations:
        if one.at is not None:
            yield one.at
    if worksheet.blank is not None and worksheet.blank.at is not None:
        yield worksheet.blank.at


def first_moment(worksheet: Worksheet) -> Moment:
    """Return the first moment at which anything on a worksheet was used."""
    return min(moments_of(worksheet), key=_beginning)


def last_moment(worksheet: Worksheet) -> Moment:
    """Return the last moment at which anything on a worksheet was used, which is past midnight in a night's run."""
    return max(moments_of(worksheet), key=_end)


def last_day_of_use(worksheet: Worksheet) -> date:
    """Return the last day on which anything on a worksheet was used."""
    return max(day_of(moment) for moment in moments_of(worksheet))


def is_after(one: Moment, other: Moment) -> bool:
    """Whether one moment is later than another: by the clock where both are times, else by the day.

    A day and a time on that day are not told apart: the worksheet does not say which came first.
    """
    if isinstance(one, datetime) and isinstance(other, datetime):
        return one > other
    return day_of(one) > day_of(other)


def order(moment: Moment) -> datetime:
    """Return where a moment stands in a row of moments; a day stands at its end."""
    return _end(moment)


def _beginning(moment: Moment) -> datetime:
    return moment if isinstance(moment, datetime) else datetime.combine(moment, time.min, UTC)


def _end(moment: Moment) -> datetime:
    return moment if isinstance(moment, datetime) else datetime.combine(moment, time.max, UTC)
