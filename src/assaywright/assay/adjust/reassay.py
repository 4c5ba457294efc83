"""The new assay after an adjustment: planned with a shelf, or with what the lot's own worksheet was done with."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from assaywright.assay.adjust.chances import bounds_of
from assaywright.assay.adjust.lot import Opener, TankedLot
from assaywright.assay.adjust.result import Landing, Reassay
from assaywright.assay.method import method_names
from assaywright.assay.observations import Vessel, Worksheet
from assaywright.assay.plan.guide import BenchGuide, bench_guide
from assaywright.assay.plan.plan import plan_assay
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.result import Option
from assaywright.assay.plan.shelf import BURETTES, FLASKS, PIPETTES, Shelf, read_shelf
from assaywright.assay.plan.words import decimals, way_words, written_size
from assaywright.assay.upstream import resolve
from assaywright.assay.wording import written_figures
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.metrology.refusal import Refusal

UNPLANNED = ("No plan for the new assay: name what the laboratory has with --vessels FILE, or write "
             'shelf = "shelf.toml" in this file.')
NO_DAY = "No plan for the new assay: write the day of the work, date, in this file."
SAMPLES = ("top", "middle", "bottom")


@dataclass(frozen=True, slots=True)
class Bench:
    """What the new assay may be done with.

    Fields:
        shelf: as listed, or what the lot's own worksheet lists.
        methods: names of the only methods; none for every method that suits.
        worksheet: the lot's own, for its repeatability and how the sample expands; None without one.
    """

    shelf: Shelf
    methods: tuple[str, ...] = ()
    worksheet: Worksheet | None = None


def reassay_of(lot: TankedLot, landing: Landing, opener: Opener, shelf: Shelf | None, day: date | None) -> Reassay:
    """Return the plan of the assay that decides after an addition.

    Arguments:
        lot: in its tank.
        landing: of the addition that the assay follows, the first of two where two are advised.
        opener: returns the bytes of the files that the adjustment names.
        shelf: named for it; else the adjustment's own, else what the lot's own worksheet lists.
        day: of the work.

    Returns: with the reason in words where no plan can be made

    Raises:
        Refusal: a shelf that the adjustment names cannot be read.
    """
    if shelf is None and not lot.adjustment.shelf and not lot.adjustment.assay.worksheet:
        return Reassay((UNPLANNED,))
    if day is None:
        return Reassay((NO_DAY,))
    bench = _bench(lot, opener, shelf)
    product = _product(lot, landing, bench)
    try:
        plan = plan_assay(product, bench.shelf, day, opener)
        option = plan.options[0]
        guide = bench_guide(plan, option, day, opener)
    except Refusal as refusal:
        return Reassay((f"No plan for the new assay: {refusal.what.rstrip('.')}; {refusal.remedy}.",))
    return Reassay(tuple(_told(lot, landing, option, guide)), guide.cautions, guide.take, plan, guide)


def _bench(lot: TankedLot, opener: Opener, shelf: Shelf | None) -> Bench:
    """Return what the new assay may be done with; a shelf goes before what the lot's own worksheet lists."""
    adjustment = lot.adjustment
    own = None
    if adjustment.assay.worksheet:
        path = resolve(adjustment.head.path, adjustment.assay.worksheet)
        own = parse_worksheet(opener(path), path)
    if shelf is None and adjustment.shelf:
        path = resolve(adjustment.head.path, adjustment.shelf)
        try:
            shelf = read_shelf(opener(path), path)
        except OSError as problem:
            raise Refusal(f"the shelf '{adjustment.shelf}' is not there to be read", where="shelf",
                          remedy="correct the name, relative to this file") from problem
    if shelf is not None:
        return Bench(shelf, (), own)
    own = Refusal.unless(own, "neither a shelf nor a worksheet is named")
    return Bench(shelf_of_worksheet(own), (own.method,) if own.method in method_names() else (), own)


def shelf_of_worksheet(worksheet: Worksheet) -> Shelf:
    """Return what a worksheet lists as a shelf: its vessels, balances and solutions, at the temperature it was done."""
    delivery = worksheet.determinations[0].delivery
    solutions = (worksheet.titrant, *(one for one in (worksheet.reagent, worksheet.against) if one is not None))
    return Shelf(
        worksheet.identity, delivery.temperature, _vessels(worksheet.vessels, BURETTES),
        _vessels(worksheet.vessels, PIPETTES), _vessels(worksheet.vessels, FLASKS), worksheet.balances,
        worksheet.thermometers, solutions, path=worksheet.path, digest=worksheet.digest)


def _vessels(listed: Iterable[Vessel], kinds: tuple[str, ...]) -> tuple[Vessel, ...]:
    """Return the vessels of some kinds, each once, whatever parts it played."""
    return tuple({one.identity: replace(one, role=one.kind) for one in listed if one.kind in kinds}.values())


def _product(lot: TankedLot, landing: Landing, bench: Bench) -> Product:
    """Return the lot as the plan sees it: the content predicted, between the limits."""
    adjustment, own = lot.adjustment, bench.worksheet
    content = Decimal(f"{landing.result.value:.6g}")
    sample = own.sample if own is not None else None
    return Product(
        f"{adjustment.product}, lot {adjustment.lot}", lot.solute.formula.text,
        Quantity(content, lot.unit, f"{content:f} {lot.unit}"), density=_density(lot),
        thermal=sample.thermal if sample is not None else "",
        densities=sample.densities if sample is not None else (), methods=bench.methods,
        specification=adjustment.limits, repeatability=own.repeatability if own is not None else None,
        path=adjustment.head.path, digest=adjustment.head.digest)


def _density(lot: TankedLot) -> Quantity | None:
    """Return the density of the lot after the addition at 20 °C, as near as it is known."""
    found = lot.mixture.density if lot.mixture is not None else None
    if lot.adjustment.density is not None:
        return lot.adjustment.density
    if found is not None:
        return _stated(found)
    if lot.adjustment.assay.density is not None:
        return lot.adjustment.assay.density
    return _stated(lot.lot_density) if lot.lot_density is not None else None


def _stated(density: Estimate) -> Quantity:
    value, spread = Decimal(f"{density.value:.5f}"), Decimal(f"{density.standard_uncertainty:.5f}")
    uncertainty = StatedUncertainty(spread, "standard") if spread else None
    return Quantity(value, "g/mL", f"{value} g/mL" + (f" ± {spread} g/mL, standard" if spread else ""), uncertainty)


def _told(lot: TankedLot, landing: Landing, option: Option, guide: BenchGuide) -> Iterable[str]:
    """Yield the plan in sentences: how it is done, where the endpoint is expected, how often."""
    setup, result, interval = option.setup, option.result, guide.specified
    yield (f"Worksheet {guide.number}: {way_words(setup)}; {setup.in_burette.name} from burette "
           f"{setup.burette.identity} ({written_size(setup.burette.nominal.text)}), {setup.method.name}.")
    yield (f"Expected titre {decimals(setup.titre_mL, 2)} mL at the predicted {result.value_text} {lot.unit}, "
           f"{decimals(interval.low_mL, 2)} to {decimals(interval.high_mL, 2)} mL between the limits; run freely to "
           f"{decimals(guide.free_to_mL, 1)} mL, stop at: {guide.stop_at}.")
    yield (f"{setup.determinations} determinations, at least one of each sample, about {option.minutes:.0f} min; "
           f"expected U {written_figures(result.expanded_uncertainty, 2)} {lot.unit} at 95 %"
           f"{_enough(lot, landing, option)}.")


def _enough(lot: TankedLot, landing: Landing, option: Option) -> str:
    """Return whether that uncertainty decides where the lot is predicted to land."""
    lower, upper = bounds_of(lot.adjustment.limits)
    margin = min(landing.result.value - lower, upper - landing.result.value)
    if margin <= 0:
        return ""
    decides = option.result.expanded_uncertainty < margin
    return (", which is less than the distance to the nearer limit" if decides else
            ", which is more than the distance to the nearer limit: more determinations or a better way are wanted")


def samples_of(number: int) -> tuple[str, ...]:
    """Return the sample that each of a number of determinations is made of: top, middle and bottom in turn."""
    return tuple(SAMPLES[one % len(SAMPLES)] for one in range(number))
