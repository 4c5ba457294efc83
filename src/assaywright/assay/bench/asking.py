"""A question about a reading."""

from dataclasses import dataclass

CORRECT = "correct it, or confirm that it is so"


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked about a reading.

    Fields:
        name: of the reading asked about, as the worksheet names the field ("final", "fillings.2.final"); the role of a
            solution where its date is asked about.
        code: the kind of question, one word with hyphens.
        sentence: what is odd, in one sentence.
        remedy: what to do, as an imperative clause without a full stop.
        impossible: whether no confirming helps, since a worksheet with it is refused.
    """

    name: str
    code: str
    sentence: str
    remedy: str
    impossible: bool = False
