"""Which standardisations of a solution count: those that nothing holds back, and those that somebody let pass."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from assaywright.assay.observations import AcceptedStandardisation, Solution
from assaywright.assay.troubles import remark
from assaywright.assay.wording import written_date, written_figures, written_number
from assaywright.metrology.comparison import normalised_error
from assaywright.metrology.remarks import Remark

if TYPE_CHECKING:
    from assaywright.assay.solutions import Candidate


def counts(one: "Candidate", solution: Solution) -> bool:
    """Return whether a standardisation counts: nothing holds it back, or each remark that does was let pass."""
    return one.accepted or bool(_let_pass(one, solution))


def _let_pass(one: "Candidate", solution: Solution) -> tuple[AcceptedStandardisation, ...]:
    """Return how the remarks that hold a standardisation back were let pass; empty unless every one of them was."""
    known = {(each.kind, each.what): each for each in solution.accepted if each.worksheet == one.name}
    held = [note for note in one.remarks if note.holds]
    found = [known.get((note.kind, note.what)) for note in held]
    return tuple(each for each in found if each) if all(found) else ()


def standing_remarks(
    candidates: "list[Candidate]", used: "list[Candidate]", solution: Solution, where: str
) -> Iterator[Remark]:
    """Yield what is irregular about the standardisations that count, and how those that are left out compare.

    One that counts and is held back holds what rests on it; one that was let pass says so; one that is left out
    because it is held back is told with E_n against the one that counts.
    """
    for one in candidates:
        if one.accepted:
            continue
        held = "; ".join(note.what for note in one.remarks if note.holds) or "as stored"
        let_pass = _let_pass(one, solution)
        if one not in used:
            yield remark("titrant-left-out", f"{one.name} is held back ({held}) and does not count; "
                         f"{_compared(one, used[-1])}", where,
                         "have it accepted or put right before the next worksheet")
        elif let_pass:
            told = "; ".join(f"by {each.by} on {written_date(each.day)}, because: {each.reason}" for each in let_pass)
            yield remark("titrant-let-pass", f"{one.name} counts in spite of an irregularity ({held}), let pass {told}",
                         where, "see that the reason holds for this use too")
        else:
            yield remark("titrant-not-accepted", f"{one.name} is itself held back ({held})", where,
                         "put the standardisation right first")


def _compared(one: "Candidate", other: "Candidate") -> str:
    if (one.estimate.unit, one.reference_degC) != (other.estimate.unit, other.reference_degC):
        return f"{other.name} does, stated in another unit or at another temperature"
    found = normalised_error(one.estimate, other.estimate)
    figure = written_number(format(found.normalised_error, ".2f"))
    return (f"{other.name} does, from which it differs by {written_figures(found.difference, 3)} {one.estimate.unit}, "
            f"E_n = {figure}")
