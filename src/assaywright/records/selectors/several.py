"""A solution that several standardisations tell of: the last one, their mean, how they compare, and who takes which."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from assaywright.assay.result import Result
from assaywright.assay.wording import written_number
from assaywright.metrology.comparison import normalised_error
from assaywright.metrology.estimate import combine
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import report
from assaywright.records.bridge import rests_on
from assaywright.records.models import Assay, Solution
from assaywright.records.models.assays import VOID
from assaywright.records.printed import as_printed

ROLES = ("titrant", "reagent", "against")
LAST = "last accepted"


@dataclass(frozen=True)
class Several:
    """What several standardisations that count tell of a solution.

    Fields:
        of: their numbers, in order.
        mean, factor: their mean, and the factor by it, as printed; the factor is empty without a nominal concentration.
        compared: how each stands to the last one, in sentences with E_n.
        taken: worksheets that rest on them, by what each takes; see :func:`taken_by`.
    """

    of: tuple[str, ...]
    mean: str
    factor: str
    compared: tuple[str, ...]
    taken: tuple[tuple[str, tuple[str, ...]], ...]


def several_values(solution: Solution, counting: Sequence[tuple[str, Result]]) -> Several | None:
    """Return what several standardisations tell; None of a single one, and of such as cannot be averaged.

    The mean is that of the worksheets that take it: what they share is added once.

    Arguments:
        solution: the one that they standardise.
        counting: number and result of those that a worksheet begun now could take, in order.
    """
    results = [one for _, one in counting]
    alike = {(one.estimate.unit, one.reference_temperature_degC) for one in results}
    if len(results) < 2 or len(alike) > 1:
        return None
    last = results[-1]
    mean = combine(last.estimate.unit, [(1.0 / len(results), one.estimate) for one in results])
    expanded = coverage_factor(mean.degrees_of_freedom) * mean.standard_uncertainty
    factor = " ± ".join(report(mean.value / last.nominal, expanded / last.nominal)) if last.nominal else ""
    numbers = tuple(number for number, _ in counting)
    return Several(numbers, as_printed(mean.value, expanded, mean.unit), factor,
                   tuple(_compared(one, counting[-1]) for one in counting[:-1]), taken_by(solution, numbers))


def _compared(one: tuple[str, Result], last: tuple[str, Result]) -> str:
    """Return how a standardisation stands to the last one: E_n with the coverage factors of both."""
    (number, former), (newest, latter) = one, last
    try:
        found = normalised_error(former.estimate, latter.estimate, first_coverage_factor=former.coverage_factor,
                                 second_coverage_factor=latter.coverage_factor)
    except Refusal as refusal:
        return f"{number} and {newest}: {refusal.what}."
    verdict = ("they agree, since its magnitude is at most 1" if found.agree else
               "they disagree; find out which of them is wrong before either is used")
    return f"{number} and {newest}: E_n = {written_number(format(found.normalised_error, '.2f'))}; {verdict}."


def taken_by(solution: Solution, numbers: Sequence[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the worksheets that rest on some of a solution's standardisations, by what of them each takes.

    It is "last accepted" or "mean of accepted" of those that its heading names, or the only one that it names.

    Arguments:
        solution: the one that they standardise.
        numbers: of the standardisations.
    """
    found: dict[str, list[str]] = {}
    above = {one.identity: one for number in numbers
             for one in Assay.objects.filter(rests_on__contains=f'"{number}"').exclude(stage=VOID)
             if number in rests_on(one)}
    for identity, assay in sorted(above.items()):
        for rule in _rules(assay.content, solution, numbers):
            found.setdefault(rule, []).append(identity)
    return tuple((rule, tuple(dict.fromkeys(ones))) for rule, ones in sorted(found.items()))


def _rules(heading: dict[str, Any], solution: Solution, numbers: Sequence[str]) -> Iterator[str]:
    for role in ROLES:
        table = heading.get(role, {})
        paths = table.get("worksheets", ()) if table.get("lot") == solution.identity else ()
        if len(paths) > 1:
            yield table.get("in_force", LAST)
        elif paths:
            named = Assay.objects.filter(path=paths[0], identity__in=list(numbers))
            yield from named.values_list("identity", flat=True)
