"""The budget: which influence adds what to the result's variance, largest first."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace

from assaywright.assay.corrections.delivered_volume import whole_burette
from assaywright.assay.result import BudgetLine
from assaywright.assay.stated import UNSTATED
from assaywright.metrology.gum import Propagation
from assaywright.metrology.model import Model


def budget_lines(model: Model, propagation: Propagation) -> tuple[BudgetLine, ...]:
    """Return a result's budget.

    An influence that is the whole uncertainty of one input, and of no other, shows that input's sensitivity and
    standard uncertainty; of a shared or composite one only the contribution has a meaning. A burette's errors along
    its scale stand together in one line.

    Source: JCGM 100:2008, 5.1.3 and H.1.7.
    """
    variance = propagation.estimate.variance
    users: dict[str, list[str]] = {}
    for name, given in model.inputs.items():
        for part in given.estimate.contributions:
            users.setdefault(part.key, []).append(name)
    lines = []
    for part in propagation.estimate.contributions:
        names = users.get(part.key, [])
        alone = len(names) == 1 and len(model.inputs[names[0]].estimate.contributions) == 1
        estimate = model.inputs[names[0]].estimate if alone else None
        lines.append(
            BudgetLine(
                part.label or part.key,
                part.key,
                part.amount,
                part.amount**2 / variance if variance else 0.0,
                part.degrees_of_freedom,
                part.distribution,
                propagation.sensitivities.get(names[0]) if alone else None,
                estimate.standard_uncertainty if estimate else None,
                estimate.unit if estimate else "",
            )
        )
    found = sorted(_burettes_together(lines), key=lambda line: -abs(line.contribution))
    return (*found, *_unstated(model))


def _unstated(model: Model) -> Iterator[BudgetLine]:
    """Yield a line of nothing for each input that counts as exact only because nobody stated its uncertainty."""
    for name, given in model.inputs.items():
        if given.label.endswith(UNSTATED) and not given.estimate.contributions:
            yield BudgetLine(given.label, name, 0.0, 0.0, math.inf, "normal", None, 0.0, given.estimate.unit)


def _burettes_together(lines: Iterable[BudgetLine]) -> Iterator[BudgetLine]:
    """Yield the lines, those of one burette's scale as one: independent, so their squares add."""
    scales: dict[str, list[BudgetLine]] = {}
    for line in lines:
        if (burette := whole_burette(line.key)) == line.key:
            yield line
        else:
            scales.setdefault(burette, []).append(line)
    for burette, parts in scales.items():
        yield replace(
            parts[0],
            influence=whole_burette(parts[0].influence),
            key=burette,
            contribution=math.hypot(*(part.contribution for part in parts)),
            share=math.fsum(part.share for part in parts),
            sensitivity=None,
            standard_uncertainty=None,
        )
