"""Vessels as inputs: what a burette, pipette or flask leaves open, under the vessel's own permanent key."""

import math
from collections.abc import Sequence
from functools import cache

from assaywright.assay.corrections.delivered_volume import correction_at, interval_error
from assaywright.assay.observations import Certificate, Vessel
from assaywright.assay.wording import written_date
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal

INSTRUMENTS = {
    "burette": "burette",
    "pipette": "one-mark pipette",
    "flask": "volumetric flask",
    "piston burette": "piston burette",
    "piston pipette": "piston pipette",
    "measuring cylinder": "measuring cylinder",
}


def nominal_mL(vessel: Vessel) -> float:
    """Return the vessel's nominal capacity [mL]."""
    return vessel.nominal.to("mL")


def edition(certificate: Certificate | None, otherwise: str) -> str:
    """Return which certificate a permanent key rests on, with its date."""
    if certificate is None:
        return otherwise
    return f"{certificate.identity} {certificate.issued.isoformat()}" if certificate.issued else certificate.identity


def written_edition(certificate: Certificate | None, otherwise: str) -> str:
    """Return which certificate it is, as it is printed."""
    if certificate is None or certificate.issued is None:
        return edition(certificate, otherwise)
    return f"{certificate.identity} of {written_date(certificate.issued)}"


@cache
def open_error(vessel: Vessel) -> tuple[float, str, str, str]:
    """Return what the vessel's calibration or tolerance leaves open.

    Returns: standard uncertainty [mL], distribution, permanent key, and the source in words.

    Raises:
        Refusal: neither calibration nor tolerance nor class is stated.
    """
    stated = vessel.calibration_uncertainty
    if stated is not None and stated.uncertainty is not None:
        return (
            stated.uncertainty_in("mL"),
            stated.uncertainty.distribution,
            influence_key(vessel.kind, vessel.identity, edition(vessel.certificate, "calibration"), "calibration"),
            f"certificate {vessel.certificate.identity}" if vessel.certificate else "calibration",
        )
    if vessel.tolerance is not None:
        half_width = vessel.tolerance.to("mL")
        form = vessel.tolerance.uncertainty.form if vessel.tolerance.uncertainty else vessel.tolerance_form
        source = "tolerance as stated"
        named = edition(vessel.certificate, "stated tolerance")
    else:
        half_width, form, source = tabulated_tolerance(vessel)
        named = source
    return (
        half_width / {"triangular": math.sqrt(6.0), "rectangular": math.sqrt(3.0)}[form],
        form,
        influence_key(vessel.kind, vessel.identity, named, "tolerance"),
        source,
    )


@cache
def tabulated_tolerance(vessel: Vessel) -> tuple[float, str, str]:
    """Return the tolerance of the vessel's class by the standard the worksheet names.

    Returns: half width [mL], its distribution, and the source in words.

    Raises:
        Refusal: no class or no standard is stated, or the table has no such vessel.
    """
    from assaywright.reference.tables import tolerance

    piston = vessel.kind.startswith("piston")
    if not vessel.standard or not (vessel.vessel_class or piston):
        raise Refusal(
            f"the {vessel.kind} {vessel.identity} has neither a calibration nor a tolerance",
            where=f"vessels.{vessel.role}",
            remedy='give corrections with their uncertainty, or tolerance = "0.05 mL", or class and standard',
        )
    graduation = vessel.graduation.to("mL") if vessel.graduation else None
    try:
        row = tolerance(
            vessel.standard, INSTRUMENTS[vessel.kind], vessel.vessel_class, nominal_mL(vessel), graduation_mL=graduation
        )
    except Refusal as refusal:
        raise refusal.at(f"vessels.{vessel.role}") from None
    named = f"{row.standard} class {vessel.vessel_class}" if vessel.vessel_class else row.standard
    return row.half_width_mL, vessel.tolerance_form, named


def capacity_error(vessel: Vessel) -> Estimate:
    """Return the open error of a vessel of one volume (pipette, flask), estimate zero [mL]."""
    uncertainty, distribution, key, source = open_error(vessel)
    return influence(
        key, 0.0, uncertainty, "mL", distribution=distribution, label=f"{vessel.kind} {vessel.identity}, {source}"
    )


def capacity_correction(vessel: Vessel) -> float:
    """Return the calibration correction of a vessel of one volume [mL], zero when it has none."""
    return vessel.corrections[-1][1].to("mL") if vessel.corrections else 0.0


def scale_error(vessel: Vessel, readings_mL: Sequence[tuple[float, float]]) -> Estimate:
    """Return the open error of what a burette delivered between readings, estimate zero [mL]."""
    uncertainty, distribution, key, source = open_error(vessel)
    calibrated = vessel.calibration_uncertainty is not None
    return interval_error(
        key,
        f"{vessel.kind} {vessel.identity}, {source}",
        readings_mL,
        nominal_mL(vessel),
        uncertainty,
        vessel.scale_correlation,
        distribution,
        bounded=not calibrated,
    )


def scale_correction(vessel: Vessel, reading_mL: float) -> float:
    """Return a burette's calibration correction at a reading [mL], zero when it has none."""
    points = [(at.to("mL"), correction.to("mL")) for at, correction in vessel.corrections]
    return correction_at(reading_mL, points)
