"""Contents and their units: what a solution holds, from any unit to any other, with its uncertainty and its working.

A content by volume is meant at a temperature; a content by mass is not. Between the two stands the density of that very
solution, measured by the chemist or from a cited table, and its uncertainty.
"""

from dataclasses import dataclass, replace

from assaywright.chemistry.content_state import SolutionState, state_by_mass, state_by_volume
from assaywright.chemistry.content_steps import (
    AS_PER_MOLE,
    DENSITY,
    GIVEN,
    GIVEN_PER_MOLE,
    MASS,
    MASS_AS,
    PER_MOLE,
    RATIO,
    Operation,
    equation_of,
    operations,
)
from assaywright.chemistry.content_temperature import by_volume_at
from assaywright.chemistry.content_units import AS_EQUIVALENTS, check_content_unit, is_by_volume
from assaywright.chemistry.counting import Counting, Expressed
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.formula import Formula, molar_mass
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate, exact
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.model import Model, ModelInput
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark


@dataclass(frozen=True, slots=True)
class Content:
    """What a solution holds of a substance, as stated.

    Fields:
        estimate: the content, in the unit stated.
        solute: the substance.
        expressed: the species it is expressed as; none for the substance as weighed.
        temperature_degC: at which a content by volume holds [°C].
        text: as typed, for the working.
    """

    estimate: Estimate
    solute: Solute
    expressed: Expressed | None = None
    temperature_degC: float = REFERENCE_DEGC
    text: str = ""

    @property
    def unit(self) -> str:
        """The unit stated."""
        return self.estimate.unit


@dataclass(frozen=True, slots=True)
class Wanted:
    """In what a content is to be stated.

    Fields:
        unit: of content.
        expressed: the species it is to be expressed as; none for the substance as weighed.
        temperature_degC: at which a content by volume is to hold [°C].
    """

    unit: str
    expressed: Expressed | None = None
    temperature_degC: float = REFERENCE_DEGC


@dataclass(frozen=True, slots=True)
class Known:
    """What else is known of a solution.

    Fields:
        counting: equivalents of the substance in a named reaction; needed for eq/L.
        density: measured on the solution [g/mL]; a table is asked where there is none.
        density_source: who measured it, or the table, in words.
    """

    counting: Counting | None = None
    density: Estimate | None = None
    density_source: str = ""


@dataclass(frozen=True, slots=True)
class Converted:
    """A content in another unit.

    Fields:
        estimate: the content with its contributions.
        model: the equation with its inputs, for the working.
        mass_percent: of the substance as weighed, where it could be found [% w/w].
        density: used, or of use [g/mL]; none where none is held or needed.
        density_source: where the density is from.
        remarks: what is irregular about the density.
    """

    estimate: Estimate
    model: Model
    mass_percent: Estimate | None
    density: Estimate | None
    density_source: str
    remarks: tuple[Remark, ...] = ()


def convert(content: Content, wanted: Wanted, known: Known | None = None) -> Converted:
    """Return a content in another unit.

    b = c/rho, gamma = c M, w = gamma/rho, c_eq = c z: definitions, chained.

    Arguments:
        content: as stated.
        wanted: unit, species, temperature.
        known: reaction and density, where they are needed.

    Raises:
        Refusal: a unit that is none of content, equivalents without a reaction, a negative content, more than 100 %
            w/w, more than dissolves, or a density that is neither given nor held.

    Source: IUPAC Green Book, 3rd edition, 2.10.

    Example: 20 % w/w caustic soda is 24.4 % w/v

    >>> from assaywright.chemistry.solute import find_solute
    >>> caustic = Content(exact(20.0, "% w/w"), find_solute("NaOH"))
    >>> round(convert(caustic, Wanted("% w/v")).estimate.value, 1)
    24.4
    """
    known = known or Known()
    _check(content, wanted, known)
    crossing = is_by_volume(content.unit) != is_by_volume(wanted.unit)
    degrees = content.temperature_degC if is_by_volume(content.unit) else wanted.temperature_degC
    state = _state(content, known, degrees, needed=crossing)
    warmed = (is_by_volume(content.unit) and is_by_volume(wanted.unit)
              and content.temperature_degC != wanted.temperature_degC)
    ratio = None
    if warmed:
        ratio = by_volume_at(content.solute, state.mass_percent, _molarity(content, known),
                             content.temperature_degC, wanted.temperature_degC)
    model = _model(content, wanted, replace(known, density=state.density, density_source=state.source),
                   (ratio.ratio, ratio.source) if ratio else None)
    return Converted(evaluate_gum(model).estimate, model, state.mass_percent, state.density, state.source,
                     state.remarks)


def _check(content: Content, wanted: Wanted, known: Known) -> None:
    for unit in (content.unit, wanted.unit):
        check_content_unit(unit)
        if unit in AS_EQUIVALENTS and known.counting is None:
            raise Refusal(f"{unit} (normality) counts equivalents, and no reaction is named", where="content",
                          remedy="name the reaction, for 1 mol of a substance has as many as its reaction says")
    if not content.estimate.value >= 0:
        raise Refusal(f"a content of {content.estimate.value:g} {content.unit}", where="content",
                      remedy="give one of zero or more")


# --- the solution -----------------------------------------------------------------------------------------------------


def _state(content: Content, known: Known, temperature_degC: float, *, needed: bool) -> SolutionState:
    """Return what the solution is: checked against 100 % and the solubility; the density must be found if needed."""
    stated = None if known.density is None else (known.density, known.density_source)
    if is_by_volume(content.unit):
        return state_by_volume(content.solute, _in_solute(content, known, "g/L"), stated, temperature_degC,
                               needed=needed)
    return state_by_mass(content.solute, _in_solute(content, known, "% w/w"), stated, temperature_degC, needed=needed)


def _in_solute(content: Content, known: Known, unit: str) -> Estimate:
    """Return the content in a unit of the same basis, of the substance as weighed."""
    return evaluate_gum(_model(content, Wanted(unit), known, None)).estimate


def _molarity(content: Content, known: Known) -> float:
    return _in_solute(content, known, "mol/L").value


# --- the equation -----------------------------------------------------------------------------------------------------


def _model(content: Content, wanted: Wanted, known: Known, ratio: tuple[Estimate, str] | None) -> Model:
    """Return the measurement model; only the inputs that its lines use are listed."""
    given, asked = content.expressed, wanted.expressed
    given_formula = given.formula if given else content.solute.formula
    asked_formula = asked.formula if asked else content.solute.formula
    lines = operations(
        content.unit, wanted.unit,
        same_species=given_formula.is_same_entity(asked_formula),
        given_per_mole=float(given.moles_per_mole) if given else 1.0,
        as_per_mole=float(asked.moles_per_mole) if asked else 1.0,
        warmed=ratio is not None,
    )
    candidates = {
        GIVEN: ModelInput("x", f"content of {content.solute.name} as stated", content.estimate,
                          content.text, ""),
        MASS: _mass("M", given_formula),
        GIVEN_PER_MOLE: _moles("r_0", given, content.solute),
        DENSITY: ModelInput("ρ", "density of the solution", known.density, "", known.density_source)
        if known.density else None,
        RATIO: ModelInput("q", "ratio of the densities at the two temperatures", ratio[0], "", ratio[1])
        if ratio else None,
        AS_PER_MOLE: _moles("r", asked, content.solute),
        MASS_AS: _mass("M" if asked_formula.is_same_entity(given_formula) else "M_1", asked_formula),
        PER_MOLE: ModelInput("z", f"equivalents of {content.solute.formula.text} per mole",
                             exact(float(known.counting.number)), "",
                             f"{known.counting.reaction}, counting {known.counting.counted}")
        if known.counting else None,
    }
    inputs = {name: one for name, one in candidates.items()
              if one is not None and (name == GIVEN or _uses(lines, name))}
    return Model(equation_of(lines), inputs, wanted.unit, "y", f"content of {content.solute.name}")


def _uses(lines: tuple[Operation, ...], name: str) -> bool:
    return any(line.by == name for line in lines)


def _mass(symbol: str, formula: Formula) -> ModelInput | None:
    if not formula.atoms:
        return None
    return ModelInput(symbol, f"molar mass of {formula.text}", molar_mass(formula), "", "standard atomic weights")


def _moles(symbol: str, expressed: Expressed | None, solute: Solute) -> ModelInput | None:
    if expressed is None:
        return None
    label = f"moles of {expressed.formula.text} per mole of {solute.formula.text}"
    return ModelInput(symbol, label, exact(float(expressed.moles_per_mole)), "", expressed.reason)
