"""A titration curve as JSON for programs: volumes in mL, what is not a number as null."""

import math
from typing import Any

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array
from assaywright.chemistry.indicator import Ranking, VisualEndpoint
from assaywright.chemistry.indicator_pair import Cancellation
from assaywright.cli.curve import Told
from assaywright.cli.curve_text import hidden_words


def curve_record(told: Told) -> dict[str, Any]:
    """Return all that is known of a curve."""
    followed, curve = told.followed, told.followed.curve
    points = [
        {"volume_mL": _finite(float(np.ravel(one.volume_mL)[0])), "titrated": one.name, "distinct": distinct,
         "value": _finite(float(np.interp(np.ravel(one.volume_mL)[0], curve.volume_mL, curve.values)))}
        for one, distinct in zip(curve.equivalence_points, curve.distinct, strict=True)
    ]
    return {
        "title": followed.title,
        "kind": followed.system.kind,
        "quantity": curve.quantity,
        "followed": curve.followed,
        "temperature_degC": curve.temperature_degC,
        "volume_mL": _listed(curve.volume_mL),
        curve.quantity: _listed(curve.values),
        "first_derivative": _listed(curve.first_derivative),
        "second_derivative": _listed(curve.second_derivative),
        "ionic_strength_mol_per_L": _listed(curve.ionic_strength_mol_per_L),
        "beyond_limit": [bool(one) for one in curve.beyond_limit],
        "equivalence_points_mL": _listed(curve.equivalence_points_mL),
        "equivalence_points": points,
        "buffer_regions": [
            {"name": one.name, "step": one.step, "from_mL": _finite(float(one.from_mL)),
             "to_mL": _finite(float(one.to_mL))} for one in curve.buffer_regions
        ],
        "fractions": {name: [_listed(form) for form in forms] for name, forms in curve.fractions.items()},
        "indicators": [_ranking(one) for one in followed.rankings],
        "hidden": list(hidden_words(followed)),
        "method_endpoints": [
            {"endpoint": one.endpoint, "indicator": one.indicator, "verdict": one.verdict,
             "titration_error_mL": one.error_mL, "standard_uncertainty_mL": one.standard_uncertainty_mL,
             "why": one.sentence} for one in followed.checked
        ],
        "indicator": None if told.end is None else told.end.indicator.name,
        "indicator_not_held": followed.unheld or None,
        "cancellation": None if told.cancelled is None else _cancellation(told.cancelled, told.against),
        "cancellation_with_the_same_indicator": (None if told.with_the_same is None
                                                 else _cancellation(told.with_the_same, told.against)),
    }


def _ranking(one: Ranking) -> dict[str, Any]:
    return {
        "equivalence_point_mL": one.equivalence_mL,
        "titrated": one.titrated,
        "criterion": one.criterion.text,
        "limit_percent": one.criterion.limit_percent,
        "verdict": one.verdict,
        "advice": list(one.advice),
        "good_enough": [each.indicator.name for each in one.good_enough],
        "by_error": [_endpoint(each) for each in one.by_error],
        "by_sharpness": [each.indicator.name for each in one.by_sharpness],
        "elsewhere": [{"indicator": each.indicator.name, "reason": each.reason} for each in one.elsewhere],
        "unranked": [{"indicator": each.indicator.name, "reason": each.reason} for each in one.unranked],
    }


def _endpoint(one: VisualEndpoint) -> dict[str, Any]:
    made = one.indicator.preparation
    return {
        "indicator": one.indicator.name,
        "endpoint_mL": one.volume_mL,
        "endpoint_value": one.value,
        "interval": None if one.interval is None else list(one.interval),
        "titration_error_mL": one.titration_error_mL,
        "titration_error_percent": one.titration_error_percent,
        "standard_uncertainty_mL": one.standard_uncertainty_mL,
        "tint_mL": one.tint_mL,
        "observer_mL": one.observer_mL,
        "bound_percent": one.bound_percent,
        "crossing_mL": one.crossing_mL,
        "crossing_drops": one.crossing_drops,
        "consumption_mL": one.consumption_mL,
        "colours": [{"words": words, "swatch": swatch} for words, swatch in _swatches(one)],
        "dose": None if made is None else made.dose,
    }


def _swatches(one: VisualEndpoint) -> list[tuple[str, str]]:
    held = {each.words: each.swatch for each in (one.indicator.low, one.indicator.between, one.indicator.high)}
    return [(words, held[words]) for words in one.colours]


def _cancellation(one: Cancellation, against: str) -> dict[str, Any]:
    return {
        "against": against,
        "shared": one.shared,
        "reversed": one.reversed,
        "inverse": one.inverse,
        "assay_indicator": one.indicators[0],
        "standardisation_indicator": one.indicators[1],
        "assay_percent": one.assay_percent,
        "assay_standard_uncertainty_percent": one.without_percent[1],
        "standardisation_percent": one.standardisation_percent,
        "standardisation_standard_uncertainty_percent": one.standardisation_uncertainty_percent,
        "net_percent": one.net_percent,
        "standard_uncertainty_percent": one.standard_uncertainty_percent,
        "cancelled_percent": one.cancelled_percent,
    }


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _listed(values: Array) -> list[float | None]:
    return [_finite(float(one)) for one in np.ravel(values)]
