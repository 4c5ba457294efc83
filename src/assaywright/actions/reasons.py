"""What every act asks alike."""

from datetime import date

from assaywright.metrology.refusal import Refusal
from assaywright.records import days

EARLIEST = "1990-01-01"  # nothing in use today was made before; common practice, no source
REASON = "reason"
LEAST_WORDS, LEAST_LETTERS = 2, 8


def needed(text: str, what: str, where: str) -> str:
    """Return a text without blanks around it; of a reason, one that tells something.

    Arguments:
        where: the field; "reason" asks for two words and eight letters at the least.

    Raises:
        Refusal: there is nothing in it, or too little of a reason.
    """
    text = text.strip()
    if not text:
        raise Refusal(f"{what} is missing", where=where, remedy="write it in a few words")
    if where == REASON and (len(text.split()) < LEAST_WORDS or len(text) < LEAST_LETTERS):
        raise Refusal(f"‘{text}’ is too short a reason for whoever reads it later", where=where,
                      remedy=f"say in at least {LEAST_WORDS} words and {LEAST_LETTERS} letters what happened")
    return text


def day(text: str, where: str) -> str:
    """Return a day, year-month-day.

    Raises:
        Refusal: it is missing or no day.
    """
    try:
        return date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        what = f"'{text.strip()[:30]}' is no day" if text.strip() else "the day is missing"
        raise Refusal(what, where=where, remedy="write it as year-month-day, like 2026-11-30") from None


def past_day(text: str, where: str) -> str:
    """Return a day, year-month-day, on which something has happened.

    Raises:
        Refusal: it is missing, no day, or still to come by the laboratory's clock.
    """
    found = day(text, where)
    if date.fromisoformat(found) > days.today():
        raise Refusal(f"{found} has not come yet", where=where, remedy="write the day on which it was done")
    return found


def made_on(text: str, where: str) -> str:
    """Return a day, year-month-day, on which something still in use was made.

    Raises:
        Refusal: it is missing, no day, still to come, or before 1990.
    """
    found = past_day(text, where)
    if found < EARLIEST:
        raise Refusal(f"{found} lies before {EARLIEST[:4]}", where=where, remedy="check the year")
    return found


def in_order(first: str, last: str, what: str) -> None:
    """Refuse a last day of use before the day on which something was made.

    Arguments:
        first: a day, or nothing.
        last: a day or a month, or nothing.

    Raises:
        Refusal: the last day is before the first.
    """
    if first and last and last < first[: len(last)]:
        raise Refusal(f"{last} is before the day on which it was {what}, {first}", where="use before",
                      remedy="check the two dates")


def last_day(text: str, where: str) -> str:
    """Return a last day of use: a day or a whole month, or nothing where none is given.

    Raises:
        Refusal: it is neither.
    """
    text = text.strip()
    return text if not text or (len(text) == len("2026-11") and day(f"{text}-01", where)) else day(text, where)
