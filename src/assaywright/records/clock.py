"""The one place that asks what time it is: everything is stored in UTC."""

from datetime import UTC, datetime


def now() -> datetime:
    """Return the time now, in UTC."""
    return datetime.now(UTC)


def written(moment: datetime) -> str:
    """Return a moment as it is stored: UTC, to the microsecond, the same number of characters always."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def read(text: str) -> datetime:
    """Return the moment that :func:`written` wrote."""
    return datetime.strptime(text, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
