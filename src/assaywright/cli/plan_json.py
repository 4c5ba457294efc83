"""A plan as JSON for programs: every number with its unit in its name; the options best first."""

from typing import TYPE_CHECKING, Any

from assaywright.assay.plan.result import Option, OtherIndicator, Plan
from assaywright.assay.plan.setup import IN_A_FLASK, WEIGHED_DILUTION, Setup
from assaywright.assay.plan.standardise import Conditioning
from assaywright.assay.plan.words import aliquot_words, portion_words, way_words

if TYPE_CHECKING:
    from assaywright.cli.plan import Planned


def plan_record(found: "Planned") -> dict[str, Any]:
    """Return a plan."""
    plan = found.plan
    return {
        "kind": "plan", "title": plan.title, "day": found.day.isoformat(), "shelf": plan.shelf.path,
        "wanted_expanded_uncertainty": plan.wanted, "wanted_from": plan.wanted_from or None,
        "unit": plan.options[0].result.estimate.unit, "rule": plan.rule, "why": plan.why,
        "combinations": {"considered": plan.considered, "feasible": plan.feasible, "reaching": plan.reaching},
        "prior": _prior(plan), "options": [option_record(one) for one in plan.options],
        "conditioning": [_conditioning(one) for one in found.conditioning], "notes": list(plan.notes),
    }


def option_record(one: Option) -> dict[str, Any]:
    """Return one option."""
    setup, result = one.setup, one.result
    return {
        "number": one.number, "method": setup.method.name, "way": setup.way, "told": way_words(setup),
        "titrant": setup.titrant.name, "titrant_formula": setup.titrant.formula,
        "titrant_nominal": setup.titrant.nominal.text if setup.titrant.nominal else None,
        "in_burette": setup.in_burette.name, "against": setup.against.name if setup.against else None,
        "reagent": setup.reagent.name if setup.reagent else None,
        "excess_mL": setup.excess.nominal.to("mL") if setup.excess else None,
        "blanks_likewise": setup.blanks, "expected_blank_mL": setup.blank_mL if setup.blanks else None,
        "expected_first_endpoint_mL": setup.first_mL,
        "portion": portion_words(setup), "aliquot": aliquot_words(setup), **_amounts(setup),
        "burette": setup.burette.identity, "burette_mL": setup.burette.nominal.to("mL"),
        "flask": setup.flask.identity if setup.flask else None,
        "balance": setup.balance.identity if setup.balance else None,
        "indicator": setup.method.endpoint.indicator or None,
        "other_indicators": [_indicator(each) for each in one.other_indicators],
        "expected_titre_mL": setup.titre_mL, "burette_use": 100 * one.burette_use, "burette_use_unit": "%",
        "determinations": setup.determinations, "value": result.estimate.value, "unit": result.estimate.unit,
        "standard_uncertainty": result.estimate.standard_uncertainty,
        "expanded_uncertainty": result.expanded_uncertainty, "coverage_factor": result.coverage_factor,
        "relative_expanded_uncertainty_percent": 100 * one.relative_uncertainty, "reaches_wanted": one.reaches,
        "share_of_specification_width": one.share_of_width,
        "global_consumer_risk": one.risks.consumer if one.risks else None,
        "global_producer_risk": one.risks.producer if one.risks else None,
        "limited_by": [{"name": each.name, "share": each.share} for each in one.influences],
        "further": [{"measurand": each.measurand, "value": each.estimate.value, "unit": each.estimate.unit,
                     "expanded_uncertainty": each.expanded_uncertainty} for each in one.further],
        "budget": [{"influence": line.influence, "contribution": line.contribution, "share": line.share}
                   for line in one.budget],
        "titrant_used_mL": one.titrant_mL, "bench_minutes": one.minutes,
        "steps": [{"name": each.name, "times": each.times, "minutes": each.minutes} for each in one.steps],
        "remarks": list(one.remarks), "held": list(one.held),
    }


def _indicator(one: OtherIndicator) -> dict[str, Any]:
    """Return an indicator that would do in place of the method's own."""
    return {"name": one.name, "stop_at": " to ".join(one.colours[:2]), "titration_error_mL": one.titration_error_mL,
            "standard_uncertainty_mL": one.standard_uncertainty_mL,
            "relative_expanded_uncertainty_percent": 100 * one.relative_uncertainty, "reaches_wanted": one.reaches}


def _amounts(setup: Setup) -> dict[str, Any]:
    """Return portion and aliquot in figures: each by volume or by mass, the other null."""
    aliquot_mL = setup.aliquot.nominal.to("mL") if setup.aliquot else None
    aliquot_g = setup.aliquot_g if setup.way == WEIGHED_DILUTION else None
    portion_mL = setup.pipette.nominal.to("mL") if setup.pipette else None
    portion_g = setup.portion_g or None
    if setup.way not in IN_A_FLASK:
        aliquot_mL, aliquot_g = portion_mL, portion_g
    return {"portion_mL": portion_mL, "portion_g": portion_g, "aliquot_mL": aliquot_mL, "aliquot_g": aliquot_g}


def _prior(plan: Plan) -> dict[str, Any] | None:
    prior = plan.product.specification.prior if plan.product else None
    if prior is None or plan.product is None:
        return None
    return {"mean": float(prior[0].value), "standard_deviation": float(prior[1].value), "unit": prior[0].unit,
            "source": plan.product.lots_source}


def _conditioning(one: Conditioning) -> dict[str, Any]:
    return {"standard": one.standard, "certificate": one.certificate, "least_portion": one.least,
            "disagreement": one.disagreement or None, "hygroscopicity": one.hygroscopicity or None,
            "drying": [{"temperature_degC": each.temperature_degC or None, "time_h": each.time_h or None,
                        "condition": each.condition or None, "source": each.source, "status": each.status,
                        "note": each.note or None} for each in one.drying]}
