"""Which edition of a table was in force on a day, and the fingerprint of every table for the record."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import by_key, citation, names, table

ATOMIC_WEIGHTS = "atomic weights"


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of a table of reference values.

    Fields:
        name: what it is called in a record ("CIAAW 2021").
        quantity: what it tabulates.
        table: name of the file that holds it.
        in_force_from, in_force_until: first and last day; no last day while it is in force, no days at all for the
            values of a worked example.
        citation: who published it.
        note: what to know about it.
    """

    name: str
    quantity: str
    table: str
    in_force_from: date | None
    in_force_until: date | None
    citation: str
    note: str

    def covers(self, day: date) -> bool:
        """Whether this edition was in force on a day."""
        if self.in_force_from is None or day < self.in_force_from:
            return False
        return self.in_force_until is None or day <= self.in_force_until


def editions(quantity: str = ATOMIC_WEIGHTS) -> tuple[Edition, ...]:
    """Return the editions held of a quantity, the newest first."""
    held = (_edition(name) for name, row in by_key("editions").items() if row["quantity"] == quantity)
    return tuple(sorted(held, key=lambda one: one.in_force_from or date.min, reverse=True))


def edition(name: str) -> Edition:
    """Return an edition by its name.

    Raises:
        Refusal: no edition of that name is held.
    """
    if name not in by_key("editions"):
        raise Refusal(f"the edition '{name}' is not held", where="reference",
                      remedy=f"use one of {', '.join(by_key('editions'))}")
    return _edition(name)


def current(quantity: str = ATOMIC_WEIGHTS) -> Edition:
    """Return the edition that is in force with no end yet.

    Raises:
        Refusal: none of that quantity is held.
    """
    for one in editions(quantity):
        if one.in_force_from is not None and one.in_force_until is None:
            return one
    raise Refusal(f"no edition of {quantity} is in force", where="reference", remedy="add the edition to editions.csv")


def in_force(day: date, quantity: str = ATOMIC_WEIGHTS) -> Edition:
    """Return the edition that was in force on a day.

    Raises:
        Refusal: no edition held was in force on that day.

    Example:
        >>> in_force(date(2020, 5, 1)).name
        'CIAAW 2013'
    """
    for one in editions(quantity):
        if one.covers(day):
            return one
    held = "; ".join(
        f"{one.name} from {one.in_force_from} {f'to {one.in_force_until}' if one.in_force_until else 'on'}"
        for one in editions(quantity)
    )
    raise Refusal(f"the edition of {quantity} in force on {day.isoformat()} is not held", where="reference",
                  remedy=f"name one of the editions held: {held}")


def fingerprints() -> Mapping[str, str]:
    """Return the hash (SHA-256) of every table by its name, for the record of a result that rests on them."""
    return MappingProxyType({name: table(name).sha256 for name in names()})


def _edition(name: str) -> Edition:
    row = by_key("editions")[name]
    return Edition(name, row["quantity"], row["table"], _day(row["in_force_from"]), _day(row["in_force_until"]),
                   citation(row), row["note"])


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None
