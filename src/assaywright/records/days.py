"""The laboratory's days: everything is stored in UTC and shown in the laboratory's zone, clock changes included."""

from datetime import UTC, date, datetime, time, timedelta, tzinfo

from django.conf import settings

from assaywright.assay.reading.dates import read_day, read_moment, read_zone
from assaywright.metrology.refusal import Refusal
from assaywright.records import clock


def zone() -> tzinfo:
    """Return the laboratory's zone.

    Raises:
        Refusal: the setting names none.
    """
    try:
        return read_zone(settings.LABORATORY_ZONE)
    except Refusal as refusal:
        raise refusal.at("ASSAYWRIGHT_ZONE") from refusal


def local(stored: str) -> datetime:
    """Return a stored moment in the laboratory's zone."""
    return clock.read(stored).astimezone(zone())


def shown(stored: str) -> str:
    """Return a stored moment as the laboratory reads it, with the offset: so a time that comes twice is told apart.

    Example: "2026-10-25 02:30 +02:00" and an hour later "2026-10-25 02:30 +01:00".
    """
    moment = local(stored)
    offset = moment.strftime("%z")
    return f"{moment:%Y-%m-%d %H:%M} {offset[:3]}:{offset[3:5]}"


def stored(typed: str) -> str:
    """Return a time as the laboratory typed it, in the form in which it is stored.

    Raises:
        Refusal: no time; one that summer time skips, or that comes twice, without its offset.
    """
    moment = read_moment(typed, zone())
    if not isinstance(moment, datetime):
        raise Refusal(f'"{typed}" is a day, and a time is wanted', remedy=f"write it like {typed} 09:30")
    return clock.written(moment)


def today() -> date:
    """Return the day that it is in the laboratory."""
    return clock.now().astimezone(zone()).date()


def begins(day: date) -> datetime:
    """Return when a day begins in the laboratory, in UTC.

    Where the clocks are put forward at midnight, it begins with the first time that there is.
    """
    return datetime.combine(day, time.min, zone()).astimezone(UTC)


def ends(day: date) -> datetime:
    """Return when a day ends in the laboratory, in UTC: when the next one begins, 23, 24 or 25 hours after it began."""
    return begins(day + timedelta(days=1))


def expired(use_before: str, at: datetime | None = None) -> bool:
    """Return whether something is past its date: a day or a month lasts through its last day in the laboratory.

    Arguments:
        use_before: "2026-11-30", or "2026-11"; empty means that it does not expire.
        at: a moment with its zone; now when not given.

    Raises:
        Refusal: the date cannot be read.
    """
    if not use_before:
        return False
    return (at or clock.now()) >= ends(read_day(use_before, month_allowed=True))
