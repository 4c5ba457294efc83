"""Formation constants of complexes: of metals with EDTA, with ammonia, with hydroxide and with other ligands."""

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, citation, number, table
from assaywright.reference.near import near

WHERE = "formation constants"


@dataclass(frozen=True, slots=True)
class FormationConstant:
    """The overall constant with which a metal and one or more ligands form a complex.

    Fields:
        key: of the row.
        metal: the free ion as written in the equilibrium ("Ca2+"); for triiodide the molecule I2, for HF2- the acid.
        ligand: its name ("EDTA", "ammonia", "hydroxide").
        number: of ligands in the complex.
        form: "simple" (metal and ligand alone), "protonated" or "hydroxo" (of EDTA complexes).
        equilibrium: balanced, as :func:`assaywright.chemistry.reaction.parse_reaction` reads it; the ligand stands in
            its least protonated form, for EDTA ``C10H12N2O8 4-``.
        complex: the species formed, as written there.
        log_beta: decadic logarithm of the constant of that equilibrium, cumulative over all ligands [1].
        half_width: bound of log_beta [1].
        temperature_degC: at which it holds [°C].
        ionic_strength_mol_per_L: at which it holds, none where the source is silent or gives a range [mol/L].
        kind: "thermodynamic", "concentration" or "not stated".
        enthalpy_kJ_per_mol: of the equilibrium, where known [kJ/mol].
        data_set: name of the coherent set the value belongs to.
        chosen: whether it is the one in use; the note says why.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    key: str
    metal: str
    ligand: str
    number: int
    form: str
    equilibrium: str
    complex: str
    log_beta: float
    half_width: float
    temperature_degC: float
    ionic_strength_mol_per_L: float | None
    kind: str
    enthalpy_kJ_per_mol: float | None
    data_set: str
    chosen: bool
    source: str
    status: str
    note: str

    @property
    def estimate(self) -> Estimate:
        """The logarithm of the constant with its rectangular distribution, under its permanent key."""
        key = influence_key("complex formation", f"{self.complex} ({self.form})", self.data_set, "log beta")
        return influence(key, self.log_beta, standard_uncertainty_of_half_width(self.half_width), "1",
                         distribution="rectangular", label=f"log beta of {self.complex}")


def edta_formation(metal: str, data_set: str = "") -> FormationConstant:
    """Return the constant of a metal with EDTA, for the fully deprotonated ligand.

    Arguments:
        metal: the ion ("Ca2+").
        data_set: name of a coherent set ("Harris at 0.1 mol/L"); the chosen constant when not given.

    Returns: the constant; where none at zero ionic strength is held, the chosen one is at 0.1 mol/L and says so in
        ``kind``. Use it with the acid constants of EDTA of the same set or kind.

    Raises:
        Refusal: none is held; the sentence names the metals or the sets that are.

    Example:
        >>> edta_formation("Ca2+").log_beta, edta_formation("Ca2+", "Harris at 0.1 mol/L").log_beta
        (12.42, 10.65)
    """
    return complexes(metal, "EDTA", data_set)[0]


def edta_mixed_complexes(metal: str) -> tuple[FormationConstant, ...]:
    """Return the protonated and hydroxo complexes that a metal forms with EDTA besides the simple one; may be none."""
    return tuple(one for one in all_complexes(metal, "EDTA") if one.form != "simple" and one.chosen)


def complexes(metal: str, ligand: str, data_set: str = "") -> tuple[FormationConstant, ...]:
    """Return the constants of a metal with a ligand, by the number of ligands.

    Arguments:
        metal: the ion ("Zn2+").
        ligand: its name ("ammonia", "hydroxide", "chloride") or species ("NH3").
        data_set: name of a coherent set; the chosen one when not given.

    Raises:
        Refusal: none is held; the sentence names what is.

    Example:
        >>> [one.log_beta for one in complexes("Zn2+", "ammonia")]
        [2.18, 4.43, 6.74, 8.7]
    """
    simple = [one for one in all_complexes(metal, ligand) if one.form == "simple"]
    found = tuple(one for one in simple if (one.data_set == data_set if data_set else one.chosen))
    if not found:
        raise Refusal(f"the set '{data_set}' holds no constant of {metal.strip()} with {ligand.strip()}", where=WHERE,
                      remedy=f"choose {' or '.join(_distinct(one.data_set for one in simple))}")
    return found


def all_complexes(metal: str, ligand: str) -> tuple[FormationConstant, ...]:
    """Return every constant held of a metal with a ligand, those not chosen and those with protons among them.

    Raises:
        Refusal: none is held; the sentence names the ligands held for that metal, or the metals for that ligand.
    """
    metal, ligand = metal.strip(), _ligand(ligand.strip())
    found = tuple(one for one in _constants() if one.metal == metal and one.ligand == ligand)
    if not found:
        with_metal = _distinct(one.ligand for one in _constants() if one.metal == metal)
        with_ligand = _distinct(one.metal for one in _constants() if one.ligand == ligand)
        raise Refusal(f"no constant of {metal} with {ligand} is held", where=WHERE,
                      remedy=_remedy(metal, ligand, with_metal, with_ligand))
    return found


def ligands_of(metal: str) -> tuple[str, ...]:
    """Return the names of the ligands with which constants of a metal are held; may be none."""
    return _distinct(one.ligand for one in _constants() if one.metal == metal.strip())


def metals_of(ligand: str) -> tuple[str, ...]:
    """Return the metals whose constants with a ligand are held; may be none."""
    return _distinct(one.metal for one in _constants() if one.ligand == _ligand(ligand.strip()))


def _remedy(metal: str, ligand: str, with_metal: tuple[str, ...], with_ligand: tuple[str, ...]) -> str:
    if with_metal:
        return f"for {metal} choose {' or '.join(near(ligand, with_metal) or with_metal)}"
    if with_ligand:
        return f"for {ligand} choose one of {', '.join(with_ligand)}"
    return "write the ion as in Ca2+ and the ligand as in ammonia, or give the constants with their source"


def _ligand(name: str) -> str:
    """Return the name of a ligand that may be given by its species."""
    species = {"NH3": "ammonia", "OH-": "hydroxide", "Cl-": "chloride", "Br-": "bromide", "I-": "iodide",
               "F-": "fluoride", "CN-": "cyanide", "SCN-": "thiocyanate", "S2O3 2-": "thiosulfate",
               "SO4 2-": "sulfate", "C6H5O7 3-": "citrate", "C10H12N2O8 4-": "EDTA"}
    return species.get(name, name)


def _distinct(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(names))


@cache
def _constants() -> tuple[FormationConstant, ...]:
    return tuple(_formation_constant(row) for row in table("formation_constants").rows)


def _formation_constant(row: Row) -> FormationConstant:
    return FormationConstant(
        row["key"], row["metal"], row["ligand"], int(row["number"]), row["form"], row["equilibrium"], row["complex"],
        float(row["value"]), float(row["half_width"]), float(row["temperature_degC"]),
        number(row["ionic_strength_mol_per_L"]), row["kind"], number(row["enthalpy_kJ_per_mol"]), row["data_set"],
        row["chosen"] == "yes", citation(row), row["status"], row["note"],
    )
