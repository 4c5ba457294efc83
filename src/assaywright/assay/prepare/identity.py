"""Which form of a solid is weighed: formula and molar mass, to be compared with the bottle, and its other hydrates."""

from assaywright.assay.prepare.form import Source
from assaywright.assay.wording import written_figures
from assaywright.chemistry.formula import molar_mass
from assaywright.chemistry.solute import Solute, find_solute, other_forms

FIGURES = 5


def formula_of(source: Source, solute: Solute) -> str:
    """Return formula and molar mass of a solid, as its bottle has to say; empty for a solution or a diluent.

    Arguments:
        source: that is weighed.
        solute: of the solution, where the source names no form of its own.
    """
    if source.form != "solid":
        return ""
    return _told(find_solute(source.substance) if source.substance else solute)


def other_forms_of(source: Source, solute: Solute, amount: float) -> list[str]:
    """Return a note on the other hydrates of a solid that are held, with how much of each holds as much.

    m' = m M'/M

    Arguments:
        source: that is weighed.
        solute: of the solution.
        amount: of the source [g].
    """
    if source.form != "solid":
        return []
    weighed = find_solute(source.substance) if source.substance else solute
    molar = molar_mass(weighed.formula).value
    others = [f"{one.name} ({_told(one)}), {written_figures(amount * molar_mass(one.formula).value / molar, 4)} g"
              for one in other_forms(weighed)]
    if not others:
        return []
    return [(f"{source.name} is meant as {_told(weighed)}. Read the bottle's label before weighing: the same substance "
             f"is sold as {'; as '.join(others)} for as much. For another form than the one above make the sheet anew "
             "with its name.")]


def _told(solute: Solute) -> str:
    return f"{solute.formula.text}, {written_figures(molar_mass(solute.formula).value, FIGURES)} g/mol"
