"""Until when something may be used, in words that no two people read differently."""

import re

from assaywright.assay.reading.dates import read_day
from assaywright.assay.wording import MONTHS, written_date
from assaywright.metrology.refusal import Refusal

_MONTH = re.compile(r"(\d{4})-(\d{2})", re.ASCII)
_USE_BEFORE = re.compile(r"use before the end of (\d{4}-\d{2}(?:-\d{2})?)", re.ASCII)


def through(until: str) -> str:
    """Return until when something lasts, with its last day named.

    Arguments:
        until: a day or a month as it is stored; any other text is given back after "until".

    Example:
        >>> through("2026-11")
        'through the last day of November 2026'
        >>> through("2026-11-12")
        'through 12 November 2026'
    """
    month = _MONTH.fullmatch(until)
    if month and 1 <= int(month[2]) <= len(MONTHS):
        return f"through the last day of {MONTHS[int(month[2]) - 1]} {month[1]}"
    try:
        return f"through {written_date(read_day(until))}"
    except Refusal:
        return f"until {until}"


def with_last_days(text: str) -> str:
    """Return a text with each "use before the end of 2026-11" written as :func:`through` writes it.

    Example:
        >>> with_last_days("lot T-0917; use before the end of 2026-12")
        'lot T-0917; to be used through the last day of December 2026'
    """
    return _USE_BEFORE.sub(lambda found: f"to be used {through(found[1])}", text)
