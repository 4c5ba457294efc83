"""One option in full: propagated as an evaluation would, with its budget, risks and steps."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from assaywright.assay.assemble import assemble
from assaywright.assay.budget import budget_lines
from assaywright.assay.decide import decide
from assaywright.assay.evaluate import COVERAGE_PROBABILITY
from assaywright.assay.plan.carbonate import carbonate_beside
from assaywright.assay.plan.grid import models_of
from assaywright.assay.plan.indicators import Suitable, suitable_indicators, with_indicator
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.ranking import Ranked
from assaywright.assay.plan.result import Influence, Option, OtherIndicator, Risks
from assaywright.assay.plan.setup import Setup
from assaywright.assay.plan.steps import steps_of
from assaywright.assay.plan.strength import option_remarks
from assaywright.assay.plan.ways import Search
from assaywright.assay.plan.words import gathered
from assaywright.assay.result import BudgetLine, Result
from assaywright.metrology.batch import BatchInput, evaluate_batch
from assaywright.metrology.estimate import combine, influence, influence_key
from assaywright.metrology.gum import coverage_factor, evaluate_gum
from assaywright.metrology.model import Model
from assaywright.metrology.remarks import Severity
from assaywright.metrology.rounding import report

ENDPOINT = "δV_e"  # the input of the model that holds the titration error


@dataclass(frozen=True, slots=True)
class Detailed:
    """A setup propagated: strength of the titrant [mol/L], result, budget, and the budget by object.

    ``further`` are the results of the same titrations besides; ``model`` is that of the first.
    """

    model: Model
    strength_mol_per_L: float
    result: Result
    budget: tuple[BudgetLine, ...]
    influences: tuple[Influence, ...]
    further: tuple[Result, ...] = ()

    @property
    def expanded(self) -> float:
        """Expanded uncertainty [unit of the result]."""
        return self.result.expanded_uncertainty


def detailed(setup: Setup, search: Search) -> Detailed:
    """Return the result expected of a setup, by the law of propagation with uncertain numbers."""
    model, *others = models_of(search.expect(setup), setup, search.upstream)
    result, budget = _result(model)
    strength = model.inputs["c_t"].estimate.value if "c_t" in model.inputs else search.nominal
    return Detailed(model, strength, result, budget, gathered(budget, setup), tuple(_result(one)[0] for one in others))


def _result(model: Model) -> tuple[Result, tuple[BudgetLine, ...]]:
    """Return the result of a model with its budget."""
    propagation = evaluate_gum(model)
    estimate = propagation.estimate
    factor = coverage_factor(estimate.degrees_of_freedom, COVERAGE_PROBABILITY)
    texts = report(estimate.value, factor * estimate.standard_uncertainty)
    return Result(model.label, estimate, factor, COVERAGE_PROBABILITY, *texts), budget_lines(model, propagation)


def option_of(setup: Setup, place: int, number: int, order: Ranked, search: Search, product: Product | None,
              wanted: float | None = None) -> Option:
    """Return one of the ranked combinations in full.

    Arguments:
        setup: with its determinations.
        place: in the ranking of all.
        number: among those shown.
        order: the ranking.
        search: for the worksheet expected.
        product: for its limits and lots; None for a standardisation.
        wanted: expanded uncertainty [unit of the result]; None where none is.
    """
    found = detailed(setup, search)
    width = product.width if product is not None else None
    return Option(
        number, setup, found.result, found.budget, found.influences, order.use(place), bool(order.reaches[place]),
        2 * found.expanded / width if width else None, _risks(found.result, product),
        setup.used_mL, steps_of(setup, setup.determinations),
        tuple(_other_indicators(setup, found, search, wanted, product)), found.further,
        tuple(option_remarks(setup, product)), search.held_of(setup),
    )


def _other_indicators(setup: Setup, found: Detailed, search: Search, wanted: float | None,
                      product: Product | None) -> Iterator[OtherIndicator]:
    """Yield the indicators that would do in place of the method's own, each with the uncertainty it would give."""
    carbonate = carbonate_beside(product, setup.method) if product is not None else 0.0
    strength, titre = round(found.strength_mol_per_L, 2), round(setup.titre_mL, 2)
    for other in suitable_indicators(setup.method, strength, carbonate, titre):
        expanded = expanded_with(other, setup, found, search)
        yield OtherIndicator(other.name, other.colours, other.error_mL, other.uncertainty_mL,
                             expanded / abs(found.result.estimate.value), wanted is None or expanded <= wanted)


def expanded_with(other: Suitable, setup: Setup, found: Detailed, search: Search) -> float:
    """Return the expanded uncertainty with another indicator [unit of the result].

    Only what the endpoint leaves open changes: its own share goes, that of the other comes; what the titrant's
    standardisation has from the same endpoint stays.

    Arguments:
        other: the indicator.
        setup: with its determinations.
        found: the setup propagated with the method's own indicator.
        search: for the worksheet expected.
    """
    model = found.model
    if ENDPOINT not in model.inputs:
        return detailed(replace(setup, method=with_indicator(setup.method, other)), search).expanded
    spread = math.hypot(other.error_mL, other.uncertainty_mL)
    mine = influence(influence_key("endpoint", other.name, "computed", "titration error"), 0.0, spread, "mL")
    inputs = {name: BatchInput(given.estimate.value) for name, given in model.inputs.items()}
    inputs[ENDPOINT] = BatchInput(0.0, tuple((one, 1.0) for one in mine.contributions))
    slope = float(next(iter(evaluate_batch(model.equation, inputs, 1).contributions.values()))[0])
    estimate, own = found.result.estimate, model.inputs[ENDPOINT].estimate
    changed = combine(estimate.unit, [(1.0, estimate), (-slope, replace(own, value=0.0)), (slope, mine)])
    return coverage_factor(changed.degrees_of_freedom, COVERAGE_PROBABILITY) * changed.standard_uncertainty


def _risks(result: Result, product: Product | None) -> Risks | None:
    """Return the global risks for the product's own lots by its own rule of decision."""
    if product is None or product.specification.prior is None:
        return None
    decision = decide(result, product.specification)
    if decision is None or decision.global_consumer_risk is None or decision.global_producer_risk is None:
        return None
    return Risks(decision.global_consumer_risk, decision.global_producer_risk)


def irregularities_of(setup: Setup, search: Search) -> Iterator[str]:
    """Yield what the worksheet of a setup would be asked about, in sentences: a law of expansion not known, a date."""
    for one in assemble(search.expect(setup), setup.method, search.upstream).remarks:
        if one.severity is not Severity.NOTE and one.what not in search.asked:
            yield f"{one.what[0].upper()}{one.what[1:]}: {one.remedy}."
