"""Input that cannot be: refused with one sentence that says what is wrong, where, and what to do."""

from itertools import pairwise
from typing import TypeVar

T = TypeVar("T")

WORD_ENDS = ("", " ", ":", ",", "’")


def placed(where: str, what: str) -> str:
    """Return what is said with the place that it is said of in front, each part of the place once.

    Every sentence that tells of a place is joined here: a part of the place that is empty leaves no mark behind, a part
    that stands twice is told once, and what begins with the place itself does not have it in front as well.

    Arguments:
        where: the place, its parts joined by colons, the widest first; may be empty.
        what: the clause.

    Example:
        >>> placed("lot 0951: lot 0951", "no certificate"), placed(": nominal", "the number 0.1 has no unit")
        ('lot 0951: no certificate', 'nominal: the number 0.1 has no unit')
        >>> placed("WS-26-0951", "WS-26-0951 is in review"), placed("", "no certificate")
        ('WS-26-0951 is in review', 'no certificate')
    """
    parts = [part for one in where.split(": ") if (part := one.strip(" ,").removeprefix(":").strip(" ,"))]
    parts = [one for one, following in pairwise([*parts, ""]) if not _begins_with(following, one)]
    while parts and _begins_with(what, parts[-1]):
        parts.pop()
    return ": ".join((*parts, what))


def _begins_with(text: str, place: str) -> bool:
    """Return whether a text begins with a place, as a word of its own."""
    return text.startswith(place) and text[len(place):len(place) + 1] in WORD_ENDS


class Refusal(ValueError):
    """Impossible input, told in one sentence.

    Arguments:
        what: what is wrong, as a clause without a full stop ("the final reading 12.3 mL is before the initial 24.5
            mL").
        where: the file and field, or the argument, that holds it; may be given later with :meth:`at`.
        remedy: what the person can do about it, as an imperative clause.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.remedy = remedy

    @classmethod
    def unless(cls, value: "T | None", what: str, *, where: str = "", remedy: str = "") -> "T":
        """Return the value; refuse when there is none.

        Raises:
            Refusal: the value is None.
        """
        if value is None:
            raise cls(what, where=where, remedy=remedy)
        return value

    def at(self, where: str) -> "Refusal":
        """Return the same refusal with a place put in front of the one it already names."""
        return Refusal(self.what, where=f"{where}: {self.where}" if self.where else where, remedy=self.remedy)

    def __str__(self) -> str:
        remedy = f"; {self.remedy}" if self.remedy else ""
        return f"{placed(self.where, self.what)}{remedy}" + ("" if remedy.endswith("?") else ".")
