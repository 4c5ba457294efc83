"""Preparations, adjustments and blends as JSON for programs: every number with its unit in its name."""

from typing import Any

from assaywright.assay.adjust.blend import Blended
from assaywright.assay.adjust.result import Adjusted, Chances, Landing, Reassay
from assaywright.assay.prepare.result import Prepared, Safety, Share, expanded
from assaywright.chemistry.heat import Warming
from assaywright.cli.plan_json import option_record
from assaywright.metrology.estimate import Estimate


def prepared_record(prepared: Prepared) -> dict[str, Any]:
    """Return a preparation."""
    made, simulation = prepared.preparation, prepared.simulation
    return {
        "kind": "preparation", "id": made.head.identity or None, "substance": prepared.solute.name,
        "wanted": made.content.text, "amount": made.amount.text,
        "portions": [{"name": one.name, "text": one.text, "mass_g": one.mass_g, "volume_mL": one.volume_mL,
                      "lot": one.lot or None} for one in prepared.portions],
        "result": _estimate(prepared.result), "off_target": prepared.off_target,
        "monte_carlo": None if simulation is None else {
            "trials": simulation.trials, "seed": simulation.seed, "mean": simulation.mean,
            "standard_uncertainty": simulation.standard_uncertainty, "interval": list(simulation.interval)},
        "budget": _budget(prepared.budget), "warming": _warming(prepared.warming), "cautions": _safety(prepared.safety),
        "to_check": list(prepared.to_check), "steps": list(prepared.steps), "notes": list(prepared.notes),
        "responsible": made.head.responsible or None,
    }


def adjusted_record(adjusted: Adjusted) -> dict[str, Any]:
    """Return an adjustment."""
    made, careful = adjusted.adjustment, adjusted.two_steps
    return {
        "kind": "adjustment", "id": made.head.identity, "product": made.product, "lot": made.lot,
        "found": _estimate(adjusted.found), "as_it_is": _chances(adjusted.as_it_is),
        "aimed_at": {"value": adjusted.aimed, "unit": made.nominal.unit}, "addition": made.addition.name,
        "one_step": _landing(adjusted.landing),
        "two_steps": None if careful is None else {
            "advised": careful.advised, "first": _landing(careful.first), "then": careful.second_text,
            "chances": _chances(careful.chances)},
        "to_check": list(adjusted.to_check), "prior": adjusted.prior, "mass_after_kg": adjusted.mass_after_g / 1000,
        "volume_after_L": None if adjusted.volume_after_mL is None else adjusted.volume_after_mL / 1000,
        "free_volume_L": None if adjusted.free_mL is None else adjusted.free_mL / 1000,
        "budget": _budget(adjusted.budget), "warming": _warming(adjusted.warming),
        "cautions": _safety(adjusted.safety), "steps": list(adjusted.steps), "sampling": list(adjusted.sampling),
        "reassay": _reassay(adjusted.reassay), "notes": list(adjusted.notes), "responsible": made.head.responsible,
    }


def _reassay(one: Reassay) -> dict[str, Any]:
    """Return the new assay: its plan in sentences, and in figures where there is one."""
    if one.plan is None or one.guide is None:
        return {"told": list(one.told), "worksheet": None, "option": None}
    interval = one.guide.specified
    return {"told": list(one.told), "cautions": list(one.cautions), "take": list(one.take),
            "worksheet": one.guide.number, "option": option_record(one.plan.options[0]),
            "titre_at_limits_mL": [interval.low_mL, interval.high_mL], "free_to_mL": one.guide.free_to_mL}


def blended_record(blended: Blended) -> dict[str, Any]:
    """Return a blend."""
    made = blended.blend
    return {
        "kind": "blend", "id": made.head.identity, "product": made.product, "aim": made.aim,
        "lots": [{"id": one.identity, "text": one.text, "mass_kg": one.mass_g / 1000, "share": one.share,
                  "of_stock": one.of_stock} for one in blended.lots],
        "characteristics": [{"name": one.name, "limits": one.limits, "result": _estimate(one.result),
                             "conforms": one.conforms} for one in blended.characteristics],
        "mass_kg": blended.mass_g / 1000, "conforms": blended.conforms, "trials": blended.trials,
        "to_check": list(blended.to_check),
        "seed": blended.seed, "guard_u": blended.guard_u, "cost": blended.cost, "alligation": list(blended.square),
        "budget": _budget(blended.budget), "warming": _warming(blended.warming), "cautions": _safety(blended.safety),
        "steps": list(blended.steps), "notes": list(blended.notes), "responsible": made.head.responsible,
    }


def _estimate(one: Estimate) -> dict[str, Any]:
    uncertainty, factor = expanded(one)
    return {"value": one.value, "unit": one.unit, "standard_uncertainty": one.standard_uncertainty,
            "expanded_uncertainty": uncertainty, "coverage_factor": factor}


def _chances(one: Chances) -> dict[str, Any]:
    return {"conforms": one.conforms, "below": one.below, "above": one.above, "trials": one.trials, "seed": one.seed}


def _landing(one: Landing) -> dict[str, Any]:
    return {"text": one.text, "mass_kg": one.mass_g / 1000,
            "volume_L": None if one.volume_mL is None else one.volume_mL / 1000, "result": _estimate(one.result),
            "chances": _chances(one.chances), "overshoot": one.overshoot}


def _budget(rows: tuple[Share, ...]) -> list[dict[str, Any]]:
    return [{"influence": one.label, "contribution": one.contribution, "share": one.share} for one in rows]


def _warming(one: Warming | None) -> dict[str, Any] | None:
    if one is None:
        return None
    return {"heat_kJ": one.heat_kJ, "rise_K": one.rise_K, "final_degC": one.final_degC, "boils": one.boils,
            "recalled": one.recalled, "sources": list(one.sources)}


def _safety(one: Safety) -> dict[str, Any]:
    return {"first": list(one.first), "hazards": list(one.statements), "protection": list(one.protection),
            "deferral": one.deferral}
