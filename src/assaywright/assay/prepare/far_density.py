"""Densities as stated that lie far from the table's: what is said of them on a sheet."""

from collections.abc import Iterable

from assaywright.chemistry.content_state import far_from_table
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import exact, influence, influence_key
from assaywright.metrology.quantity import Quantity


def far_densities(
    solute: Solute, stated: Iterable[tuple[str, Quantity | None, float | None, float]]
) -> tuple[str, ...]:
    """Return a sentence for each stated density that the table contradicts.

    Arguments:
        solute: of the solutions.
        stated: name of the solution, its density as typed [g/mL], its content [% w/w] and its temperature [°C]; what
            has no density or no known content is left out.
    """
    told: list[str] = []
    for name, density, percent, degrees in stated:
        if density is None or percent is None:
            continue
        typed = influence(influence_key("density", name, "as stated", "density"), density.to("g/mL"),
                          density.uncertainty_in("g/mL"), "g/mL", label=f"density of {name}")
        told += [f"Density of {name}: {one.what}; {one.remedy}, before anything is done by this sheet."
                 for one in far_from_table(solute, exact(percent, "% w/w"), typed, degrees)]
    return tuple(told)
