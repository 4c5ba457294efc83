"""What is measured with: vessels, balances, thermometers, the air, and their certificates."""

from dataclasses import dataclass
from datetime import date

from assaywright.metrology.quantity import Quantity


@dataclass(frozen=True, slots=True)
class Certificate:
    """A calibration or content certificate as it bears on a vessel, balance, thermometer or material.

    Fields:
        identity: number and issuer as the certificate gives them; part of every permanent key that rests on it.
        issued: date of calibration or issue.
        due: last day on which it may be relied on.
        traceable_to: the traceability statement, in the certificate's words or ours.
    """

    identity: str
    issued: date | None = None
    due: date | None = None
    traceable_to: str = ""


@dataclass(frozen=True, slots=True)
class Vessel:
    """A burette, pipette, flask or their piston-operated kin.

    Fields:
        role: the name by which the worksheet's readings refer to it.
        kind: "burette", "pipette", "flask", "piston burette", "piston pipette" or "measuring cylinder".
        identity: the number engraved or labelled on it.
        nominal: capacity; the end of the scale of a burette.
        vessel_class: "A", "AS" or "B"; empty when the tolerance is stated outright.
        standard: the standard whose tolerance table applies ("ISO 385"); the user names it.
        tolerance: half width stated outright, with its form.
        tolerance_form: "triangular" or "rectangular", for a tolerance taken from a table.
        corrections: pairs (scale reading, correction) from the calibration certificate, in order of the scale.
        calibration_uncertainty: of one correction, with its form.
        scale_correlation: stated correlation of the errors at two distant points of the scale, 0 to 1.
        certificate: of the calibration, if calibrated.
        reference_temperature: at which nominal volume and corrections hold [°C].
        material: a row of the table of glass expansion.
        graduation: smallest division, if stated.
        use: "to deliver" or "to contain".
    """

    role: str
    kind: str
    identity: str
    nominal: Quantity
    vessel_class: str = ""
    standard: str = ""
    tolerance: Quantity | None = None
    tolerance_form: str = "triangular"
    corrections: tuple[tuple[Quantity, Quantity], ...] = ()
    calibration_uncertainty: Quantity | None = None
    scale_correlation: float = 0.0
    certificate: Certificate | None = None
    reference_temperature: Quantity | None = None
    material: str = "borosilicate glass 3.3"
    graduation: Quantity | None = None
    use: str = "to deliver"


@dataclass(frozen=True, slots=True)
class Balance:
    """A balance with what its certificate says.

    Fields:
        role: the name by which weighings refer to it.
        linearity: half width (with its form) of the systematic error of one weighing; enters twice in a difference.
        repeatability: standard deviation of one weighing; a consistency check beside the method's repeatability.
        minimum_weight: smallest net mass it may be used for.
        adjusted: "reference air" (1.2 kg/m³) or "air of the day".
    """

    role: str
    identity: str
    readability: Quantity | None = None
    linearity: Quantity | None = None
    repeatability: Quantity | None = None
    minimum_weight: Quantity | None = None
    adjusted: str = "reference air"
    certificate: Certificate | None = None


@dataclass(frozen=True, slots=True)
class Thermometer:
    """A thermometer; ``uncertainty`` covers its calibration and the liquid's distance from the reading."""

    role: str
    identity: str
    uncertainty: Quantity
    certificate: Certificate | None = None


@dataclass(frozen=True, slots=True)
class Air:
    """Air at the balance: measured, or the reference air of 1.2 kg/m³ when not measured."""

    temperature: Quantity | None = None
    pressure: Quantity | None = None
    humidity: Quantity | None = None
