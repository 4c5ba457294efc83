"""Standard and formal potentials of half-reactions; the one kind is never given for the other."""

from dataclasses import dataclass
from functools import cache

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, citation, table
from assaywright.reference.near import near

WHERE = "potentials"


@dataclass(frozen=True, slots=True)
class Potential:
    """The potential of one half-reaction against the standard hydrogen electrode.

    Fields:
        key: of the row.
        couple: oxidised over reduced form ("Fe3+/Fe2+").
        half_reaction: written as reduction, balanced in atoms and charge with ``e-`` as a species, as
            :func:`assaywright.chemistry.reaction.parse_reaction` reads it.
        electrons: taken up.
        potential_V: against the standard hydrogen electrode [V].
        half_width_V: its bound [V].
        kind: "standard" (activities of one), "formal" (concentrations, in the medium named) or "reference electrode".
        medium: of a formal potential ("1 mol/L H2SO4"), empty for a standard one.
        temperature_degC: at which it holds [°C].
        data_set: name of the set the value belongs to.
        chosen: whether it is the one in use among those of its couple, kind and medium; the note says why.
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    key: str
    couple: str
    half_reaction: str
    electrons: int
    potential_V: float
    half_width_V: float
    kind: str
    medium: str
    temperature_degC: float
    data_set: str
    chosen: bool
    source: str
    status: str
    note: str

    @property
    def estimate(self) -> Estimate:
        """The potential [V] with its rectangular distribution, under its permanent key."""
        key = influence_key("potential", f"{self.couple}, {self.kind} {self.medium}", self.data_set, "potential")
        return influence(key, self.potential_V, standard_uncertainty_of_half_width(self.half_width_V), "V",
                         distribution="rectangular", label=f"potential of {self.couple}")


def couples() -> tuple[str, ...]:
    """Return the names of all couples whose potentials are held."""
    return tuple(dict.fromkeys(one.couple for one in _potentials()))


def potentials(couple_or_species: str, medium: str = "") -> tuple[Potential, ...]:
    """Return the chosen potentials of a couple, or of every couple in which a species is oxidised or reduced.

    Arguments:
        couple_or_species: "Fe3+/Fe2+", or one of its species.
        medium: for formal potentials in that medium ("1 mol/L H2SO4"); standard potentials when not given.

    Returns: potentials of one kind only; a species such as MnO4- may belong to several couples.

    Raises:
        Refusal: no such couple or species, or none of that kind; the sentence names the media that are held.

    Example:
        >>> [one.potential_V for one in potentials("Ce4+/Ce3+", "1 mol/L H2SO4")]
        [1.44]
    """
    held = [one for one in all_potentials(couple_or_species) if one.chosen]
    wanted = " ".join(medium.split())
    found = tuple(one for one in held if (one.medium == wanted if wanted else one.kind == "standard"))
    if not found:
        media = dict.fromkeys(one.medium or "none (standard)" for one in held)
        kind = f"potential in {wanted}" if wanted else "standard potential"
        raise Refusal(f"no {kind} of {couple_or_species} is held", where=WHERE,
                      remedy=f"choose the medium {' or '.join(media)}")
    return found


def all_potentials(couple_or_species: str) -> tuple[Potential, ...]:
    """Return every potential held for a couple or a species, of all kinds and media.

    Raises:
        Refusal: no such couple or species; the sentence names those that come near.
    """
    wanted = couple_or_species.strip()
    found = tuple(one for one in _potentials() if wanted in {one.couple, *one.couple.split("/")})
    if not found:
        close = near(wanted, couples())
        raise Refusal(f"no potential of '{couple_or_species}' is held", where=WHERE,
                      remedy=f"choose from {', '.join(close)}" if close else
                             "write a couple as in Fe3+/Fe2+, or give the potential with its source and medium")
    return found


def reference_electrode(name: str) -> Potential:
    """Return the potential of a reference electrode.

    Arguments:
        name: "calomel in saturated KCl" or "Ag/AgCl in saturated KCl".

    Raises:
        Refusal: no such electrode.
    """
    electrodes = {one.couple: one for one in _potentials() if one.kind == "reference electrode" and one.chosen}
    if name.strip() not in electrodes:
        raise Refusal(f"there is no reference electrode '{name}'", where=WHERE,
                      remedy=f"choose {' or '.join(electrodes)}")
    return electrodes[name.strip()]


@cache
def _potentials() -> tuple[Potential, ...]:
    return tuple(_potential(row) for row in table("redox_potentials").rows)


def _potential(row: Row) -> Potential:
    return Potential(
        row["key"], row["couple"], row["half_reaction"], int(row["electrons"]), float(row["value"]),
        float(row["half_width"]), row["kind"], row["medium"], float(row["temperature_degC"]), row["data_set"],
        row["chosen"] == "yes", citation(row), row["status"], row["note"],
    )
