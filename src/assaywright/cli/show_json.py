"""An outcome as JSON for programs: every number with its unit, infinities as null."""

import json
import math
from typing import Any

from assaywright.assay.evaluate_lot import CharacteristicOutcome, LotOutcome
from assaywright.assay.result import (
    BudgetLine,
    ChainLink,
    ConformityDecision,
    DeterminationResult,
    MonteCarloComparison,
    Outcome,
    ReplicateStatistics,
    Result,
)
from assaywright.metrology.remarks import Remark


def json_text(content: object, *, plain: bool) -> str:
    """Return content as JSON.

    Arguments:
        content: dictionaries, lists, texts and numbers.
        plain: whether only ASCII characters may be printed.
    """
    return json.dumps(content, ensure_ascii=plain, allow_nan=False, indent=2)


def outcome_record(outcome: Outcome) -> dict[str, Any]:
    """Return a worksheet's outcome."""
    sheet = outcome.worksheet
    return {
        "kind": "worksheet",
        "worksheet": {
            "id": sheet.identity,
            "kind": sheet.kind,
            "title": sheet.title,
            "path": sheet.path,
            "digest": sheet.digest,
            "performed": sheet.performed.isoformat(),
            "analyst": sheet.analyst,
            "reviewer": sheet.reviewer,
            "product": sheet.sample.product if sheet.sample else sheet.titrant.name,
            "lot": sheet.sample.lot if sheet.sample else sheet.titrant.lot,
        },
        "method": {"name": sheet.method, "title": outcome.method_title, "edition": outcome.method_edition,
                   "sha256": outcome.method_sha256},
        "result": _result(outcome.result),
        "other_results": [_result(one) for one in outcome.results[1:]],
        "determinations": [_determination(one) for one in outcome.determinations],
        "statistics": _statistics(outcome.statistics),
        "budget": [_budget_line(one) for one in outcome.budget],
        "remarks": [_remark(one) for one in outcome.remarks],
        "decision": _decision(outcome.decision),
        "chain": _link(outcome.chain),
        "monte_carlo": _simulation(outcome.monte_carlo),
        "releasable": outcome.releasable,
    }


def lot_record(outcome: LotOutcome) -> dict[str, Any]:
    """Return a lot's outcome, with the outcomes of its worksheets."""
    lot = outcome.lot
    return {
        "kind": "lot",
        "lot": {"id": lot.identity, "product": lot.product, "maker": lot.maker, "path": lot.path, "digest": lot.digest},
        "characteristics": [_characteristic(one) for one in outcome.characteristics],
        "worksheets": [outcome_record(one) for one in outcome.outcomes],
        "remarks": [_remark(one) for one in outcome.remarks],
        "releasable": outcome.releasable,
    }


def _characteristic(one: CharacteristicOutcome) -> dict[str, Any]:
    entered = one.characteristic
    value = None if entered.value is None else {"value": float(entered.value.value), "unit": entered.value.unit,
                                                "text": entered.value.text, "less_than": entered.less_than}
    return {
        "name": one.name,
        "worksheet": one.outcome.worksheet.identity if one.outcome else None,
        "result": _result(one.result) if one.result else None,
        "without_uncertainty_because": one.no_uncertainty or None,
        "entered": value,
        "found": entered.text or None,
        "source": entered.source or None,
        "accredited": entered.accredited,
        "decision": _decision(one.decision),
    }


def _finite(number: float | None) -> float | None:
    return number if number is not None and math.isfinite(number) else None


def _result(one: Result) -> dict[str, Any]:
    return {
        "measurand": one.measurand,
        "value": one.estimate.value,
        "unit": one.estimate.unit,
        "standard_uncertainty": one.estimate.standard_uncertainty,
        "expanded_uncertainty": one.expanded_uncertainty,
        "coverage_factor": one.coverage_factor,
        "coverage_probability": one.coverage_probability,
        "degrees_of_freedom": _finite(one.estimate.degrees_of_freedom),
        "value_text": one.value_text,
        "uncertainty_text": one.uncertainty_text,
        "reference_temperature_degC": one.reference_temperature_degC,
        "nominal": one.nominal,
        "factor": one.factor,
    }


def _determination(one: DeterminationResult) -> dict[str, Any]:
    return {"label": one.label, "titre_mL": one.titre_mL, "titre_g": one.titre_g, "value": one.value, "unit": one.unit,
            "analyst": one.analyst, "excluded": one.excluded or None}


def _statistics(one: ReplicateStatistics) -> dict[str, Any]:
    return {
        "number": one.number,
        "mean": one.mean,
        "standard_deviation": one.standard_deviation,
        "relative_standard_deviation_percent": _relative_percent(one),
        "range": one.range,
        "repeatability_source": one.repeatability_source,
        "repeatability_of_mean": one.repeatability_of_mean,
        "repeatability_degrees_of_freedom": _finite(one.repeatability_degrees_of_freedom),
        "accepted": one.accepted,
        "acceptance": list(one.acceptance),
        "outlier_tests": list(one.outlier_tests),
    }


def _relative_percent(one: ReplicateStatistics) -> float | None:
    return 100 * one.standard_deviation / abs(one.mean) if one.standard_deviation is not None and one.mean else None


def _budget_line(one: BudgetLine) -> dict[str, Any]:
    return {
        "influence": one.influence,
        "key": one.key,
        "contribution": one.contribution,
        "share": one.share,
        "degrees_of_freedom": _finite(one.degrees_of_freedom),
        "distribution": one.distribution,
        "sensitivity": one.sensitivity,
        "standard_uncertainty": one.standard_uncertainty,
        "unit": one.unit or None,
    }


def _remark(one: Remark) -> dict[str, Any]:
    return {"kind": one.kind, "severity": one.severity.value, "where": one.where, "what": one.what,
            "remedy": one.remedy}


def _decision(one: ConformityDecision | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "decision": one.decision,
        "rule": one.rule,
        "compared": one.compared,
        "limits": one.limits,
        "sentence": one.sentence,
        "conformance_probability": one.conformance_probability,
        "prior": one.prior or None,
        "global_consumer_risk": one.global_consumer_risk,
        "global_producer_risk": one.global_producer_risk,
    }


def _link(one: ChainLink) -> dict[str, Any]:
    return {"kind": one.kind, "identity": one.identity, "statement": one.statement, "certificate": one.certificate,
            "valid": one.valid, "rests_on": [_link(below) for below in one.rests_on]}


def _simulation(one: MonteCarloComparison | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {
        "trials": one.trials,
        "seed": one.seed,
        "mean": one.mean,
        "standard_uncertainty": one.standard_uncertainty,
        "interval": list(one.interval),
        "numerical_tolerance": one.numerical_tolerance,
        "simulation_error": one.simulation_error,
        "differences": list(one.differences),
        "agrees": one.agrees,
        "reason": one.reason or None,
    }
