"""What every act asks alike."""

from datetime import date

from assaywright.metrology.refusal import Refusal
from assaywright.records import days


def needed(text: str, what: str, where: str) -> str:
    """Return a text without blanks around it.

    Raises:
        Refusal: there is nothing in it.
    """
    if not text.strip():
        raise Refusal(f"{what} is missing", where=where, remedy="write it in a few words")
    return text.strip()


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


def last_day(text: str, where: str) -> str:
    """Return a last day of use: a day or a whole month, or nothing where none is given.

    Raises:
        Refusal: it is neither.
    """
    text = text.strip()
    return text if not text or (len(text) == len("2026-11") and day(f"{text}-01", where)) else day(text, where)
