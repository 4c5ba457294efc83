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
from assaywright.metrology.quantity import Quantity, StatedUncertainty

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
NOBODY, PLANNED = "planned", "plan"
ROLES = ("pipette", "aliquot pipette")


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

    @property
    def dilution_g(self) -> float:
        """Mass of a dilution that is made up by mass [g]."""
        return FLASK_FILLED * self.flask.nominal.to("mL") if self.flask is not None else 0.0

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
    delivery = Delivery((Filling(quantity(0.0, "mL"), quantity(setup.titre_mL, "mL")),), temperature=at)
    one = Determination("1", _titrated(setup, at), delivery)
    blank = setup.method.blank
    return Worksheet(
        identity=PLANNED, kind=setup.method.kind, method=setup.method.name, performed=day, analyst=NOBODY,
        titrant=setup.titrant, determinations=(one,) * setup.determinations, vessels=_vessels(setup),
        balances=(setup.balance,) if setup.balance is not None else (),
        thermometers=shelf.thermometers[:1], standard=setup.standard,
        sample=Sample(product.name, PLANNED, product.density, thermal=product.thermal) if product else None,
        dilution=_dilution(setup, at),
        blank=assumed_blank(blank.kind) if blank.required and blank.kind != "neutralised solvent" else None,
        wanted=Wanted(unit=product.nominal.unit if product else ""),
        repeatability=product.repeatability if product else None,
        specification=product.specification if product else None, path=shelf.path,
    )


def assumed_blank(kind: str) -> Blank:
    """Return the blank that is assumed where a method asks for one."""
    stated = StatedUncertainty(Decimal(BLANK_HALF_WIDTH_ML), "rectangular")
    return Blank(kind, volume=Quantity(Decimal(BLANK_ML), "mL", f"{BLANK_ML} mL ± {BLANK_HALF_WIDTH_ML} mL, "
                                       "rectangular", stated))


def _vessels(setup: Setup) -> tuple[Vessel, ...]:
    """Return the vessels in their parts."""
    parts = (("burette", setup.burette), ("pipette", setup.pipette), ("aliquot pipette", setup.aliquot),
             ("flask", setup.flask))
    return tuple(replace(vessel, role=role) for role, vessel in parts if vessel is not None)


def _weighed(mass_g: float) -> Weighing:
    return Weighing(quantity(TARE_G + mass_g, "g"), quantity(TARE_G, "g"), None)


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
        return Dilution(_first(setup, at), total_mass=_weighed(setup.dilution_g))
    return Dilution(_first(setup, at), flask="flask", temperature=at)
