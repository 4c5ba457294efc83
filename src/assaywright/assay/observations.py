"""What was observed and what it was observed with: frozen values, each with its text as typed.

These are the values the parsing layer hands over. They hold facts only; what follows from them is concluded elsewhere.
Equipment and specifications have modules of their own and are offered here too.
"""

from dataclasses import dataclass, field
from datetime import date, datetime

from assaywright.assay.equipment import Air, Balance, Certificate, Thermometer, Vessel
from assaywright.assay.specification import Characteristic, Lot, Specification
from assaywright.metrology.quantity import Quantity

__all__ = [
    "Acceptance",
    "Air",
    "Balance",
    "Blank",
    "Certificate",
    "Characteristic",
    "Delivery",
    "Determination",
    "Dilution",
    "Filling",
    "Lot",
    "Portion",
    "ReferenceMaterial",
    "Sample",
    "Solution",
    "Specification",
    "Thermometer",
    "Vessel",
    "Wanted",
    "Weighing",
    "Worksheet",
]


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
        first_filling: number of the filling in which the first endpoint was read, from 1.
    """

    fillings: tuple[Filling, ...] = ()
    first: Quantity | None = None
    mass: Weighing | None = None
    burette: str = "burette"
    temperature: Quantity | None = None
    first_filling: int = 1


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
        further: the next dilution, when aliquots are not of this one but of what is made of it; its portion is taken of
            this one.
    """

    portion: Portion
    flask: str = ""
    total_mass: Weighing | None = None
    temperature: Quantity | None = None
    further: "Dilution | None" = None

    @property
    def stages(self) -> "tuple[Dilution, ...]":
        """The dilution itself and those made of it, in order."""
        return (self, *self.further.stages) if self.further is not None else (self,)


@dataclass(frozen=True, slots=True)
class Determination:
    """One titration.

    Fields:
        label: as the worksheet numbers it.
        portion: of the sample, of its dilution or of the standard.
        delivery: the titrant delivered.
        excess: the reagent added in excess, for a back titration: a pipetted portion or a delivery from a burette.
        hydroxide: titrant delivered to a second, equal aliquot after barium chloride, for the scheme of that name.
        analyst: who titrated; empty means the worksheet's analyst.
        at: when, if it differs from the worksheet's time; a date stands for the whole day.
        excluded: the reason why a person left it out of the mean; empty when it counts.
        excluded_by: that person.
        note: free text.
    """

    label: str
    portion: Portion
    delivery: Delivery
    excess: Portion | None = None
    hydroxide: Delivery | None = None
    analyst: str = ""
    at: date | datetime | None = None
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
        analyst: who titrated it; empty means the worksheet's analyst.
        at: when, if it differs from the worksheet's time; a date stands for the whole day.
        note: free text.
    """

    kind: str
    deliveries: tuple[Delivery, ...] = ()
    volume: Quantity | None = None
    excess: Portion | None = None
    analyst: str = ""
    at: date | datetime | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class AcceptedStandardisation:
    """A remark that held a standardisation back, and who let it pass before the solution was used.

    Fields:
        worksheet: number of the standardisation.
        kind, what: of the remark; one that reads otherwise is another one, and holds.
        reason: as given.
        by, function: name of the person, and as what they let it pass.
        day: on which they did.
    """

    worksheet: str
    kind: str
    what: str
    reason: str
    by: str
    function: str
    day: date


@dataclass(frozen=True, slots=True)
class Solution:
    """A standard solution in use: the titrant, the solution it is set against, or the reagent of a back titration.

    Its concentration comes from worksheets, from a stored result, or from a certificate: exactly one of them.

    Fields:
        name: in words ("hydrochloric acid 1 mol/L").
        formula: of the substance that reacts.
        nominal: nominal concentration; a factor is actual over nominal.
        nominal_within: how far from nominal the house lets it be, relative; 5 % when None.
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
        accepted: irregularities of the standardisations that were let pass before the solution was used.
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
    nominal_within: Quantity | None = None
    accepted: tuple[AcceptedStandardisation, ...] = ()


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
class Acceptance:
    """A rule of acceptance asked for by name, beside the method's own; with a limit where one is stated."""

    rule: str
    limit: Quantity | None = None


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
        acceptance: rules that the replicates have to meet besides the method's, as other markets ask for them.
    """

    unit: str = ""
    species: str = ""
    species_equivalents: int | None = None
    temperature: Quantity | None = None
    coverage_factor: Quantity | None = None
    repeatability: str = "pooled"
    factor: bool = False
    acceptance: tuple[Acceptance, ...] = ()


@dataclass(frozen=True, slots=True)
class Worksheet:
    """One assay or standardisation, as observed.

    Fields:
        identity: the worksheet's own number; part of the permanent key of its random effects.
        kind: "assay" or "standardisation".
        method: name of the method file.
        method_edition: edition of it that is meant; empty for the one in force.
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
    method_edition: str = ""

    @property
    def analysts(self) -> str:
        """Everybody who titrated, the worksheet's own analyst first."""
        named = [one.analyst.strip() for one in self.determinations]
        if self.blank is not None:
            named.append(self.blank.analyst.strip())
        return " and ".join(dict.fromkeys([self.analyst, *(one for one in named if one)]))

    @property
    def dilutions(self) -> tuple[Dilution, ...]:
        """The dilutions between what was taken and what was titrated, in order."""
        return self.dilution.stages if self.dilution is not None else ()
