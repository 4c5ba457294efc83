"""What a person says of a titration: substances, concentrations, volumes, conditions."""

from dataclasses import dataclass

from assaywright.metrology.refusal import Refusal

KINDS = ("acid-base", "complexometric", "precipitation", "redox")
ACTIVITIES = ("Davies", "ideal", "SIT")
LEAST_MOL_PER_L, MOST_MOL_PER_L = 1e-8, 20.0
LEAST_ML, MOST_ML = 1e-3, 1e5
LEAST_PH, MOST_PH = -2.0, 16.0


@dataclass(frozen=True, slots=True)
class OwnAcid:
    """The constants of an acid or base that the tables do not hold.

    Fields:
        pKa: step by step, first that of the fully protonated form [1].
        charge: of the fully protonated form.
        protons_lost: how many of its protons the substance has lost as it is weighed.
    """

    pKa: tuple[float, ...]
    charge: int = 0
    protons_lost: int = 0


@dataclass(frozen=True, slots=True)
class OwnCouple:
    """A redox couple named for a titration, with medium or potential where the table is not to decide.

    Fields:
        name: "Fe3+/Fe2+", as the table of potentials writes it.
        medium: of a formal potential; empty for the standard one.
        potential_V: in place of the table's [V]; None for the table's.
    """

    name: str
    medium: str = ""
    potential_V: float | None = None


@dataclass(frozen=True, slots=True)
class Portion:
    """A substance in a solution.

    Fields:
        substance: its name, an alias or its formula.
        concentration_mol_per_L: of formula units [mol/L].
        own: constants of its own; None for those of the tables.
    """

    substance: str
    concentration_mol_per_L: float
    own: OwnAcid | None = None

    def __post_init__(self) -> None:
        if not LEAST_MOL_PER_L <= self.concentration_mol_per_L <= MOST_MOL_PER_L:
            raise Refusal(f"{self.concentration_mol_per_L:g} mol/L of {self.substance}", where="system",
                          remedy=f"give {LEAST_MOL_PER_L:g} to {MOST_MOL_PER_L:g} mol/L")


@dataclass(frozen=True, slots=True)
class System:
    """A titration as a person says it.

    Fields:
        kind: one of :data:`KINDS`.
        analyte: what is in the flask before the first drop.
        volume_mL: of that solution [mL].
        titrant: what is in the burette; the titrant proper first, impurities after it.
        water_mL: added to the flask [mL].
        temperature_degC: of the titrated solution [°C].
        activity: "Davies"; "ideal" as most textbook tables have it; or "SIT", specific interaction, for acid-base.
        carbon_dioxide_mol_per_L: dissolved in the water of the flask [mol/L].
        open_to_air: whether carbon dioxide has time to come to equilibrium with the air at every point.
        pH: kept by a buffer (complexometric), or of the medium (redox with standard potentials).
        free_ligands: pairs of auxiliary ligand and its free concentration [mol/L].
        ionic_strength_mol_per_L: of a complexometric titration's medium [mol/L].
        data_set: name of the set of constants for metal and EDTA; empty for the chosen ones.
        followed: ion whose p-value is followed; empty for the obvious one.
        couples: of a redox titration; empty for the obvious ones.
        medium: of all formal potentials that do not name their own; empty for standard potentials.
    """

    kind: str
    analyte: tuple[Portion, ...]
    volume_mL: float
    titrant: tuple[Portion, ...]
    water_mL: float = 0.0
    temperature_degC: float = 25.0
    activity: str = "Davies"
    carbon_dioxide_mol_per_L: float = 0.0
    open_to_air: bool = False
    pH: float | None = None
    free_ligands: tuple[tuple[str, float], ...] = ()
    ionic_strength_mol_per_L: float = 0.1
    data_set: str = ""
    followed: str = ""
    couples: tuple[OwnCouple, ...] = ()
    medium: str = ""

    def __post_init__(self) -> None:
        for what, given, allowed in (("kind", self.kind, KINDS), ("activity", self.activity, ACTIVITIES)):
            if given not in allowed:
                raise Refusal(f"the {what} is '{given}'", where="system", remedy=f"use one of {', '.join(allowed)}")
        if not self.analyte or not self.titrant:
            raise Refusal("no analyte or no titrant is named", where="system", remedy="name both")
        if not LEAST_ML <= self.volume_mL <= MOST_ML or not 0 <= self.water_mL <= MOST_ML:
            raise Refusal(f"{self.volume_mL:g} mL of sample with {self.water_mL:g} mL of water", where="system",
                          remedy="give the volumes in mL")

        if not 0 <= self.ionic_strength_mol_per_L <= MOST_MOL_PER_L:
            raise Refusal(f"an ionic strength of {self.ionic_strength_mol_per_L:g} mol/L", where="system",
                          remedy=f"give 0 to {MOST_MOL_PER_L:g} mol/L")
        if self.pH is not None and not LEAST_PH <= self.pH <= MOST_PH:
            raise Refusal(f"a pH of {self.pH:g}", where="system", remedy=f"give {LEAST_PH:g} to {MOST_PH:g}")

    @property
    def dilution(self) -> float:
        """What the added water leaves of the analyte's concentration [1]."""
        return self.volume_mL / (self.volume_mL + self.water_mL)

    @property
    def flask_mL(self) -> float:
        """Volume in the flask before the first drop [mL]."""
        return self.volume_mL + self.water_mL
