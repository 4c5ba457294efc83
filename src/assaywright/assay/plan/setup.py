"""One way of doing an assay or a standardisation, and the worksheet one expects of it.

The plan has no equation of its own: it writes down the readings it expects and evaluates them as if they had been read.
"""

from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from assaywright.assay.method import Method
from assaywright.assay.observations import (
    Balance,
    Blank,
    Delivery,
    Determination,
    Dilution,
    Filling,
    Portion,
    ReferenceMaterial,
    Sample,
    Solution,
    Vessel,
    Wanted,
    Weighing,
    Worksheet,
)
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.reading.determinations import EXCESS_PIPETTE
from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.reference.practice import flask_mass_g

PIPETTED = "pipetted portion"
WEIGHED = "weighed portion"
PIPETTED_FLASK = "pipetted portion made up in a flask"
WEIGHED_FLASK = "weighed portion made up in a flask"
WEIGHED_DILUTION = "weighed dilution"
WAYS = (PIPETTED, WEIGHED, PIPETTED_FLASK, WEIGHED_FLASK, WEIGHED_DILUTION)
BY_MASS = (WEIGHED, WEIGHED_FLASK, WEIGHED_DILUTION)
IN_A_FLASK = (PIPETTED_FLASK, WEIGHED_FLASK, WEIGHED_DILUTION)
WITH_AN_ALIQUOT = (PIPETTED_FLASK, WEIGHED_FLASK)
HANDLING = {PIPETTED: "pipetted", WEIGHED: "weighed", PIPETTED_FLASK: "diluted", WEIGHED_FLASK: "diluted",
            WEIGHED_DILUTION: "diluted"}

# Common practice, no source: a weighing bottle, how full a flask that is weighed is made, the largest weighed aliquot.
TARE_G, FLASK_FILLED, LARGEST_ALIQUOT_G = 20.0, 0.8, 50.0
# A blank that a method asks for and that has not been titrated yet: common practice, no source.
BLANK_ML, BLANK_HALF_WIDTH_ML = "0.05", "0.03"
BLANKS_LIKEWISE = 3  # titrations of a back titration's blank: common practice, no source; two say little of scatter
LIKEWISE = "titrated likewise"
BACK, TWO_ENDPOINTS, BARIUM_CHLORIDE = "back", "two endpoints", "barium chloride"
NOBODY, PLANNED = "planned", "plan"


@dataclass(frozen=True, slots=True)
class Setup:
    """One way of doing it, with what is expected.

    Fields:
        way: one of :data:`WAYS`.
        titrant: in the burette; sought in a standardisation.
        pipette: for the portion; None where it is weighed.
        flask: that a dilution is made in; None without one.
        aliquot: pipette for the aliquot of a dilution; None without one.
        balance: None where nothing is weighed.
        standard: the weighed primary standard of a standardisation.
        portion_g: mass of the portion [g]; zero where it is pipetted.
        titre_mL: expected final reading from a start at zero [mL].
        determinations: number of them.
        reagent, excess: solution added in excess, and the pipette it is added with; None but in a back titration.
        blanks: number of blanks titrated likewise; none where the reagent's concentration is to be known.
        blank_mL: expected final reading of such a blank [mL].
        against: the known solution that a titrant is set against; None but in such a standardisation.
        known_in_burette: whether that solution is in the burette, and the one sought is pipetted.
        carbonate: share of the alkali that is carbonate, in equivalents [1].
        late_mL: by what the second of two endpoints is expected to miss, which the evaluation takes off [mL].
    """

    method: Method
    way: str
    titrant: Solution
    burette: Vessel
    pipette: Vessel | None = None
    flask: Vessel | None = None
    aliquot: Vessel | None = None
    balance: Balance | None = None
    standard: ReferenceMaterial | None = None
    portion_g: float = 0.0
    titre_mL: float = 5.0
    determinations: int = 1
    reagent: Solution | None = None
    excess: Vessel | None = None
    blanks: int = 0
    blank_mL: float = 0.0
    against: Solution | None = None
    known_in_burette: bool = False
    carbonate: float = 0.0
    late_mL: float = 0.0

    @property
    def in_burette(self) -> Solution:
        """The solution that is in the burette."""
        return self.against if self.against is not None and self.known_in_burette else self.titrant

    @property
    def in_pipette(self) -> Solution | None:
        """The solution that is pipetted where a titrant is set against another; None else."""
        if self.against is None:
            return None
        return self.titrant if self.known_in_burette else self.against

    @property
    def first_mL(self) -> float | None:
        """Expected reading at the first of two endpoints, or of the aliquot after barium chloride [mL]; None else.

        Phenolphthalein finds half of the carbonate; after barium chloride it finds none of it.
        """
        left = self.first_share
        return None if left is None else (self.titre_mL - self.late_mL) * left

    @property
    def first_share(self) -> float | None:
        """Share of the acid that the first endpoint, or the aliquot after barium chloride, takes [1]; None else."""
        left = {TWO_ENDPOINTS: 1 - self.carbonate / 2, BARIUM_CHLORIDE: 1 - self.carbonate}
        return left.get(self.method.scheme)

    @property
    def used_mL(self) -> float:
        """Expected from the burette for all determinations and the blanks titrated likewise [mL]."""
        each = self.titre_mL
        if self.method.scheme == BARIUM_CHLORIDE and self.first_mL is not None:
            each += self.first_mL
        return each * self.determinations + self.blank_mL * self.blanks

    @property
    def dilution_g(self) -> float:
        """Mass of a dilution that is made up by mass [g]."""
        return FLASK_FILLED * self.flask.nominal.to("mL") if self.flask is not None else 0.0

    @property
    def flask_g(self) -> float:
        """About what the empty flask of a dilution weighs, whose tare is taken off [g]; zero without one."""
        return flask_mass_g(self.flask.nominal.to("mL")) if self.flask is not None else 0.0

    @property
    def aliquot_g(self) -> float:
        """Mass of one weighed aliquot [g]: an equal share with two to spare, for rinsing and for once more."""
        return min(self.dilution_g / (self.method.replicates + 2), LARGEST_ALIQUOT_G)


def quantity(value: float, unit: str) -> Quantity:
    """Return a computed number as a quantity, with all its digits."""
    number = Decimal(repr(float(value)))
    return Quantity(number, unit, f"{number:f} {unit}")


def expected_worksheet(setup: Setup, product: Product | None, shelf: Shelf, day: date) -> Worksheet:
    """Return the worksheet with the readings that are expected.

    Arguments:
        setup: the way.
        product: that is assayed; None for a standardisation.
        shelf: for the thermometer and the temperature.
        day: of the work, for what is in date.
    """
    at = shelf.temperature or quantity(20.0, "°C")
    return Worksheet(
        identity=PLANNED, kind=setup.method.kind, method=setup.method.name, performed=day, analyst=NOBODY,
        titrant=setup.titrant, determinations=(_determination(setup, at),) * setup.determinations,
        vessels=_vessels(setup), balances=(setup.balance,) if setup.balance is not None else (),
        thermometers=shelf.thermometers[:1], standard=setup.standard, against=setup.against,
        unknown_in_burette=not setup.known_in_burette, reagent=setup.reagent,
        sample=Sample(product.name, PLANNED, product.density, thermal=product.thermal,
                      densities=product.densities) if product else None,
        dilution=_dilution(setup, at), blank=_blank(setup, at),
        wanted=_wanted(product),
        repeatability=product.repeatability if product else None,
        specification=product.specification if product else None, path=shelf.path,
    )


def _wanted(product: Product | None) -> Wanted:
    """Return how the result is stated: as the method's analyte, or as the product's own substance."""
    if product is None:
        return Wanted()
    if product.equivalents is None:
        return Wanted(unit=product.nominal.unit)
    return Wanted(unit=product.nominal.unit, species=product.formula, species_equivalents=product.equivalents)


def _run(final_mL: float, at: Quantity, first_mL: float | None = None) -> Delivery:
    """Return what is delivered from a start at zero [mL]."""
    first = None if first_mL is None else quantity(first_mL, "mL")
    return Delivery((Filling(quantity(0.0, "mL"), quantity(final_mL, "mL")),), first, temperature=at)


def _determination(setup: Setup, at: Quantity) -> Determination:
    """Return one determination as expected."""
    scheme, first = setup.method.scheme, setup.first_mL
    return Determination(
        "1", _titrated(setup, at), _run(setup.titre_mL, at, first if scheme == TWO_ENDPOINTS else None),
        Portion(EXCESS_PIPETTE, temperature=at) if setup.excess is not None else None,
        _run(first, at) if scheme == BARIUM_CHLORIDE and first is not None else None)


def _blank(setup: Setup, at: Quantity) -> Blank | None:
    """Return the blank: titrated likewise, or assumed where the method asks for one."""
    if setup.blanks:
        return Blank(LIKEWISE, (_run(setup.blank_mL, at),) * setup.blanks,
                     excess=Portion(EXCESS_PIPETTE, temperature=at))
    blank = setup.method.blank
    assumed = blank.required and blank.kind not in ("neutralised solvent", LIKEWISE)
    return assumed_blank(blank.kind) if assumed else None


def assumed_blank(kind: str) -> Blank:
    """Return the blank that is assumed where a method asks for one."""
    stated = StatedUncertainty(Decimal(BLANK_HALF_WIDTH_ML), "rectangular")
    return Blank(kind, volume=Quantity(Decimal(BLANK_ML), "mL", f"{BLANK_ML} mL ± {BLANK_HALF_WIDTH_ML} mL, "
                                       "rectangular", stated))


def _vessels(setup: Setup) -> tuple[Vessel, ...]:
    """Return the vessels in their parts."""
    parts = (("burette", setup.burette), ("pipette", setup.pipette), ("aliquot pipette", setup.aliquot),
             ("flask", setup.flask), (EXCESS_PIPETTE, setup.excess))
    return tuple(replace(vessel, role=role) for role, vessel in parts if vessel is not None)


def _weighed(mass_g: float, tare_g: float = TARE_G) -> Weighing:
    return Weighing(quantity(tare_g + mass_g, "g"), quantity(tare_g, "g"), None)


def _first(setup: Setup, at: Quantity) -> Portion:
    """Return what is taken of the sample or the standard."""
    if setup.way in BY_MASS:
        return Portion(mass=_weighed(setup.portion_g))
    return Portion("pipette", temperature=at)


def _titrated(setup: Setup, at: Quantity) -> Portion:
    """Return what is titrated: the portion itself, or an aliquot of its dilution."""
    if setup.way == WEIGHED_DILUTION:
        return Portion(mass=_weighed(setup.aliquot_g))
    return Portion("aliquot pipette", temperature=at) if setup.way in WITH_AN_ALIQUOT else _first(setup, at)


def _dilution(setup: Setup, at: Quantity) -> Dilution | None:
    if setup.way not in IN_A_FLASK:
        return None
    if setup.way == WEIGHED_DILUTION:
        return Dilution(_first(setup, at), total_mass=_weighed(setup.dilution_g, setup.flask_g))
    return Dilution(_first(setup, at), flask="flask", temperature=at)
