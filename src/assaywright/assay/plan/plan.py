"""The plan: from a product and a shelf to the feasible options, best first."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import date

from assaywright.assay.method import ALKALI_SCHEMES, Method
from assaywright.assay.observations import Solution
from assaywright.assay.plan.carbonate import ASSUMED_CARBONATE, carbonate_beside
from assaywright.assay.plan.contents import ends_of_scale
from assaywright.assay.plan.detail import irregularities_of, option_of
from assaywright.assay.plan.out_of_reach import refuse_infeasible, refuse_unreached
from assaywright.assay.plan.predict import Expected, Predicted, expected_of, predicted
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.ranking import HELD_LAST, RULE_OPEN, RULE_WANTED, Ranked, chosen, held_among, ranked
from assaywright.assay.plan.result import Option, Place, Plan
from assaywright.assay.plan.setup import expected_worksheet
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.plan.strength import density_remark, doubt_about_lots, doubt_about_nominal
from assaywright.assay.plan.ways import Search, grids_of_assay, note_unasked, suitable_methods
from assaywright.assay.plan.words import whole_per_cent, why_best
from assaywright.assay.upstream import Opener, Upstream
from assaywright.metrology.refusal import Refusal

SHARE_OF_WIDTH = 0.25  # that 2U may be of a specification's width when nothing is asked for: common practice, no source
ABOUT_WATER_G_PER_ML = 1.0
ASKED_FOR = "asked for"
EXPECTED_READING = "determination "  # of a worksheet that is planned: its only reading that the shelf states


def plan_assay(product: Product, shelf: Shelf, day: date, opener: Opener, *, uncertainty: float | None = None,
               own: Mapping[str, Method] | None = None) -> Plan:
    """Return the feasible ways to assay a product with what is on the shelf, best first.

    Arguments:
        product: with its nominal content and specification.
        shelf: what the laboratory has; nothing else is offered.
        day: of the work.
        opener: returns the bytes of a file that the shelf's titrants refer to.
        uncertainty: wanted, expanded and relative [1]; without it 2U is to be a quarter of the specification's width.
        own: the laboratory's own methods by the names that the product gives them.

    Raises:
        Refusal: nothing is feasible, or the uncertainty asked for is out of reach; the sentence names the nearest
            feasible option and what stands in the way.
    """
    check_shelf(shelf)
    with of_shelf(shelf):
        return _plan_assay(product, shelf, day, opener, uncertainty, suitable_methods(product, own))


@contextmanager
def of_shelf(shelf: Shelf) -> Iterator[None]:
    """Name the shelf's own field where the worksheet expected of it is refused: the plan's reader has no worksheet."""
    try:
        yield
    except Refusal as refusal:
        if not refusal.where.startswith(EXPECTED_READING):
            raise
        raise Refusal(refusal.what, where=f"{shelf.path}: temperature", remedy=refusal.remedy) from None


def _plan_assay(product: Product, shelf: Shelf, day: date, opener: Opener, uncertainty: float | None,
                methods: tuple[Method, ...]) -> Plan:
    doubtful = doubt_about_nominal(product)
    search = Search(shelf, Upstream(opener), float(product.nominal.value),
                    lambda setup: expected_worksheet(setup, product, shelf, day))
    grids = (grid for method in methods for grid in grids_of_assay(product, method, search))
    search.ends = ends_of_scale(product, search.nominal)
    for told in (doubtful, doubt_about_lots(product), density_remark(product)):
        if told:
            search.note(told)
    density = product.density.to("g/mL") if product.density is not None else ABOUT_WATER_G_PER_ML
    expected = [expected_of(grid, shelf, density, search.ends) for grid in grids]
    note_unasked(methods, search)
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
        refuse_infeasible(expected, search)
    found = [predicted(one, wanted) for one in able]
    reaching = sum(int(one.reaches.sum()) for one in found) if wanted is not None else 0
    if wanted is not None and not reaching and wanted_from == ASKED_FOR:
        refuse_unreached(found, wanted, search)
    held = [one for one, _told in search.held]
    by_time = wanted is not None and _best_reach(found, held)
    order = ranked(found, wanted=by_time, held=held)
    options = tuple(option_of(order.setup(place), place, number, order, search, product, wanted)
                    for number, place in enumerate(chosen(order), start=1))
    for sentence in irregularities_of(options[0].setup, search):
        search.note(sentence)
    if product is not None and product.carbonate is None and any(_asks_for_carbonate(one, product) for one in options):
        search.note(f"The product states no carbonate: {whole_per_cent(ASSUMED_CARBONATE)} of its alkali is taken to "
                    "be carbonate where a method finds both, and where another indicator would leave some of it "
                    "untitrated (common practice, no source).")
    rule = RULE_WANTED if by_time else RULE_OPEN
    if held:
        rule += HELD_LAST
    if wanted is not None and not by_time:
        none = "No option" if not reaching else "No option whose solutions are in date"
        search.note(f"{none} reaches {wanted_from}; they are ranked by their uncertainty.")
    return Plan(product, search.shelf, title, wanted, wanted_from, rule, why_best(options[0], wanted=by_time), options,
                search.considered, len(order.part), reaching if wanted is not None else len(order.part),
                tuple(_places(order)), tuple(search.notes))


def _best_reach(found: list[Predicted], held: list[Solution]) -> bool:
    """Whether the uncertainty wanted is reached by one that ranks first: with no solution held, where there is such."""
    free = [~held_among(one, held) for one in found]
    if any(one.any() for one in free):
        return any(bool((one.reaches & kept).any()) for one, kept in zip(found, free, strict=True))
    return any(bool(one.reaches.any()) for one in found)


def _asks_for_carbonate(option: Option, product: Product) -> bool:
    """Whether something told of an option depends on how much of the alkali is carbonate."""
    method = option.setup.method
    return method.scheme in ALKALI_SCHEMES or bool(option.other_indicators and carbonate_beside(product, method))


def _places(order: Ranked) -> Iterator[Place]:
    for place in range(len(order.part)):
        way = order.parts[order.part[place]].expected.grid.base.way
        yield Place(way, float(order.minutes[place]), float(order.relative[place]))
