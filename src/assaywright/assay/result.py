"""What an evaluation concludes: the result with its uncertainty, and everything that travels with it."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assaywright.metrology.estimate import Estimate
from assaywright.metrology.remarks import Remark

if TYPE_CHECKING:
    from assaywright.assay.observations import Worksheet
    from assaywright.metrology.model import Model
    from assaywright.metrology.working import Working


@dataclass(frozen=True, slots=True)
class Result:
    """A measurement result.

    Fields:
        measurand: what was measured, in words ("sodium hydroxide, total alkali as NaOH").
        estimate: value, unit and contributions by permanent key; from it standard uncertainty and degrees of freedom.
        coverage_factor: k.
        coverage_probability: 0.95 unless a fixed k was asked for, then None.
        nominal: nominal concentration [unit], for a titrant; the factor is value over nominal.
        reference_temperature_degC: temperature that a content by volume refers to [°C].
        value_text, uncertainty_text: value and expanded uncertainty rounded once, for print.
    """

    measurand: str
    estimate: Estimate
    coverage_factor: float
    coverage_probability: float | None
    value_text: str
    uncertainty_text: str
    nominal: float | None = None
    reference_temperature_degC: float = 20.0

    @property
    def factor(self) -> float | None:
        """Factor f = actual over nominal concentration [1]; None when no nominal one is known."""
        return self.estimate.value / self.nominal if self.nominal else None

    @property
    def expanded_uncertainty(self) -> float:
        """Expanded uncertainty U = k u [unit]."""
        return self.coverage_factor * self.estimate.standard_uncertainty


@dataclass(frozen=True, slots=True)
class DeterminationResult:
    """What one determination gave.

    Fields:
        label: as in the worksheet.
        titre_mL: titrant delivered, at the content's reference temperature and less the blank [mL]; None by mass.
        titre_g: titrant delivered by mass [g]; None by volume.
        value: the determination's own value [unit of the result].
        analyst: who titrated.
        excluded: reason, when left out of the mean.
    """

    label: str
    value: float
    unit: str
    titre_mL: float | None = None
    titre_g: float | None = None
    analyst: str = ""
    excluded: str = ""


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One line of the budget.

    Fields:
        influence: in words.
        key: permanent key.
        contribution: signed contribution to the result's standard uncertainty [unit of the result].
        share: part of the variance, 0 to 1.
        degrees_of_freedom, distribution: of the influence.
        sensitivity: partial derivative [result unit per input unit], where the influence is one input's only.
        standard_uncertainty: of that input [its unit].
        unit: of that input.
    """

    influence: str
    key: str
    contribution: float
    share: float
    degrees_of_freedom: float
    distribution: str
    sensitivity: float | None = None
    standard_uncertainty: float | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class ReplicateStatistics:
    """Scatter of the determinations that count.

    Fields:
        repeatability_source: "pooled" or "observed", and which standard deviation it was.
        repeatability_of_mean: standard uncertainty of the mean from repeatability [unit of the result].
        acceptance: sentences of the acceptance rules applied, with ``accepted``.
        outlier_tests: sentences, each with its power where that is small.
    """

    number: int
    mean: float
    standard_deviation: float | None
    relative_standard_deviation_percent: float | None
    range: float | None
    repeatability_source: str
    repeatability_of_mean: float
    repeatability_degrees_of_freedom: float
    accepted: bool | None
    acceptance: tuple[str, ...] = ()
    outlier_tests: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ConformityDecision:
    """Whether a characteristic conforms, by which rule, and at what risk.

    Fields:
        decision: "conforms", "does not conform" or "not decided".
        rule: the decision rule by name, as printed on the certificate.
        compared: the value that was compared, as text (rounded or not, as the rule wants).
        limits: as text.
        conformance_probability: and the prior it rests on, in words; None where it cannot be given.
        global_consumer_risk, global_producer_risk: JCGM 106 clause 9; None where no prior of the product is stated.
        sentence: the statement of conformity in one sentence.
    """

    decision: str
    rule: str
    compared: str
    limits: str
    sentence: str
    conformance_probability: float | None = None
    prior: str = ""
    global_consumer_risk: float | None = None
    global_producer_risk: float | None = None


@dataclass(frozen=True, slots=True)
class ChainLink:
    """One node of the traceability chain: what it is, what it says, and what it rests on.

    Fields:
        kind: "result", "titrant", "reference material", "vessel", "balance", "thermometer", "table" or "repeatability".
        identity: number or name.
        statement: value with uncertainty, or what is taken from it.
        certificate: certificate or table edition.
        valid: in words, validity at the time of the determination.
        rests_on: the nodes below.
    """

    kind: str
    identity: str
    statement: str
    certificate: str = ""
    valid: str = ""
    rests_on: tuple["ChainLink", ...] = ()


@dataclass(frozen=True, slots=True)
class MonteCarloComparison:
    """The simulated distribution beside the law of propagation (JCGM 101:2008, clause 8).

    Fields:
        numerical_tolerance: of the standard uncertainty stated to two digits [unit of the result].
        simulation_error: standard error of an end of the simulated interval, from the number of trials [same unit].
        differences: how far the two intervals' lower and upper ends lie apart [same unit].
        agrees: both differences within the tolerance, with twice the simulation's own error allowed for.
        reason: why not, where they do not agree.
    """

    trials: int
    seed: int
    mean: float
    standard_uncertainty: float
    interval: tuple[float, float]
    numerical_tolerance: float
    simulation_error: float
    differences: tuple[float, float]
    agrees: bool
    reason: str


@dataclass(frozen=True, slots=True)
class Outcome:
    """Everything an evaluation concludes from one worksheet.

    Fields:
        results: the first is the worksheet's result, others are further characteristics of the same titrations.
        models: the measurement models of the results, in their order.
        method_sha256: hash of the method file.
        releasable: true when no remark holds it back.
        further_values: of each result after the first, what each determination gave [unit of that result].
    """

    worksheet: "Worksheet"
    method_title: str
    method_edition: str
    results: tuple[Result, ...]
    determinations: tuple[DeterminationResult, ...]
    budget: tuple[BudgetLine, ...]
    statistics: ReplicateStatistics
    remarks: tuple[Remark, ...]
    chain: ChainLink
    models: "tuple[Model, ...]"
    decision: ConformityDecision | None = None
    monte_carlo: MonteCarloComparison | None = None
    method_sha256: str = ""
    further_values: tuple[tuple[float, ...], ...] = ()

    @property
    def working(self) -> "Working":
        """The working of the main result, written out when it is asked for."""
        return self.workings[0]

    @property
    def workings(self) -> "tuple[Working, ...]":
        """The workings of all results, in their order."""
        from assaywright.metrology.working import write_working

        titles = [self.worksheet.title or self.method_title, *(one.measurand for one in self.results[1:])]
        return tuple(write_working(model, title) for model, title in zip(self.models, titles, strict=True))

    @property
    def result(self) -> Result:
        """The worksheet's main result."""
        return self.results[0]

    @property
    def releasable(self) -> bool:
        """Whether nothing holds the result back from release."""
        return not any(remark.holds for remark in self.remarks)
