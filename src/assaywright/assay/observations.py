"""What was observed and what it was observed with: frozen values, each with its text as typed.

These are the values the parsing layer hands over. They hold facts only; what follows from them is concluded elsewhere.
"""

from dataclasses import dataclass, field
from datetime import date, datetime

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
class Weighing:
    """One portion weighed: gross and tare (by difference), or net on a tared balance.

    Fields:
        gross, tare: balance readings; both or neither.
        net: reading of a tared balance, where gross and tare are absent.
        balance: role of the balance.
    """

    gross: Quantity | None
    tare: Quantity | None
    net: Quantity | None
    balance: str = "balance"


@dataclass(frozen=True, slots=True)
class Filling:
    """One run of a burette between two readings."""

    initial: Quantity
    final: Quantity


@dataclass(frozen=True, slots=True)
class Delivery:
    """Titrant delivered: one filling or several from one burette, or by mass.

    Fields:
        fillings: readings, one pair for each filling of the burette; empty when delivered by mass.
        first: reading at the first of two endpoints, for the scheme of two endpoints.
        mass: titrant weighed out, when it is delivered by mass.
        burette: role of the burette.
        temperature: of the titrant.
    """

    fillings: tuple[Filling, ...] = ()
    first: Quantity | None = None
    mass: Weighing | None = None
    burette: str = "burette"
    temperature: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Portion:
    """What was taken of a sample or of a solution: by a pipette, or by mass.

    Fields:
        pipette: role of the pipette, if taken by volume.
        mass: the weighing, if taken by mass.
        temperature: of the liquid when pipetted.
    """

    pipette: str = ""
    mass: Weighing | None = None
    temperature: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Dilution:
    """A sample made up to a volume or to a mass, of which aliquots are titrated.

    Fields:
        portion: of the sample that was diluted.
        flask: role of the flask, if made up to a volume.
        total_mass: mass of the whole dilution, if made up by mass.
        temperature: of the dilution when made up.
    """

    portion: Portion
    flask: str = ""
    total_mass: Weighing | None = None
    temperature: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Determination:
    """One titration.

    Fields:
        label: as the worksheet numbers it.
        portion: of the sample, of its dilution or of the standard.
        delivery: the titrant delivered.
        excess: the reagent added in excess, for a back titration: a pipetted portion or a delivery from a burette.
        analyst: who titrated; empty means the worksheet's analyst.
        at: when, if it differs from the worksheet's time.
        excluded: the reason why a person left it out of the mean; empty when it counts.
        excluded_by: that person.
        note: free text.
    """

    label: str
    portion: Portion
    delivery: Delivery
    excess: Portion | None = None
    analyst: str = ""
    at: datetime | None = None
    excluded: str = ""
    excluded_by: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Blank:
    """A blank: titrated likewise, or a stated volume.

    Fields:
        kind: "reagent blank", "indicator blank", "neutralised solvent" or "titrated likewise" (back titration).
        deliveries: titrations of the blank.
        volume: stated volume with its uncertainty, where no titration of the day is given.
        excess: reagent added to the blank of a back titration.
    """

    kind: str
    deliveries: tuple[Delivery, ...] = ()
    volume: Quantity | None = None
    excess: Portion | None = None


@dataclass(frozen=True, slots=True)
class Solution:
    """A standard solution in use: the titrant, the solution it is set against, or the reagent of a back titration.

    Its concentration comes from worksheets, from a stored result, or from a certificate: exactly one of them.

    Fields:
        name: in words ("hydrochloric acid 1 mol/L").
        formula: of the substance that reacts.
        nominal: nominal concentration; a factor is actual over nominal.
        worksheets: paths of the standardisations, as typed.
        stored: path of a stored result, as typed.
        concentration: from a certificate, with its uncertainty and form; in mol/L, eq/L or mol/kg.
        reaction: the reaction that a concentration in eq/L (N) refers to.
        in_force: "last accepted" or "mean of accepted".
        certificate: of a purchased solution.
        lot, bottle: which package.
        use_before: last day of use of the unopened package.
        opened: day of opening.
        in_use_days: life once opened.
        thermal: law of thermal expansion: a column of the correction table, "water", a coefficient per kelvin
            ("0.0011 /K"), or empty for the method's own.
        densities: pairs (temperature, density) measured on this solution, taking the place of ``thermal``.
        at_temperature: temperature that a certified concentration refers to.
    """

    name: str
    formula: str
    nominal: Quantity | None = None
    worksheets: tuple[str, ...] = ()
    stored: str = ""
    concentration: Quantity | None = None
    reaction: str = ""
    in_force: str = "last accepted"
    certificate: Certificate | None = None
    lot: str = ""
    bottle: str = ""
    use_before: date | None = None
    opened: date | None = None
    in_use_days: int | None = None
    thermal: str = ""
    densities: tuple[tuple[Quantity, Quantity], ...] = ()
    at_temperature: Quantity | None = None


@dataclass(frozen=True, slots=True)
class ReferenceMaterial:
    """A weighed primary standard or reference material with its certificate.

    Fields:
        name: a row of the table of primary standards, or any name with ``formula`` given.
        formula: of the substance the content is expressed as.
        content: mass fraction in %, with its stated uncertainty and form.
        basis: "as is" or "dried".
        dried: how it was dried, when the basis is "dried"; empty means not recorded.
        weighed_as: "in air" when the certified content refers to the apparent mass in air, else "in vacuo".
        density: of the solid, for buoyancy.
        minimum_sample: smallest portion for which the certified content holds.
        use_before: last day of use.
    """

    name: str
    formula: str
    content: Quantity
    certificate: Certificate
    basis: str = "as is"
    dried: str = ""
    weighed_as: str = "in vacuo"
    density: Quantity | None = None
    minimum_sample: Quantity | None = None
    use_before: date | None = None
    lot: str = ""


@dataclass(frozen=True, slots=True)
class Sample:
    """What was assayed.

    Fields:
        product, lot: of the sample.
        density: at the content's reference temperature, with its uncertainty; for conversions between mass and volume
            and for buoyancy.
        taken: when and where the sample was taken, as text.
        thermal, densities: as for :class:`Solution`.
    """

    product: str
    lot: str
    density: Quantity | None = None
    taken: str = ""
    thermal: str = ""
    densities: tuple[tuple[Quantity, Quantity], ...] = ()


@dataclass(frozen=True, slots=True)
class Air:
    """Air at the balance: measured, or the reference air of 1.2 kg/m³ when not measured."""

    temperature: Quantity | None = None
    pressure: Quantity | None = None
    humidity: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Specification:
    """What a characteristic must satisfy.

    Fields:
        characteristic: its name.
        unit: unit of the limits.
        lower, upper: limits as typed; both absent for report-only.
        rule: a decision rule by name; "simple acceptance" when none is agreed.
        guard_band_factor: r in w = r U, for the rule "guard band".
        conformance_probability: wanted, for the rule of that name.
        rounding_step: step of the rounding method, and of the printed value when given.
        rounding: "half up" or "half even".
        prior: mean and standard deviation of the product's own lots, for the global risks; absent means none stated.
        text: what must be satisfied where it is no number ("clear, colourless").
    """

    characteristic: str
    unit: str = ""
    lower: Quantity | None = None
    upper: Quantity | None = None
    rule: str = "simple acceptance"
    guard_band_factor: float | None = None
    conformance_probability: float | None = None
    rounding_step: str = ""
    rounding: str = "half up"
    prior: tuple[Quantity, Quantity] | None = None
    text: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """How the result is to be stated.

    Fields:
        unit: content unit ("mol/L", "eq/L", "% w/v", ...), or "" for the method's own.
        species: formula the content is expressed as; "" for the method's analyte.
        species_equivalents: equivalents of one mole of that species, when it is not the method's analyte.
        temperature: the content's reference temperature.
        coverage_factor: a fixed k where method or customer names one; else from Student's t at 95 %.
        repeatability: "pooled" (the method's s_r) or "observed" (s of these determinations).
        factor: whether the factor, actual over nominal, is stated too.
    """

    unit: str = ""
    species: str = ""
    species_equivalents: int | None = None
    temperature: Quantity | None = None
    coverage_factor: Quantity | None = None
    repeatability: str = "pooled"
    factor: bool = False


@dataclass(frozen=True, slots=True)
class Worksheet:
    """One assay or standardisation, as observed.

    Fields:
        identity: the worksheet's own number; part of the permanent key of its random effects.
        kind: "assay" or "standardisation".
        method: name of the method file.
        performed: when; a date stands for the whole day, a time carries its zone.
        analyst, reviewer: names.
        titrant: the solution in the burette. In a standardisation by weighing its concentration is what is sought.
        standard: the weighed primary standard, or absent.
        against: the standard solution, where a titrant is set against another, or absent.
        unknown_in_burette: in a standardisation by solution, whether the titrant sought is in the burette (else the
            known one is, and the titrant sought is pipetted).
        reagent: solution added in excess, for a back titration.
        sample: for an assay.
        repeatability: pooled standard deviation stated by the laboratory in place of the method's, with its degrees of
            freedom in the uncertainty statement; relative in %.
        digest: SHA-256 of the file's bytes.
        path: the file, as given.
        lot: what the certificate must say, where the worksheet alone is certified; its one characteristic names the
            worksheet's own file.
    """

    identity: str
    kind: str
    method: str
    performed: date | datetime
    analyst: str
    titrant: Solution
    determinations: tuple[Determination, ...]
    vessels: tuple[Vessel, ...] = ()
    balances: tuple[Balance, ...] = ()
    thermometers: tuple[Thermometer, ...] = ()
    standard: ReferenceMaterial | None = None
    against: Solution | None = None
    unknown_in_burette: bool = True
    reagent: Solution | None = None
    sample: Sample | None = None
    dilution: Dilution | None = None
    blank: Blank | None = None
    titration_error: Quantity | None = None
    air: Air = field(default_factory=Air)
    wanted: Wanted = field(default_factory=Wanted)
    specification: Specification | None = None
    repeatability: Quantity | None = None
    reviewer: str = ""
    title: str = ""
    note: str = ""
    path: str = ""
    digest: str = ""
    lot: "Lot | None" = None


@dataclass(frozen=True, slots=True)
class Characteristic:
    """One characteristic of a lot: assayed in a worksheet, or entered with its source.

    Fields:
        specification: what it must satisfy.
        worksheet: path of the worksheet that assays it, as typed; empty when entered.
        measurand: which of the worksheet's results, where it has several.
        value: entered number with its uncertainty, or with ``less_than`` true the limit below which it was found.
        text: entered observation that is no number ("clear, colourless").
        satisfied: for an entered text, whether the person judged the requirement met; None while undecided.
        source: where the entered value comes from: instrument, method, person, date.
        accredited: whether the laboratory's accreditation covers it.
    """

    specification: Specification
    worksheet: str = ""
    measurand: str = ""
    value: Quantity | None = None
    less_than: bool = False
    text: str = ""
    satisfied: bool | None = None
    source: str = ""
    accredited: bool = False


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot with all its characteristics, and what its certificate must say.

    Fields:
        use_before, storage, made: as printed on the certificate.
        responsible: the authorised signatory, and the function that makes them so.
    """

    identity: str
    product: str
    maker: str
    characteristics: tuple[Characteristic, ...]
    certificate_number: str = ""
    made: date | None = None
    issued: date | None = None
    use_before: date | None = None
    storage: str = ""
    hazards: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    responsible: str = ""
    responsible_function: str = ""
    customer: str = ""
    note: str = ""
    path: str = ""
    digest: str = ""
