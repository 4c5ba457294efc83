"""The plan: from a product and a shelf to the feasible options, best first."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from typing import NoReturn

from assaywright.assay.plan.detail import irregularities_of, option_of
from assaywright.assay.plan.grid import LEAST_USE, WANTED_USE, Grid
from assaywright.assay.plan.predict import (
    BLANK_OVER,
    GREATEST_USE,
    MOST_DETERMINATIONS,
    OVER_THE_TOP,
    TOO_LITTLE_REAGENT,
    TOO_LITTLE_TITRANT,
    USED_UP,
    Expected,
    Predicted,
    expected_of,
    predicted,
)
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.ranking import RULE_OPEN, RULE_WANTED, Ranked, chosen, ranked
from assaywright.assay.plan.result import Place, Plan
from assaywright.assay.plan.setup import BY_MASS, Setup, expected_worksheet
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.plan.ways import Search, grids_of_assay, suitable_methods
from assaywright.assay.plan.words import decimals, per_cent, way_words, whole_per_cent, why_best
from assaywright.assay.upstream import Opener, Upstream
from assaywright.metrology.refusal import Refusal

SHARE_OF_WIDTH = 0.25  # that 2U may be of a specification's width when nothing is asked for: common practice, no source
ABOUT_WATER_G_PER_ML = 1.0
ASKED_FOR = "asked for"


def plan_assay(product: Product, shelf: Shelf, day: date, opener: Opener, *, uncertainty: float | None = None) -> Plan:
    """Return the feasible ways to assay a product with what is on the shelf, best first.

    Arguments:
        product: with its nominal content and specification.
        shelf: what the laboratory has; nothing else is offered.
        day: of the work.
        opener: returns the bytes of a file that the shelf's titrants refer to.
        uncertainty: wanted, expanded and relative [1]; without it 2U is to be a quarter of the specification's width.

    Raises:
        Refusal: nothing is feasible, or the uncertainty asked for is out of reach; the sentence names the nearest
            feasible option and what stands in the way.
    """
    check_shelf(shelf)
    search = Search(shelf, Upstream(opener), float(product.nominal.value),
                    lambda setup: expected_worksheet(setup, product, shelf, day))
    grids = (grid for method in suitable_methods(product, search) for grid in grids_of_assay(product, method, search))
    lower, upper = product.specification.lower, product.specification.upper
    least, most = (float(one.value / product.nominal.value) if one is not None else 1.0 for one in (lower, upper))
    search.ends = (min(1.0, least), max(1.0, most))
    density = product.density.to("g/mL") if product.density is not None else ABOUT_WATER_G_PER_ML
    expected = [expected_of(grid, shelf, density, search.ends) for grid in grids]
    wanted, wanted_from = _wanted(product, uncertainty)
    title = f"{product.name}: {product.nominal.text} of {product.formula}"
    return concluded(expected, search, wanted, wanted_from, title, product)


def check_shelf(shelf: Shelf) -> None:
    """Refuse a shelf without which no titration is possible."""
    for named, several in (("burette", shelf.burettes), ("thermometer", shelf.thermometers)):
        if not several:
            raise Refusal(f"there is no {named} on the shelf", where=shelf.path, remedy=f"list one under [[{named}]]")


def _wanted(product: Product, uncertainty: float | None) -> tuple[float | None, str]:
    """Return the expanded uncertainty wanted [unit of the nominal content], and where it comes from."""
    if uncertainty is not None:
        return uncertainty * float(product.nominal.value), ASKED_FOR
    if product.width is not None:
        return SHARE_OF_WIDTH * product.width / 2, "2U at a quarter of the specification's width"
    return None, ""


def concluded(expected: list[Expected], search: Search, wanted: float | None, wanted_from: str, title: str,
              product: Product | None) -> Plan:
    """Return the plan of what is expected: predicted, ranked, the best told in full.

    Arguments:
        expected: of every grid.
        search: with what was left out.
        wanted: expanded uncertainty [unit of the result].
        wanted_from: where it comes from.
        title: what is planned.
        product: None for a standardisation.

    Raises:
        Refusal: see :func:`plan_assay`.
    """
    able = [one for one in (each.feasible() for each in expected) if len(one.grid)]
    if not able:
        _refuse_infeasible(expected, search)
    found = [predicted(one, wanted) for one in able]
    reaching = sum(int(one.reaches.sum()) for one in found) if wanted is not None else 0
    if wanted is not None and not reaching and wanted_from == ASKED_FOR:
        _refuse_unreached(found, wanted, search)
    by_time = wanted is not None and reaching > 0
    order = ranked(found, wanted=by_time)
    options = tuple(option_of(order.setup(place), place, number, order, search, product, wanted)
                    for number, place in enumerate(chosen(order), start=1))
    for sentence in irregularities_of(options[0].setup, search):
        search.note(sentence)
    rule = RULE_WANTED if by_time else RULE_OPEN
    if wanted is not None and not reaching:
        search.note(f"No option reaches {wanted_from}; they are ranked by their uncertainty.")
    return Plan(product, search.shelf, title, wanted, wanted_from, rule, why_best(options[0], wanted=by_time), options,
                search.considered, len(order.part), reaching if wanted is not None else len(order.part),
                tuple(_places(order)), tuple(search.notes))


def _places(order: Ranked) -> Iterator[Place]:
    for place in range(len(order.part)):
        way = order.parts[order.part[place]].expected.grid.base.way
        yield Place(way, float(order.minutes[place]), float(order.relative[place]))


# --- what is out of reach ---------------------------------------------------------------------------------------------


def _refuse_unreached(found: list[Predicted], wanted: float, search: Search) -> NoReturn:
    """Refuse an uncertainty that nothing reaches, naming the nearest option with as many determinations as allowed."""
    from assaywright.assay.plan.detail import detailed

    nominal = abs(search.nominal)
    most = [predicted(one.expected, wanted=0.0) for one in found]
    order = ranked(most, wanted=False)
    setup = order.setup(0)
    at_most = detailed(_with(setup, MOST_DETERMINATIONS), search)
    own = detailed(setup, search)
    limiting = at_most.influences[0]
    raise Refusal(
        f"an expanded uncertainty of {per_cent(wanted / nominal)} is out of reach: the nearest feasible option, "
        f"{way_words(setup)}, with {setup.in_burette.name}, gives {per_cent(own.expanded / nominal)} with "
        f"{setup.determinations} determinations and {per_cent(at_most.expanded / nominal)} with "
        f"{MOST_DETERMINATIONS}, limited by {limiting.name} ({whole_per_cent(limiting.share)} of the variance)",
        where=search.shelf.path, remedy="ask for what it gives, or put something better on the shelf in its place")


def _with(setup: Setup, determinations: int) -> Setup:
    return replace(setup, determinations=determinations)


def _refuse_infeasible(expected: list[Expected], search: Search) -> NoReturn:
    """Refuse when nothing can be done, naming the combination that comes nearest and what stands in its way."""
    if not expected:
        raise Refusal("nothing on the shelf can be put together for it" + _told(search), where=search.shelf.path,
                      remedy="list a titrant of a method that suits, with a pipette or a balance for the portion")
    nearest = min(((_distance(one, number), one, number) for one in expected for number in range(len(one.grid))),
                  key=lambda each: each[0])
    _, one, number = nearest
    setup = one.setup(number)
    fault = one.fault[number]
    raise Refusal(
        f"nothing on the shelf is feasible: the nearest is {way_words(setup)}, with {setup.in_burette.name}, and that "
        f"means {fault} ({decimals(setup.titre_mL, 2)} mL of a {setup.burette.nominal.text} burette)" + _told(search),
        where=search.shelf.path, remedy=_remedy(fault, one.grid, float(one.use[number])))


def _distance(one: Expected, number: int) -> float:
    """Return how far a combination is from what can be done, by a factor; masses come after titres."""
    use, fault = float(one.use[number]), one.fault[number]
    capacity, blank = float(one.grid.capacity_mL()[number]), float(one.readings.blank_mL[number])
    if fault == USED_UP:  # by how much more reagent the sample asks for than there is
        return (blank - use * capacity) / blank / (1 - LEAST_USE) if blank > 0 else float("inf")
    if fault == TOO_LITTLE_REAGENT:
        return LEAST_USE * capacity / blank if blank > 0 else float("inf")
    if not use > 0:
        return float("inf")
    if fault in (OVER_THE_TOP, BLANK_OVER):
        return max(use, blank / capacity) / GREATEST_USE
    return LEAST_USE / use if fault == TOO_LITTLE_TITRANT else 10.0


def _remedy(fault: str, grid: Grid, use: float) -> str:
    back = grid.base.excess is not None
    if fault in (USED_UP, TOO_LITTLE_REAGENT):
        return "add the reagent with a larger pipette, take it stronger" + (
            ", or take a smaller portion" if fault == USED_UP else ", or take a smaller burette")
    if fault == BLANK_OVER or (back and fault == OVER_THE_TOP):
        return "add the reagent with a smaller pipette, or take a stronger titrant or a larger burette"
    if fault == OVER_THE_TOP:
        return (f"take a titrant {decimals(use / WANTED_USE, 1)} times as strong, a smaller pipette or a larger "
                "burette")
    if fault == TOO_LITTLE_TITRANT and back:
        return "take a smaller portion, more of the reagent, a weaker titrant or a smaller burette"
    if fault == TOO_LITTLE_TITRANT:
        return (f"take a titrant {decimals(WANTED_USE / use, 1)} times as weak, a larger pipette or a smaller "
                "burette")
    return ("list a balance that can weigh it, or a larger flask" if grid.base.way in BY_MASS else "list other vessels")


def _told(search: Search) -> str:
    return f". {' '.join(search.notes).rstrip('.')}" if search.notes else ""
