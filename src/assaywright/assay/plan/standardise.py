"""The plan of a standardisation: what to weigh or to pipette, how to dry a standard, how often to titrate."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from assaywright.assay.method import Method, Reactant, load_method
from assaywright.assay.observations import ReferenceMaterial, Solution
from assaywright.assay.plan.contents import ends_of_scale
from assaywright.assay.plan.plan import ASKED_FOR, check_shelf, concluded, of_shelf
from assaywright.assay.plan.predict import expected_of, least_portion_g
from assaywright.assay.plan.result import Plan
from assaywright.assay.plan.setup import expected_worksheet
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.plan.ways import Search, grids_against_solution, grids_of_standardisation, usable
from assaywright.assay.plan.words import decimals, grams
from assaywright.assay.upstream import Opener, Upstream
from assaywright.assay.worksheet import parse_worksheet
from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.reference.substances import Drying, PrimaryStandard, primary_standard

ABOUT_SOLID_G_PER_ML = 2.0


@dataclass(frozen=True, slots=True)
class Conditioning:
    """What is known of drying and keeping a primary standard; the certificate's own words go first.

    Fields:
        standard: name of the reference material.
        certificate: what the shelf says of its basis and drying.
        drying: what the sources say, one after the other.
        disagreement: how far they differ, in words; empty where they agree.
        hygroscopicity: of the substance, in words.
        least: smallest portion by certificate and balance, in words.
    """

    standard: str
    certificate: str
    drying: tuple[Drying, ...]
    disagreement: str
    hygroscopicity: str
    least: str


@dataclass(frozen=True, slots=True)
class StandardisationPlan:
    """A plan with what has to be done to the standard first."""

    plan: Plan
    conditioning: tuple[Conditioning, ...]


def plan_standardisation(
    name: str, shelf: Shelf, day: date, opener: Opener, *, nominal: Quantity | None = None,
    uncertainty: float | None = None, own: Method | None = None,
) -> StandardisationPlan:
    """Return the feasible ways to standardise a titrant with what stands on the shelf, best first.

    A weighed portion is chosen for 80 % of the burette, not below the certificate's smallest nor the balance's; a
    known solution, or the one sought, is taken by each of the pipettes.

    Arguments:
        name: of a method of standardisation, by weighing or against another solution.
        shelf: what the laboratory has.
        day: of the work.
        opener: returns the bytes of a file that the shelf refers to.
        nominal: concentration of the titrant; every one the method is meant for when not given [mol/L].
        uncertainty: wanted, expanded and relative [1].
        own: the laboratory's own method of that name; one of the library's when not given.

    Raises:
        Refusal: another kind of method, no such material or solution, nothing feasible, or the uncertainty out of
            reach.
    """
    check_shelf(shelf)
    with of_shelf(shelf):
        return _plan_standardisation(own or load_method(name), shelf, day, opener, nominal, uncertainty)


def _plan_standardisation(method: Method, shelf: Shelf, day: date, opener: Opener, nominal: Quantity | None,
                          uncertainty: float | None) -> StandardisationPlan:
    name = method.name
    if method.kind != "standardisation":
        raise Refusal(f"the method '{name}' assays a product and standardises nothing", where="plan",
                      remedy="name a product's FILE.toml, or a method like hcl-by-sodium-carbonate; assaywright "
                             "methods lists them")
    if nominal is not None and not nominal.value > 0:
        raise Refusal(f"{shown(nominal.text)} is no concentration of a titrant", where="--nominal",
                      remedy='give one above zero, like "0.5 mol/L"')
    strengths = (nominal,) if nominal is not None else method.titrant.nominal[-1:]
    if not strengths:
        raise Refusal("the method names no concentration of its titrant", where=name, remedy="give --nominal")
    search = Search(shelf, Upstream(opener), strengths[0].to("mol/L"),
                    lambda setup: expected_worksheet(setup, None, shelf, day))
    sought = _sought(method, strengths[0])
    materials: tuple[ReferenceMaterial, ...] = ()
    if method.standard is not None:
        materials, against = _materials(method.standard, shelf), method.standard.name
        grids = (grid for one in materials for grid in grids_of_standardisation(method, sought, one, search))
    else:
        known = _known_solutions(method, search)
        against = known[0].name if len(known) == 1 else Refusal.unless(method.against, "nothing to set it against").name
        grids = (grid for one in known for grid in grids_against_solution(
            method, sought, one, search, known_in_burette=_known_in_burette(method)))
    inverse = method.standard is not None or not _known_in_burette(method)
    search.ends = ends_of_scale(None, search.nominal, inverse=inverse)
    expected = [expected_of(grid, shelf, ABOUT_SOLID_G_PER_ML, search.ends) for grid in grids]
    wanted = uncertainty * search.nominal if uncertainty is not None else None
    title = f"{sought.name} standardised with {against}"
    plan = concluded(expected, search, wanted, ASKED_FOR if wanted is not None else "", title, None)
    return StandardisationPlan(plan, tuple(conditioning_of(one, shelf) for one in materials))


def _known_solutions(method: Method, search: Search) -> tuple[Solution, ...]:
    """Return the solutions of the shelf that the method may set a titrant against."""
    reactant = Refusal.unless(method.against, f"the method '{method.name}' names no known solution")
    found = usable(reactant, "against", method, search)
    if not found:
        told = f". {' '.join(search.notes).rstrip('.')}" if search.notes else ""
        raise Refusal(f"there is no {reactant.name} of known concentration among the titrants of the shelf{told}",
                      where=search.shelf.path,
                      remedy="list one under [[titrant]] with its certificate or worksheets, or name another method")
    return found


def _known_in_burette(method: Method) -> bool:
    """Return whether the known solution is in the burette, as in the method's own worked example."""
    return not parse_worksheet(method.example.worksheet.encode(), method.where).unknown_in_burette


def _materials(standard: Reactant, shelf: Shelf) -> tuple[ReferenceMaterial, ...]:
    """Return the reference materials of the shelf that are the method's standard."""
    wanted = parse_formula(standard.formula)
    found = tuple(one for one in shelf.reference_materials
                  if _formula(one) and wanted.is_same_entity(parse_formula(_formula(one))))
    if not found:
        held = ", ".join(one.name for one in shelf.reference_materials) or "none"
        raise Refusal(f"there is no {standard.name} among the reference materials of the shelf (they are: {held})",
                      where=shelf.path, remedy="list one under [[reference_material]], or name another method")
    return found


def _formula(one: ReferenceMaterial) -> str:
    known = _known(one)
    return one.formula or (known.formula if known is not None else "")


def _known(one: ReferenceMaterial) -> PrimaryStandard | None:
    """Return the primary standard that a reference material is, where the tables hold it."""
    for name in (one.name, one.formula):
        try:
            return primary_standard(name)
        except Refusal:
            continue
    return None


def _sought(method: Method, nominal: Quantity) -> Solution:
    return Solution(f"{method.titrant.name} {nominal.text}", method.titrant.formula, nominal)


def conditioning_of(standard: ReferenceMaterial, shelf: Shelf) -> Conditioning:
    """Return what is known of drying and keeping a reference material.

    Sources that differ are all told, with how far they lie apart; none is preferred to the certificate.

    Arguments:
        standard: of the shelf.
        shelf: for the balance's least portion.
    """
    known = _known(standard)
    drying = known.drying if known is not None else ()
    basis = "used as it is" if standard.basis == "as is" else f"certified dried ({standard.dried or 'not said how'})"
    least = [f"{grams(least_portion_g(one, standard))} on balance {one.identity}" for one in shelf.balances]
    return Conditioning(
        standard.name, f"certificate {standard.certificate.identity}: {basis}", drying, disagreement(drying),
        known.hygroscopicity if known is not None else "", "; ".join(least) or "no balance is listed")


def disagreement(drying: Sequence[Drying]) -> str:
    """Return how far sources on drying lie apart, in one sentence; empty where they agree.

    Example:
        >>> disagreement(())
        ''
    """
    hot = [float(end) for one in drying for end in one.temperature_degC.split("-") if end]
    hours = sorted({one.time_h for one in drying if one.time_h})
    if len(set(hot)) < 2 and len(hours) < 2:
        return ""
    told = f"{decimals(min(hot), 0)} to {decimals(max(hot), 0)} °C" if hot else "no temperature"
    times = " or ".join(f"{one} h" if one[0].isdigit() else one for one in hours)
    return f"The sources disagree: {told}, {times or 'no time'}; the certificate's own instruction goes first."
