"""Whether the coefficients of specific ion interaction are held for all ions of a system that meet."""

from collections.abc import Iterable, Iterator

from assaywright.chemistry.activity import SpecificInteraction
from assaywright.chemistry.equilibrium import Acid, StrongIon
from assaywright.chemistry.system.species import HYDROXIDE, PROTON, charge_of
from assaywright.metrology.refusal import Refusal


def check_interactions(model: SpecificInteraction, components: Iterable[Acid | StrongIon]) -> None:
    """Refuse a system in which an ion meets a strong ion of opposite charge and nothing is known of the two.

    Arguments:
        model: of the activities.
        components: acids and strong ions of flask and burette.

    Raises:
        Refusal: an acid whose forms are not named, or a pair without a coefficient; one sentence names it.
    """
    every = tuple(components)
    held = {frozenset(pair[:2]) for pair in model.coefficients}
    strong = {one.name: one.charge for one in every if isinstance(one, StrongIon)}
    for ion, charge in _reacting(every):
        for other, opposite in strong.items():
            if charge * opposite < 0 and frozenset((ion, other)) not in held:
                raise Refusal(f"no coefficient of specific interaction is held for {ion} with {other}", where="system",
                              remedy='write activity = "Davies"')


def _reacting(components: Iterable[Acid | StrongIon]) -> Iterator[tuple[str, int]]:
    """Yield the ions whose activity an equilibrium asks for, with their charges."""
    yield from ((PROTON, 1), (HYDROXIDE, -1))
    for one in components:
        if isinstance(one, Acid):
            if not one.forms:
                raise Refusal(f"specific interaction asks for the formulas of the forms of {one.name}", where="system",
                              remedy='write activity = "Davies"')
            yield from ((form, charge_of(form)) for form in one.forms if charge_of(form))
