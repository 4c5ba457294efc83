"""Something irregular that travels with a result: its severity, what, where, what to do."""

from dataclasses import dataclass
from enum import StrEnum

from assaywright.metrology.refusal import placed


class Severity(StrEnum):
    """The severity of a remark.

    ``NOTE`` informs. ``QUESTION`` asks the person to look again. ``HOLD`` keeps a result from release until an
    authorised person has recorded why it may go.
    """

    NOTE = "note"
    QUESTION = "question"
    HOLD = "hold"


@dataclass(frozen=True, slots=True)
class Remark:
    """One irregularity, computed with and told about.

    Fields:
        kind: the kind of trouble, a key of the catalogue in ``assay/troubles.py`` ("titrant-past-its-date").
        severity: see :class:`Severity`.
        what: what was found, one clause.
        where: the worksheet and field, determination, vessel or material it concerns.
        remedy: what to do about it.
    """

    kind: str
    severity: Severity
    what: str
    where: str
    remedy: str

    @property
    def holds(self) -> bool:
        """Whether the result must not be released as it stands."""
        return self.severity is Severity.HOLD

    def __str__(self) -> str:
        return f"{self.severity}: {placed(self.where, self.what)}; {self.remedy}."
