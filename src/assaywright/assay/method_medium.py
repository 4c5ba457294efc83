"""What the flask of a method holds besides the reactants: what its curve depends on and its reaction hides."""

from dataclasses import dataclass

from assaywright.metrology.quantity import Quantity

CARBON_DIOXIDE = ("kept", "boiled off")


@dataclass(frozen=True, slots=True)
class FreeLigand:
    """An auxiliary ligand of the buffer and the concentration at which it stands free."""

    name: str
    concentration: Quantity


@dataclass(frozen=True, slots=True)
class Titrated:
    """A substance that stands in the flask in the place of what the method expresses.

    Fields:
        substance: its name, formula or ion.
        moles: for each mole of what the titrant's equivalents are counted by [1].
        pKa: of an acid that the tables do not hold, first that of the fully protonated form; empty for the tables'.
        charge: of that form.
        protons_lost: how many of its protons it has lost as it stands in the flask.
    """

    substance: str
    moles: Quantity
    pKa: tuple[Quantity, ...] = ()
    charge: int = 0
    protons_lost: int = 0


@dataclass(frozen=True, slots=True)
class Couple:
    """A redox couple as the table of potentials names it, with the medium of its formal potential."""

    name: str
    medium: str


@dataclass(frozen=True, slots=True)
class Medium:
    """The ``[medium]`` of a method file.

    Fields:
        flask: volume before the first drop of titrant; None for the usual one.
        pH: kept by the buffer, or of the medium for standard potentials; None where none is kept.
        ionic_strength: of a complexometric titration; None for the usual one.
        carbon_dioxide: one of :data:`CARBON_DIOXIDE`: whether it stays in the flask or is boiled off near the end.
        matched: indicators whose colour is matched beside a flask with what is there at the end.
        ligands: free auxiliary ligands.
        titrated: what is in the flask; empty where that is the method's own reactant.
        burette: what stands for the titrant's formula in the equilibria ("Ce4+"); empty for the formula itself.
        followed: ion whose p-value the indicator follows; empty for the obvious one.
        potentials: medium of all formal potentials; empty for standard potentials.
        couples: of a redox titration, where the obvious ones will not do.
        source: who says so.
    """

    flask: Quantity | None = None
    pH: Quantity | None = None
    ionic_strength: Quantity | None = None
    carbon_dioxide: str = CARBON_DIOXIDE[0]
    matched: tuple[str, ...] = ()
    ligands: tuple[FreeLigand, ...] = ()
    titrated: tuple[Titrated, ...] = ()
    burette: str = ""
    followed: str = ""
    potentials: str = ""
    couples: tuple[Couple, ...] = ()
    source: str = ""
