"""The budget: which influence adds what to the result's variance, largest first."""

from assaywright.assay.result import BudgetLine
from assaywright.metrology.gum import Propagation
from assaywright.metrology.model import Model


def budget_lines(model: Model, propagation: Propagation) -> tuple[BudgetLine, ...]:
    """Return a result's budget.

    An influence that is the whole uncertainty of one input, and of no other, shows that input's sensitivity and
    standard uncertainty; of a shared or composite one only the contribution has a meaning.

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
    return tuple(sorted(lines, key=lambda line: -abs(line.contribution)))
