"""Vessels, balances, thermometers, their certificates, and the air at the balance, as the worksheet describes them."""

from decimal import Decimal
from itertools import pairwise

from assaywright.assay.observations import Air, Balance, Certificate, Thermometer, Vessel
from assaywright.assay.reading.table import Table
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.typed import shown

CERTIFICATE_FIELDS = ("id", "issued", "due", "traceable_to")
VESSEL_FIELDS = (
    "kind", "id", "nominal", "class", "standard", "tolerance", "tolerance_form", "corrections",
    "calibration_uncertainty", "scale_correlation", "certificate", "reference_temperature", "material", "graduation",
    "use",
)
BALANCE_FIELDS = ("id", "readability", "linearity", "repeatability", "minimum_weight", "adjusted", "certificate")
THERMOMETER_FIELDS = ("id", "uncertainty", "certificate")
AIR_FIELDS = ("temperature", "pressure", "humidity")

VESSEL_KINDS = ("burette", "pipette", "flask", "piston burette", "piston pipette", "measuring cylinder")
CLASSES = ("A", "AS", "B")
HALF_WIDTH_FORMS = ("triangular", "rectangular")
COLDEST_LIQUID, WARMEST_LIQUID = "-40", "150"


def read_certificate(table: Table, key: str = "certificate") -> Certificate | None:
    """Return the certificate that a table names, if it names one."""
    inner = table.table(key, CERTIFICATE_FIELDS)
    if inner is None:
        return None
    found = Certificate(
        identity=inner.needed_text("id", "C-118"),
        issued=inner.day("issued"),
        due=inner.last_day("due"),
        traceable_to=inner.text("traceable_to"),
    )
    if found.issued and found.due and found.due < found.issued:
        raise inner.refusal("due", f"the due date {found.due} is before the date of issue {found.issued}",
                            "check the two dates")
    return found


def temperature(table: Table, key: str) -> Quantity | None:
    """Return a temperature of a liquid or of the air at the bench."""
    return table.quantity(key, "°C", least=COLDEST_LIQUID, most=WARMEST_LIQUID)


def read_vessel(role: str, table: Table) -> Vessel:
    """Return one vessel."""
    kind = table.choice("kind", VESSEL_KINDS, role if role in VESSEL_KINDS else "")
    if not kind:
        raise table.missing("kind", '"burette"')
    nominal = table.needed_quantity("nominal", "mL", above="0", example="50")
    form = table.choice("tolerance_form", HALF_WIDTH_FORMS, "triangular")
    vessel = Vessel(
        role=role,
        kind=kind,
        identity=table.needed_text("id", "B-07"),
        nominal=nominal,
        vessel_class=table.choice("class", CLASSES, ""),
        standard=table.text("standard"),
        tolerance=table.spread("tolerance", "mL", form=form if table.has("tolerance_form") else ""),
        tolerance_form=form,
        corrections=_corrections(table, nominal),
        calibration_uncertainty=table.spread("calibration_uncertainty", "mL"),
        scale_correlation=_correlation(table),
        certificate=read_certificate(table),
        reference_temperature=table.quantity("reference_temperature", "°C", least="0", most="40"),
        material=table.text("material", "borosilicate glass 3.3"),
        graduation=table.quantity("graduation", "mL", above="0"),
        use=table.choice("use", ("to deliver", "to contain"), "to contain" if kind == "flask" else "to deliver"),
    )
    _check_tolerance(vessel, table)
    _check_size(vessel, table)
    return vessel


def _correlation(table: Table) -> float:
    """Return the stated correlation of two corrections along the scale."""
    found = table.number("scale_correlation", least="0", most="1")
    return 0.0 if found is None else found.to("1")


def _corrections(table: Table, nominal: Quantity) -> tuple[tuple[Quantity, Quantity], ...]:
    """Return the corrections along the scale, which have to follow it within its length."""
    pairs = table.pairs("corrections", "mL", "mL")
    readings = [pair[0].to("mL") for pair in pairs]
    for before, after in pairwise(readings):
        if not after > before:
            raise table.refusal("corrections", f"the scale reading {after:g} mL follows {before:g} mL",
                                "give the corrections in the order of the scale, each reading once")
    for reading, correction in pairs:
        if not 0 <= reading.to("mL") <= nominal.to("mL"):
            raise table.refusal("corrections", f"the scale reading {shown(reading.text)} is not on the scale of "
                                f"{shown(nominal.text)}", "check the reading and the nominal volume")
        if abs(correction.to("mL")) > nominal.to("mL") / 10:
            raise table.refusal("corrections", f"the correction {shown(correction.text)} at {shown(reading.text)} is "
                                "more than a tenth of the vessel",
                                "give the correction, not the volume, beside each reading")
    return pairs


def _check_size(vessel: Vessel, table: Table) -> None:
    """Refuse a tolerance or an uncertainty that is more than a tenth of the vessel, as a correction is."""
    for key, spread in (("tolerance", vessel.tolerance), ("calibration_uncertainty", vessel.calibration_uncertainty)):
        if spread is not None and abs(spread.to("mL")) > vessel.nominal.to("mL") / 10:
            raise table.refusal(key, f"{shown(spread.text)} is more than a tenth of the vessel of "
                                f"{shown(vessel.nominal.text)}", "see in which unit the certificate states it")


def _check_tolerance(vessel: Vessel, table: Table) -> None:
    """Refuse a vessel of which nothing says how far its volume may be off, or whose statements need a fellow."""
    if vessel.tolerance and vessel.tolerance.uncertainty and vessel.tolerance.uncertainty.form not in HALF_WIDTH_FORMS:
        raise table.refusal("tolerance", f"a tolerance is a half width, and {shown(vessel.tolerance.text)} is not one",
                            "say rectangular or triangular, or give calibration_uncertainty with corrections")
    if vessel.corrections and vessel.calibration_uncertainty is None:
        raise table.refusal("corrections", "the corrections stand without their uncertainty",
                            'add calibration_uncertainty = "0.010 mL, k = 2"')
    if vessel.calibration_uncertainty and not vessel.corrections:
        raise table.refusal("calibration_uncertainty", "it stands without corrections",
                            'add corrections = [["0 mL", "0.000 mL"], …] from the same certificate')
    if vessel.vessel_class and not vessel.standard and not vessel.tolerance and not vessel.corrections:
        raise table.refusal("class", f"class {vessel.vessel_class} has other limits in other standards",
                            'name the standard whose table applies, like standard = "ISO 385"')
    by_standard_alone = vessel.kind.startswith("piston") and vessel.standard
    if not (vessel.vessel_class or vessel.tolerance or vessel.corrections or by_standard_alone):
        raise table.refusal("", "nothing says how far its volume may be off",
                            "give class with standard, or tolerance, or corrections with calibration_uncertainty")
    if vessel.graduation and vessel.graduation.to("mL") >= vessel.nominal.to("mL"):
        raise table.refusal("graduation", f"the graduation {shown(vessel.graduation.text)} is not below the nominal "
                            "volume", "give the smallest division of the scale")


def read_balance(role: str, table: Table) -> Balance:
    """Return one balance."""
    return Balance(
        role=role,
        identity=table.needed_text("id", "W-2"),
        readability=table.quantity("readability", "g", above="0"),
        linearity=table.spread("linearity", "g"),
        repeatability=table.spread("repeatability", "g", form="standard"),
        minimum_weight=table.quantity("minimum_weight", "g", above="0"),
        adjusted=table.choice("adjusted", ("reference air", "air of the day"), "reference air"),
        certificate=read_certificate(table),
    )


def read_thermometer(role: str, table: Table) -> Thermometer:
    """Return one thermometer."""
    uncertainty = table.spread("uncertainty", "°C")
    if uncertainty is None:
        raise table.missing("uncertainty", '"0.5 °C, rectangular"')
    if uncertainty.value >= Decimal(20) and uncertainty.unit in ("K", "°C"):
        raise table.refusal("uncertainty", f"{shown(uncertainty.text)} is no uncertainty of a thermometer",
                            "give the uncertainty, not the reading")
    return Thermometer(role, table.needed_text("id", "T-3"), uncertainty, read_certificate(table))


def read_air(table: Table | None) -> Air:
    """Return the air at the balance; the reference air when nothing was measured."""
    if table is None:
        return Air()
    return Air(
        temperature=temperature(table, "temperature"),
        pressure=table.quantity("pressure", "hPa", least="300", most="1200"),
        humidity=table.quantity("humidity", "%", least="0", most="100"),
    )
