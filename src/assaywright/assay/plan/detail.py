"""One option in full: propagated as an evaluation would, with its budget, risks and steps."""

from collections.abc import Iterator
from dataclasses import dataclass

from assaywright.assay.assemble import assemble
from assaywright.assay.budget import budget_lines
from assaywright.assay.decide import decide
from assaywright.assay.evaluate import COVERAGE_PROBABILITY
from assaywright.assay.plan.grid import model_of
from assaywright.assay.plan.indicators import other_indicators
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.ranking import Ranked
from assaywright.assay.plan.result import Influence, Option, Risks
from assaywright.assay.plan.setup import Setup
from assaywright.assay.plan.steps import steps_of
from assaywright.assay.plan.ways import Search
from assaywright.assay.plan.words import gathered
from assaywright.assay.result import BudgetLine, Result
from assaywright.metrology.gum import coverage_factor, evaluate_gum
from assaywright.metrology.remarks import Severity
from assaywright.metrology.rounding import report


@dataclass(frozen=True, slots=True)
class Detailed:
    """A setup propagated: strength of the titrant [mol/L], result, budget, and the budget by object."""

    strength_mol_per_L: float
    result: Result
    budget: tuple[BudgetLine, ...]
    influences: tuple[Influence, ...]

    @property
    def expanded(self) -> float:
        """Expanded uncertainty [unit of the result]."""
        return self.result.expanded_uncertainty


def detailed(setup: Setup, search: Search) -> Detailed:
    """Return the result expected of a setup, by the law of propagation with uncertain numbers."""
    model = model_of(search.expect(setup), setup, search.upstream)
    propagation = evaluate_gum(model)
    estimate = propagation.estimate
    factor = coverage_factor(estimate.degrees_of_freedom, COVERAGE_PROBABILITY)
    texts = report(estimate.value, factor * estimate.standard_uncertainty)
    result = Result(model.label, estimate, factor, COVERAGE_PROBABILITY, *texts)
    budget = budget_lines(model, propagation)
    strength = model.inputs["c_t"].estimate.value if "c_t" in model.inputs else search.nominal
    return Detailed(strength, result, budget, gathered(budget))


def option_of(setup: Setup, place: int, number: int, order: Ranked, search: Search, product: Product | None) -> Option:
    """Return one of the ranked combinations in full.

    Arguments:
        setup: with its determinations.
        place: in the ranking of all.
        number: among those shown.
        order: the ranking.
        search: for the worksheet expected.
        product: for its limits and lots; None for a standardisation.
    """
    found = detailed(setup, search)
    width = product.width if product is not None else None
    return Option(
        number, setup, found.result, found.budget, found.influences, order.use(place), bool(order.reaches[place]),
        2 * found.expanded / width if width else None, _risks(found.result, product),
        setup.titre_mL * setup.determinations, steps_of(setup.method, setup.way, setup.determinations),
        other_indicators(setup.method, round(found.strength_mol_per_L, 2)),
    )


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
        if one.severity is not Severity.NOTE:
            yield f"{one.what[0].upper()}{one.what[1:]}: {one.remedy}."
