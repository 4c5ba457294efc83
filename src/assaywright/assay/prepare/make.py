"""Work out a preparation: from what is wanted to what is measured out, and to the content that gives."""

from dataclasses import dataclass

from assaywright.assay.prepare.contents import (
    FinalDensity,
    final_density,
    water_density,
)
from assaywright.assay.prepare.form import Preparation, Source
from assaywright.assay.prepare.measuring import Measuring, amount_text, short_figures
from assaywright.assay.prepare.mixture import Filled, Part, mixture_model
from assaywright.assay.prepare.named import counting_named, solute_named
from assaywright.assay.prepare.stock import Stock, needed_density, stock_of
from assaywright.assay.stated import stated_estimate
from assaywright.chemistry.content import Content, Wanted, convert
from assaywright.chemistry.content import Known as KnownOf
from assaywright.chemistry.content_temperature import by_volume_at
from assaywright.chemistry.content_units import is_by_volume
from assaywright.chemistry.counting import Counting
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.solute import Solute
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, exact, influence, influence_key
from assaywright.metrology.model import Model
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity

WATER = "purified water"
LARGE_L = 10.0  # from here on water is measured by the litre or the tenth of a kilogram


@dataclass(frozen=True, slots=True)
class Plan:
    """What has to be measured out, before and after rounding.

    Fields:
        stocks: the sources, the stronger first.
        amounts: of each, before rounding [g or mL].
        rounded: of each, in whole steps [g or mL].
        volume_mL: made up to a mark, else none [mL].
        total_g: mass of the whole, where it is known or estimated [g].
        percent: content of the mixture, where it could be found [% w/w].
        aimed: density of the mixture there, where it could be found.
        model: of the content that the rounded amounts give.
    """

    stocks: tuple[Stock, ...]
    amounts: tuple[float, ...]
    rounded: tuple[float, ...]
    volume_mL: float | None
    total_g: float
    percent: float | None
    aimed: FinalDensity | None
    model: Model


def planned(preparation: Preparation) -> Plan:
    """Return what has to be measured out.

    Raises:
        Refusal: a content that the sources cannot give, more than the vessel holds or the source has, a density that is
            needed and neither given nor held.
    """
    solute = solute_named(preparation.substance)
    counting = counting_named(solute, preparation.reaction, preparation.counting)
    stocks = _ordered([stock_of(one, solute, counting, preparation) for one in preparation.sources], preparation)
    to_mark = _to_mark(preparation)
    if preparation.temperature is not None and not to_mark:
        raise Refusal(f"{preparation.temperature.text} is the temperature at which a mark is filled to, and the "
                      f"{preparation.vessel.kind} is weighed in, which no temperature changes", where="temperature",
                      remedy="leave it out, or make the solution up to the mark of a flask or the level of a tank")
    try:
        percent = _percent(preparation, solute, counting)
        by_volume = not to_mark if is_by_volume(preparation.content.unit) else preparation.by_volume
        aimed = _aimed(preparation, solute, counting, needed=by_volume)
        if percent is None and aimed is not None:
            percent = aimed.mass_percent
        _check_possible(preparation, stocks, percent, solute)
        volume_mL, total_g = _whole(preparation, aimed, to_mark=to_mark)
        masses = _masses(preparation, solute, counting, stocks, aimed, percent, total_g, to_mark=to_mark)
    except Refusal as refusal:
        raise _with_strongest(refusal, stocks[0]) from None
    _check_room(preparation, aimed, total_g)
    amounts = tuple(stock.in_measure(mass) for stock, mass in zip(stocks, masses, strict=True))
    rounded = tuple(stock.source.measuring.rounded(amount) for stock, amount in zip(stocks, amounts, strict=True))
    _check_measurable(stocks, amounts, rounded, to_mark=to_mark)
    measured = [(stock, amount) for stock, amount in zip(stocks, rounded, strict=True)
                if not to_mark or stock.source.form != "diluent"]
    parts = [_part(letter, stock, amount, preparation)
             for letter, (stock, amount) in zip("AB", measured, strict=False)]
    filled = _filled(preparation, solute, aimed, volume_mL) if volume_mL is not None else None
    model = mixture_model(parts, solute, preparation.content.unit, filled=filled, density=aimed, counting=counting)
    return Plan(stocks, amounts, rounded, volume_mL, total_g, percent, aimed, model)


def _with_strongest(refusal: Refusal, strongest: Stock) -> Refusal:
    """Return the refusal of a content that no solution holds, with the strongest that can be made from the sources."""
    told = "reaction" in refusal.remedy or "nearest" in refusal.what
    if refusal.where != "content" or told or strongest.source.form != "solution":
        return refusal
    beside = _beside(strongest.source.name, strongest.content.value)
    return Refusal(f"{refusal.what}; the nearest that can be made is {strongest.source.name} itself{beside}",
                   where=refusal.where, remedy=refusal.remedy)


def _beside(text: str, percent: float) -> str:
    """Return a content by mass to stand beside a text; nothing where the text says it already."""
    written = f"{percent:.4g} % w/w"
    return "" if written in text else f", {written}"


# --- the sources ------------------------------------------------------------------------------------------------------


def _ordered(stocks: list[Stock], preparation: Preparation) -> tuple[Stock, ...]:
    """Return two sources, the stronger first; water stands in where only one is named."""
    if len(stocks) == 1:
        step = _diluent_step(preparation, stocks[0].source.measuring)
        water = Source(WATER, "diluent", Measuring(read_quantity(step)))
        stocks = [*stocks, Stock(water, exact(0.0, "% w/w"), water_density(REFERENCE_DEGC), "Tanaka et al. 2001")]
    return tuple(sorted(stocks, key=lambda one: -one.content.value))


def _diluent_step(preparation: Preparation, other: Measuring) -> str:
    """Return the step in which water is measured where nothing is said: as the source, else about a thousandth."""
    if _to_mark(preparation):
        return "1 mL" if preparation.amount.to("L") < LARGE_L else "1 L"
    if not other.by_volume:
        return other.readability.text
    return "0.1 g" if not preparation.by_volume and preparation.amount.to("kg") < LARGE_L else "0.1 kg"


# --- the whole --------------------------------------------------------------------------------------------------------


def _to_mark(preparation: Preparation) -> bool:
    """Whether the vessel is filled to a mark: a volume is wanted and water is what fills it up."""
    diluted = len(preparation.sources) == 1 or any(one.form == "diluent" for one in preparation.sources)
    return preparation.by_volume and diluted and preparation.vessel.kind != "bottle"


def _percent(preparation: Preparation, solute: Solute, counting: Counting | None) -> float | None:
    """Return the content wanted by mass [% w/w], which needs no density; none for a content by volume."""
    wanted = preparation.content
    if is_by_volume(wanted.unit):
        return None
    content = Content(exact(float(wanted.value), wanted.unit), solute)
    return convert(content, Wanted("% w/w"), KnownOf(counting)).estimate.value


def _aimed(
    preparation: Preparation, solute: Solute, counting: Counting | None, *, needed: bool
) -> FinalDensity | None:
    """Return density and mass per cent of what is wanted; none where it is not held and not needed."""
    wanted = preparation.content
    base = "g/L" if is_by_volume(wanted.unit) else "% w/w"
    stated = preparation.density
    density = None if stated is None else stated_estimate(
        influence_key("preparation", preparation.head.identity or preparation.substance, "as stated", "density"),
        stated, "g/mL", "density of the solution wanted")
    try:
        content = Content(exact(float(wanted.value), wanted.unit), solute)
        aimed = convert(content, Wanted(base), KnownOf(counting)).estimate
        return final_density(solute, exact(aimed.value, base), base, target_density=density)
    except Refusal:
        if needed:
            raise
        return None


def mass_concentration_wanted(preparation: Preparation, solute: Solute, counting: Counting | None) -> float:
    """Return what a litre is to hold [g/L].

    Arguments:
        preparation: what is to be made, its content by volume or with a density stated.
        solute: of the solution.
        counting: what an equivalent is; none where nothing is counted.

    Raises:
        Refusal: a content by mass without a density.
    """
    wanted = preparation.content
    content = Content(exact(float(wanted.value), wanted.unit), solute)
    density = None
    if preparation.density is not None:
        density = exact(preparation.density.to("g/mL"), "g/mL")
    return convert(content, Wanted("g/L"), KnownOf(counting, density)).estimate.value


def _whole(preparation: Preparation, aimed: FinalDensity | None, *, to_mark: bool) -> tuple[float | None, float]:
    """Return the volume made up to a mark [mL], none by mass, and the mass of the whole [g]."""
    density = aimed.density.value if aimed else 1.0
    if preparation.by_volume:
        volume_mL = preparation.amount.to("mL")
        return (volume_mL if to_mark else None), volume_mL * density
    return None, preparation.amount.to("g")


def _masses(
    preparation: Preparation, solute: Solute, counting: Counting | None, stocks: tuple[Stock, ...],
    aimed: FinalDensity | None, percent: float | None, total_g: float, *, to_mark: bool,
) -> tuple[float, float]:
    """Return the mass of each source: by the mark from what a litre holds, else by the balance of masses."""
    strong, weak = stocks
    if to_mark:
        held_g = mass_concentration_wanted(preparation, solute, counting) * preparation.amount.to("L")
        held_g *= _filling_ratio(preparation, solute, aimed)
        mass = 100 * held_g / strong.content.value
        return mass, max(total_g - mass, 0.0)
    percent = Refusal.unless(percent, "the content wanted is not known by mass")
    mass = total_g * (percent - weak.content.value) / (strong.content.value - weak.content.value)
    return mass, total_g - mass


def _filling_ratio(preparation: Preparation, solute: Solute, aimed: FinalDensity | None) -> float:
    """Return by how much more a litre at the temperature of filling has to hold than at 20 °C: less when warm."""
    return 1 / _ratio(preparation, solute, aimed)[0].value


def _ratio(preparation: Preparation, solute: Solute, aimed: FinalDensity | None) -> tuple[Estimate, str]:
    """Return content at 20 °C over content at the temperature of filling, and where it is from."""
    degrees = preparation.temperature.to("°C") if preparation.temperature else REFERENCE_DEGC
    if degrees == REFERENCE_DEGC:
        return exact(1.0), "made up at 20 °C"
    percent = exact(aimed.mass_percent, "% w/w") if aimed else None
    molarity = 0.0
    if aimed is not None:
        content = Content(exact(aimed.mass_percent, "% w/w"), solute)
        molarity = convert(content, Wanted("mol/L"), KnownOf(None, aimed.density)).estimate.value
    try:
        found = by_volume_at(solute, percent, molarity, degrees, REFERENCE_DEGC)
    except Refusal as refusal:
        raise Refusal(f"how the solution shrinks from {degrees:g} to 20 °C is not known", where="temperature",
                      remedy="let it come to 20 °C before it is made up") from refusal
    return found.ratio, found.source


def _filled(preparation: Preparation, solute: Solute, aimed: FinalDensity | None, volume_mL: float) -> Filled:
    vessel = preparation.vessel
    name = vessel.identity or vessel.kind
    key = influence_key("vessel", name, "as stated", "volume")
    label = f"volume of {vessel.kind} {vessel.identity}".strip()
    if vessel.tolerance is not None and vessel.tolerance.uncertainty is not None:
        error = influence(key, 0.0, vessel.tolerance.uncertainty_in("mL"), "mL",
                          distribution=vessel.tolerance.uncertainty.distribution, label=label)
    else:
        half_mL = vessel.readability.to("mL") if vessel.readability else 0.001 * volume_mL
        error = influence(key, 0.0, standard_uncertainty_of_half_width(half_mL), "mL", distribution="rectangular",
                          label=label)
    ratio, source = _ratio(preparation, solute, aimed)
    return Filled(volume_mL, error, ratio, preparation.amount.text, name, source)


def _part(letter: str, stock: Stock, amount: float, preparation: Preparation) -> Part:
    source = stock.source
    label = f"measuring {source.name}"
    key = influence_key("measuring", source.measuring.instrument or source.name,
                        preparation.head.identity or "as stated", f"amount of {source.name}")
    return Part(
        letter, source.name, amount, source.measuring.error(key, label), stock.content,
        stock.density if source.measuring.by_volume else None, None, "", source.measuring.instrument,
        "", source.content.text if source.content else "", stock.density_source)


# --- what cannot be ---------------------------------------------------------------------------------------------------


def _check_possible(
    preparation: Preparation, stocks: tuple[Stock, ...], percent: float | None, solute: Solute
) -> None:
    """Refuse a content that lies outside those of the two sources."""
    strong, weak = stocks
    if not strong.content.value > weak.content.value:
        raise Refusal(f"{strong.source.name} and {weak.source.name} hold equally much", where="source",
                      remedy="name a source of another content")
    if percent is None:
        return
    beside = _beside(preparation.content.text, percent)
    wanted = f"{preparation.content.text} ({beside[2:]})" if beside else preparation.content.text
    if percent > strong.content.value * (1 + 1e-9):
        raise Refusal(
            f"{wanted} is more than {strong.source.name} holds{_beside(strong.source.name, strong.content.value)}; "
            f"the nearest that can be made is {strong.source.name} itself", where="content",
            remedy=f"name a stronger source of {solute.name}, or ask for less")
    if percent < weak.content.value:
        raise Refusal(
            f"{wanted} is less than {weak.source.name} holds{_beside(weak.source.name, weak.content.value)}; the "
            f"nearest that can be made is {weak.source.name} itself", where="content",
            remedy="dilute with water instead")


def _check_room(preparation: Preparation, aimed: FinalDensity | None, total_g: float) -> None:
    """Refuse more than the vessel holds."""
    capacity = preparation.vessel.capacity
    if capacity is None:
        return
    volume_L = preparation.amount.to("L") if preparation.by_volume else total_g / 1000 / (
        aimed.density.value if aimed else 1.0)
    room_L = capacity.to("L")
    if volume_L > room_L * (1 + 1e-9):
        name = preparation.vessel.identity or f"the {preparation.vessel.kind}"
        held = short_figures(room_L)
        raise Refusal(f"{short_figures(volume_L)} L do not fit into {name}, which holds {held} L; the most that can "
                      f"be made in it is {held} L", where="vessel", remedy="make less, or name a larger vessel")


def _check_measurable(
    stocks: tuple[Stock, ...], amounts: tuple[float, ...], rounded: tuple[float, ...], *, to_mark: bool
) -> None:
    """Refuse an amount that its instrument cannot measure out, or more than there is."""
    for stock, amount, step in zip(stocks, amounts, rounded, strict=True):
        if stock.source.form == "diluent" and to_mark:
            continue
        measuring = stock.source.measuring
        if not step > 0:
            raise Refusal(f"{amount_text(measuring, amount)} of {stock.source.name} is less than one step of "
                          f"{measuring.readability.text}; the least that can be measured is one step",
                          where="readability", remedy="make more, or dilute in two stages")
        _check_available(stock, step)


def _check_available(stock: Stock, amount: float) -> None:
    available: Quantity | None = stock.source.available
    if available is None:
        return
    volume = available.unit in ("mL", "L", "µL")
    there = available.to("mL" if volume else "g")
    measured = amount
    if volume != stock.source.measuring.by_volume:
        density = needed_density(stock).value
        measured = amount / density if volume else amount * density
    if measured > there * (1 + 1e-9):
        raise Refusal(f"{stock.source.measuring.written(amount)} of {stock.source.name} are needed and "
                      f"{available.text} are there; what is there suffices for {100 * there / measured:.0f} % of the "
                      "amount", where=f"source {stock.source.name}", remedy="make less")
