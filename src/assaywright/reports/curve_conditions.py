"""The solutions and conditions of a titration in one line."""

from collections.abc import Callable

from assaywright.assay.wording import written_figures
from assaywright.chemistry.system import System

ACTIVITIES = {"Davies": "activities after Davies", "ideal": "activity coefficients of one",
              "SIT": "activities by specific ion interaction"}


def conditions(system: System, named: Callable[[str], str] = str) -> str:
    """Return a system's solutions and conditions in one line.

    Arguments:
        system: the titration.
        named: how a substance's name is written.
    """
    flask, burette = ([f"{named(one.substance)} {one.concentration_mol_per_L:.4g} mol/L" for one in portions]
                      for portions in (system.analyte, system.titrant))
    water = f", {system.water_mL:g} mL of water" if system.water_mL else ""
    parts = [f"{system.volume_mL:g} mL of {' and '.join(flask)}{water}; titrant {' with '.join(burette)}",
             f"{system.temperature_degC:g} °C"]
    if system.kind != "redox":
        parts.append(ACTIVITIES[system.activity])
    if system.pH is not None:
        parts.append(f"pH {system.pH:g}")
    parts += [f"{amount:g} mol/L of free {name}" for name, amount in system.free_ligands]
    if system.open_to_air:
        parts.append("open to air")
    if system.carbon_dioxide_mol_per_L:
        parts.append(f"carbon dioxide {written_figures(system.carbon_dioxide_mol_per_L, 2)} mol/L")
    if system.medium:
        parts.append(system.medium)
    return "; ".join(parts)
