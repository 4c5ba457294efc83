"""Which ways there are: every method that suits, each way of taking the portion, each vessel and titrant listed."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import groupby, product
from typing import Any

import numpy as np

from assaywright.assay.content import needs_density
from assaywright.assay.method import Method, load_method, method_names
from assaywright.assay.observations import Balance, ReferenceMaterial, Solution, Vessel, Worksheet
from assaywright.assay.plan.grid import Grid, Indices, grid_of
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.setup import (
    BY_MASS,
    HANDLING,
    PIPETTED,
    PIPETTED_FLASK,
    WAYS,
    WEIGHED,
    WEIGHED_DILUTION,
    WEIGHED_FLASK,
    Setup,
)
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.solutions import in_force
from assaywright.assay.upstream import Upstream
from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

STRENGTH_TOLERANCE = 1.1  # how far beyond the strengths that a method is meant for a titrant may be
PLANNED_SCHEMES = ("direct", "standardisation by weighing")
FIELDS = {PIPETTED: ("titrant", "burette", "pipette"), WEIGHED: ("titrant", "burette"),
          PIPETTED_FLASK: ("titrant", "burette", "pipette", "flask", "aliquot"),
          WEIGHED_FLASK: ("titrant", "burette", "flask", "aliquot"),
          WEIGHED_DILUTION: ("titrant", "burette", "flask")}
MATERIALS = ("burette", "pipette", "flask", "aliquot")


@dataclass(slots=True)
class Search:
    """What is looked for, and what was left out with the reason.

    Fields:
        nominal: content or concentration expected [unit of the result].
        expect: returns the worksheet expected of a setup.
        notes: sentences on what was left out.
        considered: number of combinations of listed things, before any was ruled out.
        highest: greatest content that has to be titrated without refilling, as a share of the nominal one [1].
    """

    shelf: Shelf
    upstream: Upstream
    nominal: float
    expect: Callable[[Setup], Worksheet]
    notes: list[str] = field(default_factory=list)
    considered: int = 0
    highest: float = 1.0

    def note(self, sentence: str) -> None:
        """Keep a sentence once."""
        if sentence not in self.notes:
            self.notes.append(sentence)


def suitable_methods(wanted: Product, search: Search) -> tuple[Method, ...]:
    """Return the methods named by the product, else those of the library whose analyte it is.

    Raises:
        Refusal: none suits, or one that is named cannot be planned.
    """
    sought = parse_formula(wanted.formula)
    every = [load_method(name) for name in wanted.methods or method_names()]
    found = [one for one in every if one.kind == "assay" and
             (wanted.methods or sought.is_same_entity(parse_formula(one.analyte.formula)))]
    for one in found:
        if one.scheme not in PLANNED_SCHEMES:
            search.note(f"{one.name} is left out: a titration of the scheme '{one.scheme}' is not planned.")
    planned = tuple(one for one in found if one.scheme in PLANNED_SCHEMES)
    if not planned:
        near = ", ".join(one.name for one in found) or "none of the library determines it"
        raise Refusal(f"no method that can be planned determines {wanted.formula} ({near})", where=wanted.path,
                      remedy="name direct titrations with methods = [\"…\"], or another substance")
    return planned


def grids_of_assay(wanted: Product, method: Method, search: Search) -> Iterator[Grid]:
    """Yield the grids of one method for a product, one for each way that it allows."""
    titrants = usable_titrants(method, search)
    for way in WAYS:
        if titrants and _allowed(way, wanted, method, search):
            yield from _grids(way, method, titrants, search)


def grids_of_standardisation(method: Method, sought: Solution, standard: ReferenceMaterial,
                             search: Search) -> Iterator[Grid]:
    """Yield the grids of a standardisation with one reference material: weighed, or weighed into a flask."""
    for way in (WEIGHED, WEIGHED_FLASK):
        if HANDLING[way] in method.sample.handling:
            yield from _grids(way, method, (sought,), search, standard)


def usable_titrants(method: Method, search: Search) -> tuple[Solution, ...]:
    """Return the titrants of the shelf that the method may be done with; the others get a note where they come near."""
    same = [one for one in search.shelf.titrants
            if parse_formula(one.formula).is_same_entity(parse_formula(method.titrant.formula))]
    return tuple(one for one in same if _usable(one, method, search))


def _usable(titrant: Solution, method: Method, search: Search) -> bool:
    if not search.shelf.burettes:
        return False
    sheet = search.expect(Setup(method, PIPETTED, titrant, search.shelf.burettes[0]))
    remarks: list[Remark] = []
    try:
        found = in_force(titrant, method.titrant, sheet, "titrant", method, search.upstream, remarks)
    except Refusal as refusal:
        search.note(f"{titrant.name} is left out: {refusal.what}.")
        return False
    if found.estimate.unit != "mol/L":
        search.note(f"{titrant.name} is left out: it is delivered by mass, which is not planned.")
        return False
    for one in remarks:
        if one.holds:
            search.note(f"{titrant.name}: {one.what}.")
    meant = [strength.to("mol/L") for strength in method.titrant.nominal]
    within = not meant or (min(meant) / STRENGTH_TOLERANCE <= found.estimate.value <= max(meant) * STRENGTH_TOLERANCE)
    if not within:
        search.note(f"{titrant.name} is left out of {method.name}: the method is meant for {min(meant):g} to "
                    f"{max(meant):g} mol/L.")
    return within


def _allowed(way: str, wanted: Product, method: Method, search: Search) -> bool:
    """Whether method, state of the product and density allow a way."""
    if HANDLING[way] not in method.sample.handling or (wanted.state == "solid" and way not in BY_MASS):
        return False
    by_volume = way not in BY_MASS
    if wanted.density is None and needs_density(wanted.nominal.unit, by_volume=by_volume):
        taken = "pipetted" if by_volume else "weighed"
        search.note(f"Every {taken} portion is left out: the content in {wanted.nominal.unit} then needs the product's "
                    "density, which is not stated.")
        return False
    return True


def _grids(way: str, method: Method, titrants: Sequence[Solution], search: Search,
           standard: ReferenceMaterial | None = None) -> Iterator[Grid]:
    """Yield the grids of a way: one for each balance and each set of glasses that expand alike."""
    shelf = search.shelf
    balances: Sequence[Balance | None] = shelf.balances if way in BY_MASS else (None,)
    listed: dict[str, Sequence[Any]] = {"titrant": titrants, "burette": shelf.burettes, "pipette": shelf.pipettes,
                                        "flask": shelf.flasks, "aliquot": shelf.pipettes}
    kinds = [[list(group) for _, group in groupby(sorted(listed[name], key=_material), key=_material)]
             if name in MATERIALS else [list(listed[name])] for name in FIELDS[way]]
    for balance, groups in product(balances, product(*kinds)):
        choices = dict(zip(FIELDS[way], groups, strict=True))
        index = _index(way, method, choices, search)
        if index is None:
            continue
        base = Setup(method, way, portion_g=1.0 if way in BY_MASS else 0.0, balance=balance, standard=standard,
                     **{name: several[0] for name, several in choices.items()})
        yield grid_of(base, choices, index, search.expect, search.upstream, search.nominal)


def _material(vessel: Vessel) -> str:
    return vessel.material


def _index(way: str, method: Method, choices: dict[str, list[Any]], search: Search) -> dict[str, Indices] | None:
    """Return the number of the choice for each combination that can be put together; None where there is none.

    The portion fits into the flask, and the flask gives an aliquot for each determination and one for rinsing.
    """
    sizes = [len(several) for several in choices.values()]
    count = int(np.prod(sizes))
    search.considered += count
    numbers = np.indices(sizes).reshape(len(sizes), count)
    index = dict(zip(choices, numbers, strict=True))
    fits = np.ones(count, dtype=bool)
    if "flask" in choices and "aliquot" in choices:
        flask, aliquot = (_nominal_mL(choices[name])[index[name]] for name in ("flask", "aliquot"))
        fits &= (method.replicates + 1) * aliquot <= flask
        if way == PIPETTED_FLASK:
            fits &= _nominal_mL(choices["pipette"])[index["pipette"]] < flask
    kept = np.flatnonzero(fits)
    return {name: each[kept] for name, each in index.items()} if kept.size else None


def _nominal_mL(vessels: Sequence[Vessel]) -> Any:
    return np.array([one.nominal.to("mL") for one in vessels])
