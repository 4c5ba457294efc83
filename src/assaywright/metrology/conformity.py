"""Does the value conform to its limits? Decision rules by name, each with the risk it leaves.

Limits are exact decimals and never rounded. The value is rounded only where the rule is the rounding method. A rule
that keeps a guard band or a probability has a third answer: between the acceptance limit and proven non-conformity
nothing is proven either way, and the lot is not accepted.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from assaywright.metrology.conformity_risk import (
    GlobalRisks,
    Limits,
    NormalPrior,
    distribution_quantile,
    global_risks,
    non_conformance_probability,
    posterior,
)
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.rounding import ROUNDING_RULES, decimal_of_result, plain, round_to_step

CONFORMS = "conforms"
DOES_NOT_CONFORM = "does not conform"
NOT_PROVEN = "conformity not proven"


@dataclass(frozen=True, slots=True)
class MeasuredValue:
    """A value that a decision is made on.

    Fields:
        value: [unit]
        standard_uncertainty: zero or more [unit].
        degrees_of_freedom: of it, above zero.
        coverage_factor: k of the expanded uncertainty, above zero.
    """

    value: Decimal | float
    standard_uncertainty: float
    degrees_of_freedom: float = math.inf
    coverage_factor: float = 2.0

    def __post_init__(self) -> None:
        if not (self.standard_uncertainty >= 0 and math.isfinite(self.standard_uncertainty)):
            raise Refusal(f"a standard uncertainty of {self.standard_uncertainty}", remedy="give zero or more")
        if not (self.degrees_of_freedom > 0 and self.coverage_factor > 0 and math.isfinite(self.coverage_factor)):
            raise Refusal("degrees of freedom or a coverage factor not above zero", remedy="give numbers above zero")

    @property
    def expanded_uncertainty(self) -> float:
        """Expanded uncertainty, U = k u [unit]."""
        return self.coverage_factor * self.standard_uncertainty


@dataclass(frozen=True, slots=True)
class DecisionRule:
    """A decision rule with what it needs.

    Fields:
        name: one of "simple acceptance", "guard band", "rounding method", "absolute method" and
            "conformance probability".
        guard_ratio: r of the guard band w = r U; negative for guarded rejection.
        step: rounding interval of the rounding method [unit].
        rounding: one of "half up" and "half even", for the rounding method.
        probability: least conformance probability, between 0.5 and 1.
    """

    name: str = "simple acceptance"
    guard_ratio: float | None = None
    step: Decimal | None = None
    rounding: str = "half up"
    probability: float | None = None

    def __post_init__(self) -> None:
        if self.name not in DECISION_RULES:
            raise Refusal(f"the decision rule '{self.name}' is not known",
                          remedy=f"use one of {', '.join(DECISION_RULES)}")
        if (self.name == "guard band") != (self.guard_ratio is not None):
            raise Refusal("a guard band ratio belongs to the rule 'guard band' and to it alone",
                          remedy="give r with it")
        if (self.name == "rounding method") != (self.step is not None) or self.rounding not in ROUNDING_RULES:
            raise Refusal("a rounding step belongs to the rule 'rounding method' and to it alone",
                          remedy=f"give the step with it, and {' or '.join(ROUNDING_RULES)}")
        if (self.name == "conformance probability") != (self.probability is not None):
            raise Refusal("a least probability belongs to the rule 'conformance probability' and to it alone",
                          remedy="give the probability with it")
        if self.probability is not None and not 0.5 < self.probability < 1:
            raise Refusal(f"a least conformance probability of {self.probability}", remedy="give 0.5 to 1")
        if self.guard_ratio is not None and not math.isfinite(self.guard_ratio):
            raise Refusal(f"a guard band ratio of {self.guard_ratio}", remedy="give a finite number")

    def __str__(self) -> str:
        if self.guard_ratio is not None:
            return f"guard band w = {self.guard_ratio:g} U"
        if self.step is not None:
            return f"rounding method, to {plain(self.step)}, {self.rounding}"
        return self.name if self.probability is None else f"conformance probability of at least {self.probability:g}"


@dataclass(frozen=True, slots=True)
class ConformityOutcome:
    """A decision with the risk it leaves.

    Fields:
        rule: the rule in words, as it goes on the certificate.
        decision: "conforms", "does not conform" or "conformity not proven".
        compared: the figure that was compared: rounded by the rounding method, else unrounded [unit].
        limits: the tolerance limits [unit].
        acceptance: limits between which a measured value is accepted [unit]; ``None`` when no value would be. By the
            rounding method these are half a step beyond, where a tie goes as its rounding says.
        conformance_probability: probability that the quantity lies within the tolerance limits.
        prior: the prior that this probability supposes.
        specific_consumer_risk: probability that an accepted lot does not conform; ``None`` unless it is accepted.
        specific_producer_risk: probability that a lot not accepted conforms; ``None`` when it is accepted.
        global_risks: ``None`` without a normal prior or without uncertainty.
    """

    rule: str
    decision: str
    compared: Decimal
    limits: Limits
    acceptance: Limits | None
    conformance_probability: float
    prior: str
    specific_consumer_risk: float | None
    specific_producer_risk: float | None
    global_risks: GlobalRisks | None

    @property
    def accepted(self) -> bool:
        """Whether the lot is accepted: only when it conforms by the rule."""
        return self.decision == CONFORMS


def decide(
    measured: MeasuredValue, limits: Limits, rule: DecisionRule | None = None, *, prior: NormalPrior | None = None
) -> ConformityOutcome:
    """Decide on conformity by a named rule; without one, by simple acceptance.

    Arguments:
        measured: value with its uncertainty [unit].
        limits: tolerance limits [unit].
        rule: see :class:`DecisionRule`.
        prior: when given, the probability is that of the posterior, and global risks are added [unit].

    Source: JCGM 106:2012, clauses 7 to 9; ASTM E29 for the rounding and the absolute method (from memory).
    """
    rule = rule or DecisionRule()
    case = _Case(measured, limits, rule, prior)
    compared, acceptance, decision = DECISION_RULES[rule.name](case)
    risk = case.risk
    accepted = decision == CONFORMS
    overall = None
    if prior is not None and acceptance is not None and measured.standard_uncertainty > 0:
        overall = global_risks(limits, acceptance, prior, measured.standard_uncertainty)
    return ConformityOutcome(
        rule=str(rule),
        decision=decision,
        compared=compared,
        limits=limits,
        acceptance=acceptance,
        conformance_probability=1 - risk,
        prior="flat prior" if prior is None else str(prior),
        specific_consumer_risk=risk if accepted else None,
        specific_producer_risk=None if accepted else 1 - risk,
        global_risks=overall,
    )


@dataclass(frozen=True, slots=True)
class _Case:
    """What a decision rule is put before."""

    measured: MeasuredValue
    limits: Limits
    rule: DecisionRule
    prior: NormalPrior | None

    @property
    def value(self) -> Decimal:
        """The unrounded value [unit]."""
        return decimal_of_result(self.measured.value)

    @property
    def risk(self) -> float:
        """Probability that the quantity lies outside its limits."""
        measured = self.measured
        mean, scale, freedom = posterior(float(measured.value), measured.standard_uncertainty,
                                         measured.degrees_of_freedom, self.prior)
        return non_conformance_probability(mean, scale, self.limits, freedom)


_Judgement = tuple[Decimal, Limits | None, str]


def _as_measured(case: _Case) -> _Judgement:
    """Compare the unrounded value: simple acceptance (JCGM 106:2012, 8.2) and the absolute method (ASTM E29)."""
    return case.value, case.limits, CONFORMS if case.limits.contain(case.value) else DOES_NOT_CONFORM


def _with_guard_band(case: _Case) -> _Judgement:
    """Compare with limits moved inwards by w = r U, outwards when r is negative (JCGM 106:2012, 8.3)."""
    width = decimal_of_result((case.rule.guard_ratio or 0.0) * case.measured.expanded_uncertainty)
    acceptance = case.limits.moved_inwards(width)
    if acceptance is not None and acceptance.contain(case.value):
        return case.value, acceptance, CONFORMS
    doubtful = case.limits.moved_inwards(-width) if width > 0 else None
    decision = NOT_PROVEN if doubtful is not None and doubtful.contain(case.value) else DOES_NOT_CONFORM
    return case.value, acceptance, decision


def _rounded(case: _Case) -> _Judgement:
    """Round the value, then compare (ASTM E29, rounding method; USP General Notices 7.20)."""
    limits, step = case.limits, case.rule.step or Decimal(1)
    value = round_to_step(case.value, step, case.rule.rounding)
    lower = None if limits.lower is None else math.ceil(Fraction(limits.lower) / Fraction(step)) * step - step / 2
    upper = None if limits.upper is None else math.floor(Fraction(limits.upper) / Fraction(step)) * step + step / 2
    empty = lower is not None and upper is not None and lower >= upper
    return value, None if empty else Limits(lower, upper), CONFORMS if limits.contain(value) else DOES_NOT_CONFORM


def _by_probability(case: _Case) -> _Judgement:
    """Ask for a least conformance probability (JCGM 106:2012, clauses 7 and 8.3.2)."""
    least, risk = case.rule.probability or 1.0, case.risk
    decision = CONFORMS if risk <= 1 - least else DOES_NOT_CONFORM if risk >= least else NOT_PROVEN
    return case.value, _acceptance_by_probability(case, least), decision


DECISION_RULES: dict[str, Callable[[_Case], _Judgement]] = {
    "simple acceptance": _as_measured,
    "guard band": _with_guard_band,
    "rounding method": _rounded,
    "absolute method": _as_measured,
    "conformance probability": _by_probability,
}


def _acceptance_by_probability(case: _Case, least: float) -> Limits | None:
    """Return the measured values from which on the conformance probability is high enough.

    The limits for the posterior mean are moved inwards until what lies outside is 1 - p, then taken back from posterior
    mean to measured value.
    """
    from scipy.optimize import brentq

    limits, u = case.limits, case.measured.standard_uncertainty
    if u == 0:
        return limits
    at_zero, scale, freedom = posterior(0.0, u, case.measured.degrees_of_freedom, case.prior)
    weight = (scale / u) ** 2
    lower, upper = limits.as_floats
    width = distribution_quantile(least, freedom) * scale
    if math.isfinite(lower) and math.isfinite(upper):
        middle = (lower + upper) / 2
        if non_conformance_probability(middle, scale, limits, freedom) > 1 - least:
            return None
        width = upper - float(brentq(
            lambda mean: non_conformance_probability(mean, scale, limits, freedom) - (1 - least), middle, upper,
            xtol=1e-12 * scale))
    ends = [None if math.isinf(edge) else decimal_of_result((edge - at_zero) / weight)
            for edge in (lower + width, upper - width)]
    return Limits(*ends)
