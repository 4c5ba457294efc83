"""A source as it goes into the balance of masses: its content by mass, and its density where volume is measured."""

from dataclasses import dataclass

from assaywright.assay.prepare.contents import as_form_of, content_estimate, mass_percent_of, of_dried, water_density
from assaywright.assay.prepare.form import Preparation, Source
from assaywright.assay.prepare.label import check_diluent, check_label
from assaywright.assay.prepare.named import solute_named
from assaywright.assay.stated import stated_estimate
from assaywright.chemistry.counting import Counting
from assaywright.chemistry.density import REFERENCE_DEGC, solution_density
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate, exact, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.substances import substance


@dataclass(frozen=True, slots=True)
class Stock:
    """A source as it goes into the balance of masses.

    Fields:
        source: as typed.
        content: of the substance wanted [% w/w].
        density: at its temperature [g/mL]; none where it is not known and not needed.
        density_source: where from.
    """

    source: Source
    content: Estimate
    density: Estimate | None
    density_source: str

    @property
    def temperature_degC(self) -> float:
        """Its temperature [°C], 20 °C when not given."""
        return self.source.temperature.to("°C") if self.source.temperature else REFERENCE_DEGC

    def in_measure(self, mass_g: float) -> float:
        """Return how much to measure out for a mass: the mass itself, or its volume [g or mL]."""
        if not self.source.measuring.by_volume:
            return mass_g
        return mass_g / needed_density(self).value


def stock_of(source: Source, solute: Solute, counting: Counting | None, preparation: Preparation) -> Stock:
    """Return a source as it goes into the balance of masses.

    Arguments:
        source: as typed.
        solute: the substance wanted.
        counting: the reaction, for eq/L.
        preparation: that it is for.

    Raises:
        Refusal: another substance, a content that cannot be found by mass, or a density that is missing.
    """
    where = f"source {source.name}"
    try:
        given = solute_named(source.substance) if source.substance else solute
        if source.form == "diluent":
            check_diluent(source.name, solute)
        else:
            check_label(source.name, given)
    except Refusal as refusal:
        raise refusal.at(where) from None
    if source.form == "solid" and _state(given) == "gas":
        raise Refusal(f"{given.name} is a gas, which is not weighed out as it is", where=where,
                      remedy='name the solution it is taken from, form = "solution", or --from "25 % w/w"')
    try:
        content = _content_of(source, given, counting, preparation)
        content = as_form_of(content, given, solute)
    except Refusal as refusal:
        raise refusal.at(where) from None
    stock = Stock(source, content, *_density_of(source, given))
    if source.measuring.by_volume:
        needed_density(stock)
    return stock


def _state(given: Solute) -> str:
    try:
        return substance(given.name).state
    except Refusal:
        return ""


def _content_of(source: Source, given: Solute, counting: Counting | None, preparation: Preparation) -> Estimate:
    if source.form == "diluent":
        return exact(0.0, "% w/w")
    label = f"content of {source.name}"
    edition = preparation.head.identity or "as stated"
    key = influence_key("source", f"{source.name} {source.lot}".strip(), edition, "content")
    if source.form == "solid":
        content = exact(100.0, "% w/w") if source.content is None else stated_estimate(
            key, source.content, source.content.unit, label, scale=1.0 if source.content.unit != "g/kg" else 0.1,
            name="% w/w")
        if source.water is None:
            return content
        water = stated_estimate(key + ", water", source.water, source.water.unit, f"water in {source.name}",
                                name="% w/w")
        return of_dried(content, water)
    stated = Refusal.unless(source.content, "the solution has no content", remedy="give its content")
    return mass_percent_of(content_estimate(stated, key, label), given, counting, _stated_density(source), stated.text)


def _stated_density(source: Source) -> Estimate | None:
    if source.density is None:
        return None
    key = influence_key("source", f"{source.name} {source.lot}".strip(), "as stated", "density")
    return stated_estimate(key, source.density, "g/mL", f"density of {source.name}")


def _density_of(source: Source, given: Solute) -> tuple[Estimate | None, str]:
    """Return a source's density at its temperature, and where it is from; none where nothing is known."""
    if source.form == "solid":
        return None, ""
    stated = _stated_density(source)
    if stated is not None:
        return stated, "as stated"
    degrees = source.temperature.to("°C") if source.temperature else REFERENCE_DEGC
    if source.form == "diluent":
        return water_density(degrees), "Tanaka et al. 2001"
    content = source.content
    if content is None:
        return None, ""
    try:
        percent = mass_percent_of(exact(float(content.value), content.unit), given, None, None)
        return solution_density(given, percent.value, degrees), "table of densities"
    except Refusal:
        return None, ""


def needed_density(stock: Stock) -> Estimate:
    """Return the density of a stock measured by volume [g/mL].

    Raises:
        Refusal: a solid, or no density.
    """
    if stock.source.form == "solid":
        raise Refusal("a solid is measured by volume", where=f"source {stock.source.name}",
                      remedy='weigh it: give readability = "0.01 g"')
    return Refusal.unless(stock.density, "its density is missing: none is held, and volume is measured",
                          where=f"source {stock.source.name}",
                          remedy='give density = "1.19 g/mL", measured at its temperature, or weigh it')
