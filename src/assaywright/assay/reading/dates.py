"""Days and times as typed: the last day of a month, the laboratory's zone, and dates that have to be asked about."""

import calendar
import difflib
import re
from datetime import UTC, date, datetime, time, tzinfo
from zoneinfo import ZoneInfo, available_timezones

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown

NEAR = 0.85
FIRST_YEAR, LAST_YEAR = 1900, 2199

_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})")
_MONTH = re.compile(r"([0-9]{4})-([0-9]{2})")
_MONTH_FIRST = re.compile(r"([0-9]{1,2})[/.-]([0-9]{4})")
_SLASHED = re.compile(r"([0-9]{1,2})[/.-]([0-9]{1,2})[/.-]([0-9]{4})")
_MOMENT = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}[T ][0-9]{2}:[0-9]{2}(:[0-9]{2})?(Z|[+-][0-9]{2}:[0-9]{2})?")


def read_zone(name: str) -> tzinfo:
    """Return the time zone of an IANA name ("Europe/London"); UTC for an empty one.

    Raises:
        Refusal: no zone has that name.
    """
    if not name or name == "UTC":
        return UTC
    try:
        return ZoneInfo(name)
    except (KeyError, ValueError, OSError) as problem:
        near = _nearest_zone(name)
        remedy = f"write {near} if that is meant" if near else "write region and city, like Europe/London, or UTC"
        raise Refusal(f'"{shown(name)}" is not a time zone', remedy=remedy) from problem


def _nearest_zone(name: str) -> str:
    """Return the zone that is most likely meant: its city, or nearly its whole name; empty when none is near."""
    zones = {zone.casefold(): zone for zone in sorted(available_timezones())
             if "/" in zone and not zone.startswith(("Etc/", "SystemV/", "posix/", "right/"))}
    typed = name.strip().casefold().replace(" ", "_")
    by_city = [zone for plain, zone in zones.items() if plain.rpartition("/")[2] == typed]
    if by_city:
        return by_city[0]
    near = difflib.get_close_matches(typed, zones, n=1, cutoff=NEAR)
    return zones[near[0]] if near else ""


def read_day(value: object, *, month_allowed: bool = False) -> date:
    """Return the day that was typed.

    Arguments:
        value: a TOML date, or text like "2026-11-30".
        month_allowed: whether "2026-11" is read, as the last day of that month; so for expiries.

    Raises:
        Refusal: no date, an impossible one, or one that could be two; the sentence asks which.

    Example:
        >>> read_day("2026-02", month_allowed=True)
        datetime.date(2026, 2, 28)
    """
    if isinstance(value, datetime):
        raise Refusal(f"{value} is a time, and a day is wanted", remedy=f"write {value.date()}")
    if isinstance(value, date):
        return _in_our_time(value)
    if not isinstance(value, str):
        raise Refusal("that is not a date", remedy="write the day like 2026-11-30")
    text = value.strip()
    if found := _DAY.fullmatch(text):
        return _day(int(found[1]), int(found[2]), int(found[3]))
    if found := _MONTH.fullmatch(text):
        if not month_allowed:
            raise Refusal(f'"{text}" names a month, and a day is wanted', remedy=f'write the day, like "{text}-15"')
        return _last_day(int(found[1]), int(found[2]))
    raise _doubtful(text, month_allowed=month_allowed)


def read_moment(value: object, zone: tzinfo) -> date | datetime:
    """Return the day or the time that was typed; a time carries its zone.

    Arguments:
        value: a TOML date, date-time or local date-time, or text like "2026-10-12" or "2026-10-12 09:30".
        zone: of a local date-time.

    Raises:
        Refusal: as for :func:`read_day`; or a local time that summer time skips, or that comes twice when it ends.
    """
    if isinstance(value, str) and _MOMENT.fullmatch(value.strip()):
        text = value.strip()
        try:
            value = datetime.fromisoformat(text)
        except ValueError as problem:
            raise Refusal(f'"{text}" does not exist', remedy="write the time like 2026-10-12 09:30") from problem
    if isinstance(value, time):
        raise Refusal(f"{value} is a time without a day", remedy=f"write it like 2026-10-12 {value}")
    if not isinstance(value, datetime):
        return read_day(value)
    _in_our_time(value)
    return value if value.tzinfo is not None else _local(value, zone)


def _local(value: datetime, zone: tzinfo) -> datetime:
    """Return a local time in its zone, if it happened once."""
    earlier, later = (value.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if earlier.utcoffset() == later.utcoffset():
        return earlier
    skipped = earlier.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != value
    trouble = "does not exist, for summer time skips it," if skipped else "comes twice, for summer time ends then,"
    # Of a time that is skipped the two readings are named by the clock as it truly went, an hour before and after.
    meant = [one.astimezone(UTC).astimezone(zone) if skipped else one for one in (earlier, later)]
    first, second = sorted(one.isoformat() for one in meant)
    raise Refusal(f"{value:%Y-%m-%d %H:%M} {trouble} in {zone}",
                  remedy=f"write the time with its offset from UTC: {first} or {second}")


def _day(year: int, month: int, day: int) -> date:
    try:
        return _in_our_time(date(year, month, day))
    except ValueError as problem:
        if isinstance(problem, Refusal):
            raise
        raise Refusal(f"the day {year:04}-{month:02}-{day:02} does not exist",
                      remedy="write the day like 2026-11-30") from problem


def _last_day(year: int, month: int) -> date:
    """Return the last day of a month."""
    if not 1 <= month <= 12:
        raise Refusal(f"the month {year:04}-{month:02} does not exist", remedy="write the month like 2026-11")
    return _day(year, month, calendar.monthrange(max(year, 1), month)[1])


def _in_our_time(value: date) -> date:
    """Refuse a year that can only be a slip."""
    if not FIRST_YEAR <= value.year <= LAST_YEAR:
        raise Refusal(f"the year {value.year:04} cannot be meant", remedy="write the year with its four digits")
    return value


def _doubtful(text: str, *, month_allowed: bool) -> Refusal:
    """Return the refusal of a date in another order, with the question which day is meant."""
    if found := _SLASHED.fullmatch(text):
        first, second, year = int(found[1]), int(found[2]), found[3]
        ways = [f"{year}-{month:02}-{day:02}" for day, month in dict.fromkeys([(first, second), (second, first)])
                if 1 <= month <= 12 and 1 <= day <= 31]
        if len(ways) == 2:
            return Refusal(f'"{text}" may be {ways[0]} or {ways[1]}', remedy="write the one that is meant that way")
        if ways:
            return Refusal(f'"{text}" is not written year first', remedy=f'write "{ways[0]}"')
    if found := _MONTH_FIRST.fullmatch(text):
        month = f"{found[2]}-{int(found[1]):02}"
        if month_allowed:
            return Refusal(f'"{text}" is not written year first',
                           remedy=f'write "{month}", which lasts through its last day')
        return Refusal(f'"{text}" names a month, and a day is wanted', remedy=f'write the day, like "{month}-15"')
    return Refusal(f'"{shown(text)}" is not a date', remedy="write the day like 2026-11-30")
