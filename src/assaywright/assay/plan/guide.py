"""The bench guide: what to take, where the endpoint is expected, how far to run freely, what to stop at.

A guide is data for a screen; the same data make the text and the sheet with blanks to fill in by hand.
"""

import hashlib
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from assaywright.assay.bench.cautioned import SOLUTIONS, hazard_words, of_strength
from assaywright.assay.method import Endpoint, Method
from assaywright.assay.plan.contents import contents_expected
from assaywright.assay.plan.grid import model_of
from assaywright.assay.plan.guide_steps import (
    Figures,
    FreeByMass,
    before_end_mL,
    blank_free_to_mL,
    first_low_mL,
    flask_steps,
    made_beforehand,
    sample_steps,
    titrating_steps,
)
from assaywright.assay.plan.product import Product
from assaywright.assay.plan.result import Option, Plan
from assaywright.assay.plan.setup import (
    BARIUM_CHLORIDE,
    BY_MASS,
    IN_A_FLASK,
    TWO_ENDPOINTS,
    WEIGHED_DILUTION,
    Setup,
    expected_worksheet,
    quantity,
)
from assaywright.assay.plan.sheet_tables import FillIn, sheet_tables
from assaywright.assay.plan.strength import density_remark, product_caution
from assaywright.assay.plan.words import decimals, grams, way_words, written_size
from assaywright.assay.upstream import Opener, Upstream
from assaywright.assay.wording import written_figures
from assaywright.metrology.gum import coverage_factor
from assaywright.metrology.model import evaluate_plain
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.reference.bar_code import bar_widths
from assaywright.reference.indicators import indicator
from assaywright.reference.practice import burette_practice

FORMAT = "assaywright bench guide 1"
LONGEST_NUMBER = 32  # whose bars, of 0.33 mm a module, still fit between the margins
MASSES_WITHIN = (0.90, 0.95, 1.00, 1.05, 1.10)  # of the mass aimed at, as the sheet allows it
DEFERRAL = ("The safety data sheets, local codes and licensed practice come before this sheet; a qualified person "
            "answers for the work.")


@dataclass(frozen=True, slots=True)
class Interval:
    """Where the endpoint is expected [mL], and why."""

    low_mL: float
    high_mL: float
    basis: str


@dataclass(frozen=True, slots=True)
class BenchGuide:
    """What a chemist sees while titrating.

    Fields:
        number: of the worksheet; ``bars`` are its bars and spaces in Code 128, in modules.
        cautions: before anything else.
        sample: what the method says of its sample.
        take: what to weigh or pipette, as sentences in order.
        burette: how it is made ready, as sentences.
        flask: the method's steps before the titrating, each with its caution before it.
        titrate: the method's steps from there on, with the volumes and the reading of this sheet.
        titre_mL: expected at the nominal content [mL].
        specified: interval from the limits of the product; ``earlier``: from earlier replicates, None without them.
        free_to_mL: how far to run freely; dropwise begins there [mL].
        by_mass: the same for other masses of a weighed portion.
        blank_free_to_mL: the same for a blank titrated likewise [mL]; None without one.
        drop_mL, drop_share: an ordinary drop [mL], and what it is of the titre [1].
        indicator: drops for that flask's volume, in words.
        stop_at: the colour.
        temperature: the rule, with what a kelvin does to the result.
        determinations, blanks: how many titrations, and how many blanks titrated likewise, have a line.
        tables: to be filled in by hand, a place for each reading that the worksheet asks for.
    """

    format: str
    number: str
    bars: tuple[int, ...]
    title: str
    day: str
    method: str
    told: str
    titrant: str
    cautions: tuple[str, ...]
    deferral: str
    sample: tuple[str, ...]
    take: tuple[str, ...]
    burette: tuple[str, ...]
    flask: tuple[str, ...]
    scale_mL: float
    titre_mL: float
    specified: Interval
    earlier: Interval | None
    free_to_mL: float
    by_mass: tuple[FreeByMass, ...]
    blank_free_to_mL: float | None
    drop_mL: float
    drop_share: float
    indicator: str
    stop_at: str
    titrate: tuple[str, ...]
    temperature: str
    determinations: int
    blanks: int
    tables: tuple[FillIn, ...]
    uncertainty: str
    software: str


def bench_guide(plan: Plan, option: Option, day: date, opener: Opener, *, earlier: Sequence[Quantity] = (),
                identity: str = "") -> BenchGuide:
    """Return the guide for one option of a plan.

    Arguments:
        plan: that the option is of.
        option: chosen.
        day: of the work.
        opener: for what the shelf's titrants refer to.
        earlier: titres of earlier replicates with the same portion.
        identity: number of the worksheet; made from plan, option and day when empty.

    Raises:
        Refusal: an earlier titre beyond the burette, or a number that no bar code holds.
    """
    from assaywright import __version__

    setup = option.setup
    upstream = Upstream(opener)
    value = _valued(plan, day, upstream)
    number = identity or _number(plan, option, day)
    if len(number) > LONGEST_NUMBER:
        raise Refusal(f"a worksheet's number of {len(number)} characters has no room on the sheet", where="--id",
                      remedy=f"shorten it to {LONGEST_NUMBER}")
    specified = _specified(plan, setup, value)
    seen = _earlier(setup, earlier)
    conflict = _conflict(seen, specified)
    low = min(seen.low_mL, specified.low_mL) if seen is not None and conflict else (seen or specified).low_mL
    free, by_mass = _free_to(setup, low), _free_by_mass(setup, low, value)
    drop = burette_practice("drop").value or 0.0
    unit = option.result.estimate.unit
    return BenchGuide(
        FORMAT, number, bar_widths(number), plan.title, day.isoformat(),
        f"{setup.method.name}, edition {setup.method.edition}", way_words(setup), setup.in_burette.name,
        _cautions(setup, plan.product), DEFERRAL, sample_steps(setup.method),
        (*conflict, *_take(option, plan)), _burette(setup),
        flask_steps(setup), setup.burette.nominal.to("mL"), setup.titre_mL, specified, seen, free, by_mass,
        blank_free_to_mL(setup), drop, drop / setup.titre_mL, _indicators(setup.method),
        setup.method.endpoint.colour_change, titrating_steps(setup, Figures(free, low, by_mass)),
        _temperature(setup, value), setup.determinations, setup.blanks,
        sheet_tables(setup), f"expected ({option.result.value_text} ± {option.result.uncertainty_text}) {unit} at 95 %",
        f"Assaywright {__version__}")


def _number(plan: Plan, option: Option, day: date) -> str:
    """Return a number that the same plan, option and day always give, and no other option of that plan."""
    source, setup = plan.product.digest if plan.product else plan.title, option.setup
    text = "|".join((source, plan.shelf.digest, setup.method.name, str(setup.method.edition), way_words(setup),
                     setup.in_burette.name, setup.burette.identity, str(setup.determinations), day.isoformat()))
    return f"WP-{day:%y%m%d}-{hashlib.sha256(text.encode()).hexdigest()[:6].upper()}"


# --- where the endpoint is expected -----------------------------------------------------------------------------------

Valued = Callable[[Setup, float], float]


def _valued(plan: Plan, day: date, upstream: Upstream) -> Valued:
    """Return the function that evaluates a setup as a worksheet, some kelvins warmer than the shelf says."""

    def value(setup: Setup, warmer_K: float = 0.0) -> float:
        at = plan.shelf.temperature.to("°C") if plan.shelf.temperature is not None else 20.0
        shelf = replace(plan.shelf, temperature=quantity(at + warmer_K, "°C"))
        found, _ = evaluate_plain(model_of(expected_worksheet(setup, plan.product, shelf, day), setup, upstream))
        return found

    return value


def titre_for(content: float, setup: Setup, value: Callable[[Setup], float]) -> float:
    """Return the titre that a content leads to, the portion staying as it is [mL].

    The equation of the worksheet is solved for the final reading by the secant rule.

    Arguments:
        content: or concentration sought [unit of the result].
        setup: with its portion.
        value: evaluates a setup.
    """
    before, now = 0.9 * setup.titre_mL, setup.titre_mL
    at_before = value(replace(setup, titre_mL=before)) - content
    for _ in range(50):
        at_now = value(replace(setup, titre_mL=now)) - content
        if at_now == at_before or abs(now - before) < 1e-7:
            break
        before, now, at_before = now, now - at_now * (now - before) / (at_now - at_before), at_now
    return now


def _specified(plan: Plan, setup: Setup, value: Valued) -> Interval:
    """Return where the endpoint lies between the limits, else within the scatter of the lots, else near nominal."""
    low, high, basis = contents_expected(plan.product, value(setup, 0.0))
    single = replace(setup, determinations=1)
    ends = sorted(titre_for(content, single, lambda one: value(one, 0.0)) for content in (low, high))
    return Interval(ends[0], ends[1], basis)


def _earlier(setup: Setup, earlier: Sequence[Quantity]) -> Interval | None:
    """Return where the next titre is expected after earlier ones: mean ± t s_r sqrt(1 + 1/n), about 95 %.

    Source: prediction interval with the method's pooled repeatability; Student's t with its degrees of freedom.
    """
    if not earlier:
        return None
    titres = [one.to("mL") for one in earlier]
    for one in titres:
        if not 0 < one <= setup.burette.nominal.to("mL"):
            raise Refusal(f"an earlier titre of {one:g} mL is not on the {setup.burette.nominal.text} burette",
                          where="--earlier", remedy="give titres of this portion with this burette")
    mean, pooled = sum(titres) / len(titres), setup.method.repeatability
    spread = pooled.pooled.to("%") / 100 * mean * math.sqrt(1 + 1 / len(titres))
    half = coverage_factor(pooled.degrees_of_freedom) * spread
    counted = "1 earlier titre" if len(titres) == 1 else f"{len(titres)} earlier titres"
    return Interval(mean - half, mean + half, f"{counted}, mean {decimals(mean, 2)} mL, with the pooled repeatability")


def _conflict(seen: Interval | None, specified: Interval) -> tuple[str, ...]:
    """Return that earlier titres lie where the product has none, as a sentence; nothing where both may be true."""
    if seen is None or (seen.low_mL <= specified.high_mL and specified.low_mL <= seen.high_mL):
        return ()
    return ((f"The earlier titres ({seen.basis}) do not go with the {decimals(specified.low_mL, 2)} to "
             f"{decimals(specified.high_mL, 2)} mL of {specified.basis}: another portion, burette or titrant, or a lot "
             "outside them. Find out which before the next; meanwhile run freely to the smaller of both."),)


def _free_to(setup: Setup, low_mL: float) -> float:
    """Return how far to run freely: a millilitre before the earliest expected endpoint, the first of two [mL]."""
    if setup.method.scheme == TWO_ENDPOINTS:
        low_mL = first_low_mL(setup, low_mL)
    return max(0.0, low_mL - before_end_mL())


def _free_by_mass(setup: Setup, low_mL: float, value: Valued) -> tuple[FreeByMass, ...]:
    """Return how far to run freely with other masses within a tenth of the one aimed at; none for a pipetted portion.

    The content, or concentration, that leads to the earliest end is held, and the worksheet's own equation is solved
    for the reading with each mass: more of a sample or a standard takes more titrant, in a back titration less.
    """
    if setup.way not in BY_MASS:
        return ()
    single = replace(setup, determinations=1)
    content, found = value(replace(single, titre_mL=low_mL), 0.0), []
    for share in MASSES_WITHIN:
        other = replace(single, portion_g=share * setup.portion_g)
        low = titre_for(content, other, lambda one: value(one, 0.0))
        found.append(FreeByMass(other.portion_g, _free_to(setup, low)))
    return tuple(found)


# --- sentences --------------------------------------------------------------------------------------------------------


def _cautions(setup: Setup, product: Product | None) -> tuple[str, ...]:
    """Return what to wear, then the hazards, those of the product at its own strength first, solutions at theirs."""
    heading = {role: {"name": one.name, "formula": one.formula, "nominal": one.nominal.text}
               for role in SOLUTIONS if (one := getattr(setup, role)) is not None and one.nominal is not None}
    found, _ = of_strength(setup.method, heading)
    own = product_caution(product) if product is not None else ""
    rest = (f"{one[0].upper()}{one[1:].rstrip('.')}." for one in (*found.incompatibilities, *found.notes))
    return (f"Wear {', '.join(found.protective_equipment)}.", *((own,) if own else ()),
            *map(hazard_words, found.hazards), *rest)


def _take(option: Option, plan: Plan) -> tuple[str, ...]:
    """Return what to take, in order: the sample, then what is added in excess, and the blanks that go with it."""
    setup = option.setup
    told = density_remark(plan.product) if plan.product is not None else ""
    capacity_g = plan.shelf.capacity_g(setup.balance) if setup.balance is not None else None
    return (*option.held, *((told,) if told else ()), *option.remarks, *_portion(setup, capacity_g), *_twice(setup),
            *_excess(setup))


def _portion(setup: Setup, capacity_g: float | None) -> Iterator[str]:
    """Yield how the portion is taken, and its dilution where there is one, with its load on the balance."""
    if setup.way in BY_MASS:
        moves = ("more of it leaves less of the reagent and takes less titrant" if setup.excess is not None else
                 "the readings expected go up and down with it")
        within = (f"anything within a tenth of it will do; the mass as read counts, and {moves}; how far to run "
                  "freely at each mass stands under Titrate")
        yield f"Weigh about {written_figures(setup.portion_g, 3)} g by difference: {within}."
    else:
        pipette, liquid = setup.pipette, setup.in_pipette.name if setup.in_pipette is not None else "the sample"
        named = f"{written_size(pipette.nominal.text)} with pipette {pipette.identity}" if pipette else ""
        yield f"Rinse the pipette with {liquid}, then take {named}; let it drain, touch off, do not blow out."
    if setup.way not in IN_A_FLASK or setup.flask is None:
        return
    if setup.way == WEIGHED_DILUTION:
        whole, alone = written_figures(setup.dilution_g, 3), written_figures(setup.flask_g, 2)
        load = f"about {written_figures(setup.flask_g + setup.dilution_g, 3)} g with the flask"
        takes = ("see first that the balance takes it" if capacity_g is None else
                 f"the balance takes {grams(capacity_g)}")
        yield (f"Bring it into tared flask {setup.flask.identity} (empty roughly {alone} g), make up with water to "
               f"about {whole} g, weigh the whole ({load}; {takes}), mix.")
        yield f"Weigh aliquots of about {written_figures(setup.aliquot_g, 3)} g by difference."
        return
    size = f"{written_size(setup.aliquot.nominal.text)}, pipette {setup.aliquot.identity}" if setup.aliquot else ""
    yield (f"Bring it into flask {setup.flask.identity}, let it come to room temperature, make up to the mark "
           f"({written_size(setup.flask.nominal.text)}), mix.")
    yield f"Take aliquots of {size}."


def _twice(setup: Setup) -> Iterator[str]:
    """Yield that two equal aliquots belong together, where barium chloride frees one of carbonate."""
    if setup.method.scheme == BARIUM_CHLORIDE and setup.first_mL is not None:
        first = setup.method.first_endpoint
        yield (f"Take two such aliquots for each determination, with the same pipette: one for the total alkali, one "
               f"for the hydroxide after barium chloride ({first.indicator if first else ''}, expected at about "
               f"{decimals(setup.first_mL, 2)} mL).")


def _excess(setup: Setup) -> Iterator[str]:
    """Yield what is added in excess, and how often without a sample."""
    if setup.excess is None or setup.reagent is None:
        return
    yield (f"When the steps below call for it: {written_size(setup.excess.nominal.text)} of {setup.reagent.name} with "
           f"pipette {setup.excess.identity}, the same for every flask; note its temperature.")
    if setup.blanks:
        yield (f"Make up {setup.blanks} blanks alike: the same pipette of {setup.reagent.name} and all else, no "
               f"sample; each takes about {decimals(setup.blank_mL, 2)} mL: with a blank run freely no further than "
               f"{decimals(blank_free_to_mL(setup) or 0.0, 1)} mL, then dropwise.")


def _burette(setup: Setup) -> tuple[str, ...]:
    name = f"burette {setup.burette.identity} ({written_size(setup.burette.nominal.text)})"
    return (
        *made_beforehand(setup.method),
        f"Rinse {name} twice with a little {setup.in_burette.name} and let it run out through the tip.",
        "Fill it above the mark, drive the bubbles out of tip and tap, take the funnel away.",
        "Bring the meniscus to zero or just below, wait for the film, touch off the hanging drop, write the reading.",
    )


def _indicators(method: Method) -> str:
    """Return the indicators in the order in which they are used."""
    first = method.first_endpoint
    if first is None:
        return _indicator(method, method.endpoint)
    between = "; with barium chloride: " if method.scheme == BARIUM_CHLORIDE else ", then "
    pair = (first, method.endpoint) if between == ", then " else (method.endpoint, first)
    return between.join(_indicator(method, one) for one in pair)


def _indicator(method: Method, endpoint: Endpoint) -> str:
    """Return the indicator with its drops for the flask's volume: as the method's own step says, else by the table."""
    name = endpoint.indicator
    if not name:
        return f"none: {endpoint.kind} endpoint"
    flask = method.medium.flask.to("mL") if method.medium is not None and method.medium.flask is not None else None
    volume = f" for about {flask:g} mL in the flask" if flask else ""
    step = next((one for one in method.procedure if name in one and "drop" in one), "")
    if step:
        return f"{name}{volume}: {step[0].lower()}{step[1:].rstrip('.')}; the same in every flask"
    try:
        preparation = indicator(name).preparation
    except Refusal:
        preparation = None
    if preparation is None:
        return f"{name}, as the method says"
    share = flask / preparation.flask_mL if flask and preparation.flask_mL else 1.0
    low, high = (max(1, round(share * dose)) for dose in (preparation.dose_low, preparation.dose_high))
    amount = f"{low} to {high}" if high > low else f"{low}"
    plural = "s" if preparation.dose_unit == "drop" and high > 1 else ""
    return f"{name}, {amount} {preparation.dose_unit}{plural} ({preparation.text}){volume}; the same in every flask"


def _temperature(setup: Setup, value: Valued) -> str:
    """Return the rule of temperature, with what one kelvin does to the result by the worksheet's own equation."""
    single = replace(setup, determinations=1)
    cold, warm = value(single, 0.0), value(single, 1.0)
    change = decimals(abs(100 * (warm - cold) / cold), 3)
    return ("Let everything stand until it has the temperature of the room; note the temperature of the titrant at the "
            f"end of each titration and of what is pipetted. One kelvin, not noted, moves the result by {change} %.")
