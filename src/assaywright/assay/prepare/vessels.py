"""What a solution is really made in: no volumetric flask of tens of litres, and none that is filled hot."""

from dataclasses import replace

from assaywright.assay.prepare.form import Preparation
from assaywright.chemistry.heat import Warming

GREATEST_FLASK_L = 2.0  # larger ones are neither lifted nor inverted full: common practice, no source
COOL_K = 1.0  # a rise up to here needs no cooling before the mark


def as_made(preparation: Preparation) -> Preparation:
    """Return the preparation with the vessel it can be made in: a tank where a flask would have to be too large.

    Its masses stay the same; a mass is weighed into a bottle, never made up to a mark.
    """
    if preparation.vessel.kind != "flask":
        return preparation
    if not preparation.by_volume:
        return replace(preparation, vessel=replace(preparation.vessel, kind="bottle"))
    if preparation.amount.to("L") <= GREATEST_FLASK_L:
        return preparation
    return replace(preparation, vessel=replace(preparation.vessel, kind="tank"))


def changes_temperature(heat: Warming | None) -> bool:
    """Whether the solution has to come back to its temperature; so it has where the heat is not known."""
    return heat is None or abs(heat.rise_K) > COOL_K


def apart(preparation: Preparation, heat: Warming | None, *, solid: bool) -> str:
    """Return the vessel in which is dissolved or diluted before the solution goes into its own; empty where at once.

    Arguments:
        preparation: with the vessel it is made in.
        heat: at the hottest moment; none where it is not known.
        solid: whether a solid is dissolved.

    Source: a volumetric flask is filled to its mark at its reference temperature, and no solid is dissolved hot in it:
        common practice (ISO 4787 for the temperature, from memory).
    """
    if preparation.vessel.kind == "flask":
        return "beaker" if solid or changes_temperature(heat) else ""
    if preparation.vessel.kind == "bottle" and heat is not None and heat.notable:
        return "heat-resistant vessel"
    return ""
