"""Input that cannot be: refused with one sentence that says what is wrong, where, and what to do."""

from typing import TypeVar

T = TypeVar("T")


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
        place = f"{self.where}: " if self.where else ""
        remedy = f"; {self.remedy}" if self.remedy else ""
        return f"{place}{self.what}{remedy}" + ("" if remedy.endswith("?") else ".")
