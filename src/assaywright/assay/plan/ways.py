"""Which ways there are: every method that suits, each way of taking the portion, each vessel and titrant listed."""

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import groupby, product
from typing import Any

import numpy as np

from assaywright.assay.content import needs_density
from assaywright.assay.method import Method, Reactant, library_text, load_method, method_names
from assaywright.assay.observations import Balance, ReferenceMaterial, Solution, Vessel, Worksheet
from assaywright.assay.plan.carbonate import carbonate_share
from assaywright.assay.plan.grid import Grid, Indices, grid_of
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.setup import (
    BACK,
    BARIUM_CHLORIDE,
    BLANKS_LIKEWISE,
    BY_MASS,
    HANDLING,
    LIKEWISE,
    PIPETTED,
    PIPETTED_FLASK,
    WAYS,
    WEIGHED,
    WEIGHED_DILUTION,
    WEIGHED_FLASK,
    Setup,
)
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.plan.strength import too_strong
from assaywright.assay.solution_remarks import last_day
from assaywright.assay.solutions import in_force
from assaywright.assay.upstream import Upstream
from assaywright.assay.wording import written_date
from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark

STRENGTH_TOLERANCE = 1.1  # how far beyond the strengths that a method is meant for a titrant may be
FIELDS = {PIPETTED: ("titrant", "burette", "pipette"), WEIGHED: ("titrant", "burette"),
          PIPETTED_FLASK: ("titrant", "burette", "pipette", "flask", "aliquot"),
          WEIGHED_FLASK: ("titrant", "burette", "flask", "aliquot"),
          WEIGHED_DILUTION: ("titrant", "burette", "flask")}
IN_EXCESS = ("reagent", "excess")
MATERIALS = ("burette", "pipette", "flask", "aliquot", "excess")


@dataclass(slots=True)
class Search:
    """What is looked for, and what was left out with the reason.

    Fields:
        nominal: content or concentration expected [unit of the result].
        expect: returns the worksheet expected of a setup.
        notes: sentences on what was left out.
        considered: number of combinations of listed things, before any was ruled out.
        ends: least and greatest content that have to be titrated without refilling, as shares of the nominal one [1].
        held: solutions whose result would be held back from release, with the reason as a sentence.
        asked: remarks that are told of a solution, not to be told once more of an option.
    """

    shelf: Shelf
    upstream: Upstream
    nominal: float
    expect: Callable[[Setup], Worksheet]
    notes: list[str] = field(default_factory=list)
    considered: int = 0
    ends: tuple[float, float] = (1.0, 1.0)
    held: list[tuple[Solution, str]] = field(default_factory=list)
    asked: set[str] = field(default_factory=set)

    def hold(self, solution: Solution, one: Remark) -> None:
        """Keep why a solution's result would be held back, once."""
        own = one.what if one.what.startswith(solution.name) else f"{solution.name}: {one.what}"
        last = last_day(solution)
        if one.kind == "titrant-past-its-date" and last is not None:
            own = f"{solution.name} may be used until {written_date(last)}, which is past on that day"
        if (solution, f"{own}.") not in self.held:
            self.held.append((solution, f"{own}."))
        self.asked.add(one.what)

    def held_of(self, setup: Setup) -> tuple[str, ...]:
        """Return why the result of a setup would be held back for its solutions, as sentences."""
        return tuple(told for one, told in self.held if one in (setup.titrant, setup.reagent, setup.against))

    def note(self, sentence: str) -> None:
        """Keep a sentence once."""
        if sentence not in self.notes:
            self.notes.append(sentence)


def suitable_methods(wanted: Product, own: Mapping[str, Method] | None = None) -> tuple[Method, ...]:
    """Return the methods named by the product, else those of the library whose analyte it is.

    Arguments:
        own: the laboratory's own methods by the names that a product may give them.

    Raises:
        Refusal: none suits, or one that is named determines another substance and nothing tells the equivalents.
    """
    if wanted.methods:
        named = tuple((own or {}).get(name) or load_method(name) for name in wanted.methods)
        for one in named:
            _check_named(one, wanted)
        return named
    sought = parse_formula(wanted.formula)
    found = tuple(load_method(name) for name, formula in _analytes() if sought.is_same_entity(parse_formula(formula)))
    for one in found:
        _check_equivalents(one, wanted)
    if not found:
        raise Refusal(f"no method of the library determines {wanted.formula}", where=wanted.path,
                      remedy='name one with methods = ["…"] and equivalents = …, or another substance')
    return found


@cache
def _analytes() -> tuple[tuple[str, str], ...]:
    """Return name and analyte's formula of every assay of the library.

    They are looked up before a method is read and checked in full, which takes five times as long for all of them.
    """
    tables = ((name, tomllib.loads(library_text(name))) for name in method_names())
    return tuple((name, table["analyte"]["formula"]) for name, table in tables if table["kind"] == "assay")


def _check_named(method: Method, wanted: Product) -> None:
    """Refuse a method by name that is no assay, or is of another substance without the equivalents of this one."""
    if method.kind != "assay":
        raise Refusal(f"{method.name} standardises a titrant and assays nothing", where=f"{wanted.path}: methods",
                      remedy=f"plan it by itself: assaywright plan {method.name} --vessels FILE")
    if parse_formula(wanted.formula).is_same_entity(parse_formula(method.analyte.formula)):
        _check_equivalents(method, wanted)
    elif wanted.equivalents is None:
        raise Refusal(f"{method.name} determines {method.analyte.formula}, and nothing tells how {wanted.formula} "
                      "counts in its reaction", where=f"{wanted.path}: equivalents",
                      remedy=f"give equivalents, those of one mole of {wanted.formula}, or name another method")


def _check_equivalents(method: Method, wanted: Product) -> None:
    """Refuse equivalents that contradict the method's own of the same substance."""
    own = method.analyte.equivalents
    if wanted.equivalents not in (None, own):
        raise Refusal(f"{method.name} counts {own} to one mole of {wanted.formula}, and the product says "
                      f"{wanted.equivalents}", where=f"{wanted.path}: equivalents",
                      remedy="leave it out, since the method knows its own")


def grids_of_assay(wanted: Product, method: Method, search: Search) -> Iterator[Grid]:
    """Yield the grids of one method for a product, one for each way that it allows, and for each form of a blank."""
    strong = too_strong(wanted, method)
    if strong:
        search.note(strong)
        return
    titrants = usable(method.titrant, "titrant", method, search)
    if not _of_formula(search.shelf.titrants, method.titrant):
        search.note(f"{method.name} is left out: its titrant, {method.titrant.name}, is not on the shelf.")
    base = Part(method, titrants, carbonate=carbonate_share(wanted, method))
    for way in WAYS:
        if titrants and _allowed(way, wanted, method, search):
            for part in _with_reagents(base, search) if method.scheme == BACK else (base,):
                yield from _grids(way, part, search)


def grids_of_standardisation(method: Method, sought: Solution, standard: ReferenceMaterial,
                             search: Search) -> Iterator[Grid]:
    """Yield the grids of a standardisation with one reference material: weighed, or weighed into a flask."""
    for way in (WEIGHED, WEIGHED_FLASK):
        if HANDLING[way] in method.sample.handling:
            yield from _grids(way, Part(method, (sought,), standard=standard), search)


def grids_against_solution(method: Method, sought: Solution, known: Solution, search: Search, *,
                           known_in_burette: bool) -> Iterator[Grid]:
    """Yield the grids of a titrant set against a known solution, one of which is pipetted."""
    part = Part(method, (sought,), against=known, known_in_burette=known_in_burette)
    yield from _grids(PIPETTED, part, search)


@dataclass(frozen=True, slots=True)
class Part:
    """A method with the solutions it may be done with.

    Fields:
        titrants: that may be in the burette.
        standard, against, known_in_burette, carbonate: as of a setup.
        reagents: that may be added in excess; blanks is the number of blanks titrated likewise.
    """

    method: Method
    titrants: Sequence[Solution]
    standard: ReferenceMaterial | None = None
    against: Solution | None = None
    known_in_burette: bool = False
    carbonate: float = 0.0
    reagents: Sequence[Solution] = ()
    blanks: int = 0


def _with_reagents(part: Part, search: Search) -> Iterator[Part]:
    """Yield a back titration with the reagent's concentration known, and with blanks titrated likewise."""
    method = part.method
    reactant = Refusal.unless(method.reagent, f"the method '{method.name}' names no reagent")
    listed = _of_formula(search.shelf.titrants, reactant)
    if not listed:
        search.note(f"{method.name} is left out: its reagent, {reactant.name}, is not among the titrants of the shelf.")
    if not method.blank.required:
        reagents = tuple(one for one in listed if _has_value(one) and _usable(one, reactant, "reagent", method, search))
        if reagents:
            yield replace(part, reagents=reagents)
    if method.blank.kind == LIKEWISE:
        about = (_about(one) for one in listed)
        reagents = tuple(one for one in about
                         if one is not None and _usable(one, reactant, "reagent", method, search))
        if reagents:
            yield replace(part, reagents=reagents, blanks=BLANKS_LIKEWISE)
    for one in listed:
        if _about(one) is None:
            search.note(f"{one.name} is left out: it states neither a concentration nor a nominal one.")


def note_unasked(methods: Sequence[Method], search: Search) -> None:
    """Note which solutions of the shelf no method that suits asks for."""
    asked = {id(one) for method in methods for part in (method.titrant, method.reagent) if part is not None
             for one in _of_formula(search.shelf.titrants, part)}
    rest = [one.name for one in search.shelf.titrants if id(one) not in asked]
    if rest:
        search.note(f"No method that suits asks for {', '.join(rest)}.")


def _has_value(one: Solution) -> bool:
    return one.concentration is not None or bool(one.worksheets or one.stored)


def _about(one: Solution) -> Solution | None:
    """Return a reagent with about its concentration, the nominal one where no other is stated; None without either."""
    if _has_value(one):
        return one
    return replace(one, concentration=one.nominal) if one.nominal is not None else None


def usable(reactant: Reactant, role: str, method: Method, search: Search) -> tuple[Solution, ...]:
    """Return the solutions of the shelf that may play a part in the method; others get a note where they come near.

    Arguments:
        reactant: what the method says of that part.
        role: "titrant", "against" or "reagent".
    """
    return tuple(one for one in _of_formula(search.shelf.titrants, reactant)
                 if _usable(one, reactant, role, method, search))


def _of_formula(solutions: Sequence[Solution], reactant: Reactant) -> tuple[Solution, ...]:
    sought = parse_formula(reactant.formula)
    return tuple(one for one in solutions if parse_formula(one.formula).is_same_entity(sought))


def _usable(solution: Solution, reactant: Reactant, role: str, method: Method, search: Search) -> bool:
    if not search.shelf.burettes:
        return False
    sheet = search.expect(Setup(method, PIPETTED, solution, search.shelf.burettes[0]))
    remarks: list[Remark] = []
    try:
        found = in_force(solution, reactant, sheet, role, method, search.upstream, remarks)
    except Refusal as refusal:
        search.note(f"{solution.name} is left out: {refusal.what}.")
        return False
    if found.estimate.unit != "mol/L":
        search.note(f"{solution.name} is left out: it is delivered by mass, which is not planned.")
        return False
    for one in remarks:
        if one.holds:
            search.hold(solution, one)
    stated = solution.concentration
    if stated is not None and stated.uncertainty is None and solution in search.shelf.titrants:
        search.note(f"{solution.name} states {stated.text} without an uncertainty: it is taken as exact, and what is "
                    "predicted is too small by what it leaves open.")
    meant = [strength.to("mol/L") for strength in reactant.nominal]
    within = not meant or (min(meant) / STRENGTH_TOLERANCE <= found.estimate.value <= max(meant) * STRENGTH_TOLERANCE)
    if not within:
        told = f"{min(meant):g}" if len(set(meant)) == 1 else f"{min(meant):g} to {max(meant):g}"
        search.note(f"{solution.name} is left out of {method.name}: it has {found.estimate.value:.4g} mol/L, and the "
                    f"method is meant for {told} mol/L.")
    return within


def _allowed(way: str, wanted: Product, method: Method, search: Search) -> bool:
    """Whether method, state of the product and density allow a way."""
    if way == PIPETTED and wanted.state == "solution" and HANDLING[PIPETTED] not in method.sample.handling:
        told = " or ".join(one for one in ("weighed", "diluted") if one in method.sample.handling)
        search.note(f"No portion is pipetted by {method.name}: it has the sample {told}.")
    if HANDLING[way] not in method.sample.handling or (wanted.state == "solid" and way not in BY_MASS):
        return False
    if method.scheme == BARIUM_CHLORIDE and way in (WEIGHED, WEIGHED_DILUTION):
        return False  # two equal aliquots are titrated, and only a pipette makes them equal
    by_volume = way not in BY_MASS
    if wanted.density is None and needs_density(wanted.nominal.unit, by_volume=by_volume):
        taken = "pipetted" if by_volume else "weighed"
        search.note(f"Every {taken} portion is left out: the content in {wanted.nominal.unit} then needs the product's "
                    "density, which is not stated.")
        return False
    return True


def _grids(way: str, part: Part, search: Search) -> Iterator[Grid]:
    """Yield the grids of a way: one for each balance and each set of glasses that expand alike."""
    shelf, method = search.shelf, part.method
    balances: Sequence[Balance | None] = shelf.balances if way in BY_MASS else (None,)
    listed: dict[str, Sequence[Any]] = {"titrant": part.titrants, "burette": shelf.burettes, "pipette": shelf.pipettes,
                                        "flask": shelf.flasks, "aliquot": shelf.pipettes, "reagent": part.reagents,
                                        "excess": shelf.pipettes}
    fields = (*FIELDS[way], *IN_EXCESS) if part.reagents else FIELDS[way]
    kinds = [[list(group) for _, group in groupby(sorted(listed[name], key=_material), key=_material)]
             if name in MATERIALS else [list(listed[name])] for name in fields]
    for balance, groups in product(balances, product(*kinds)):
        choices = dict(zip(fields, groups, strict=True))
        index = _index(way, method, choices, search)
        if index is None:
            continue
        base = Setup(method, way, portion_g=1.0 if way in BY_MASS else 0.0, balance=balance, standard=part.standard,
                     against=part.against, known_in_burette=part.known_in_burette, blanks=part.blanks,
                     carbonate=part.carbonate, **{name: several[0] for name, several in choices.items()})
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
