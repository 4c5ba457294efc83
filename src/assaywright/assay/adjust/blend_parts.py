"""The characteristics of lots as they go into a blend: each content by mass, and the model of the blend's."""

from collections.abc import Sequence
from dataclasses import dataclass

from assaywright.assay.adjust.blend_form import Blend, BlendLot
from assaywright.assay.adjust.own_assay import OwnWorksheet, by_worksheet
from assaywright.assay.observations import Specification
from assaywright.assay.prepare.contents import FinalDensity, content_estimate, final_density, mass_percent_of
from assaywright.assay.prepare.mixture import Part, mixture_model
from assaywright.assay.prepare.named import counting_named
from assaywright.assay.stated import stated_estimate
from assaywright.assay.upstream import Opener
from assaywright.assay.wording import written_limits
from assaywright.chemistry.content import Content, Known, Wanted, convert
from assaywright.chemistry.content_units import is_by_volume
from assaywright.chemistry.counting import Counting
from assaywright.chemistry.solute import Solute
from assaywright.metrology.estimate import Estimate, exact, influence_key
from assaywright.metrology.model import Model
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import kind_of


@dataclass(frozen=True, slots=True)
class Characterised:
    """One characteristic of all lots, by mass.

    Fields:
        specification: its limits, as typed.
        limits: in words.
        estimates: content of each lot [% w/w].
        lower, upper: limits by mass; none where open [% w/w].
        nominal: content aimed at, of the first characteristic [% w/w].
        unit: of the limits.
        density: of the blend near its nominal content, where the limits are by volume.
    """

    specification: Specification
    limits: str
    estimates: tuple[Estimate, ...]
    lower: float | None
    upper: float | None
    nominal: float
    unit: str
    density: FinalDensity | None

    @property
    def percents(self) -> tuple[float, ...]:
        """Contents of the lots [% w/w]."""
        return tuple(one.value for one in self.estimates)

    @property
    def standard_uncertainty(self) -> float:
        """The greatest standard uncertainty among the lots [% w/w]."""
        return max(one.standard_uncertainty for one in self.estimates)


def characterised(blend: Blend, solute: Solute, opener: Opener) -> tuple[Characterised, ...]:
    """Return the characteristics of the lots, by mass.

    Arguments:
        blend: as read.
        solute: the substance.
        opener: returns the bytes of the worksheets that the lots name.

    Raises:
        Refusal: a worksheet that cannot be read, is held back or is of another lot; a further characteristic that is
            not by mass; or a density that is needed and neither given nor held.
    """
    counting = counting_named(solute, blend.reaction)
    first, *others = blend.characteristics
    return (_main(blend, first, solute, counting, opener), *(_further(blend, one) for one in others))


def _main(
    blend: Blend, specification: Specification, solute: Solute, counting: Counting | None, opener: Opener
) -> Characterised:
    name = specification.characteristic
    estimates = tuple(
        mass_percent_of(_found(blend, lot, name, solute, opener), solute, counting, _density(lot),
                        "" if lot.worksheet else lot.contents[name].text) for lot in blend.lots)
    unit = specification.unit
    density = None
    if is_by_volume(unit):
        content = Content(exact(float(blend.nominal.to(unit)), unit), solute)
        aimed = convert(content, Wanted("g/L"), Known(counting)).estimate.value
        stated = None if blend.density is None else stated_estimate(
            influence_key("blend", blend.head.identity, "as stated", "density"), blend.density, "g/mL",
            "density at the nominal content")
        density = final_density(solute, exact(aimed, "g/L"), "g/L", target_density=stated)
    return Characterised(
        specification, written_limits(specification), estimates,
        _percent(specification.lower, solute, counting, density),
        _percent(specification.upper, solute, counting, density),
        _needed_percent(blend.nominal, solute, counting, density), unit, density)


def _percent(
    stated: Quantity | None, solute: Solute, counting: Counting | None, density: FinalDensity | None
) -> float | None:
    return None if stated is None else _needed_percent(stated, solute, counting, density)


def _needed_percent(
    stated: Quantity, solute: Solute, counting: Counting | None, density: FinalDensity | None
) -> float:
    """Return a content by mass [% w/w]; by volume through the straight line of the density near the nominal one."""
    content = Content(exact(float(stated.value), stated.unit), solute)
    if not is_by_volume(stated.unit) or density is None:
        return convert(content, Wanted("% w/w"), Known(counting)).estimate.value
    held = convert(content, Wanted("g/L"), Known(counting)).estimate.value
    percent = density.mass_percent
    for _ in range(30):  # w = gamma / (10 rho(w)) converges: the density changes little with the content
        rho = density.density.value + density.slope * (percent - density.mass_percent)
        percent = held / (10 * rho)
    return percent


def _further(blend: Blend, specification: Specification) -> Characterised:
    """Return a further characteristic, which has to be by mass in limits and lots."""
    name = specification.characteristic
    if kind_of(specification.unit) != "mass fraction":
        raise Refusal(f'the limits of "{name}" are in {specification.unit}', where="characteristic",
                      remedy="give them by mass, in % w/w, g/kg or mg/kg, so that they mix in proportion")
    estimates = []
    for lot in blend.lots:
        content = lot.contents[name]
        if kind_of(content.unit) != "mass fraction":
            raise Refusal(f'"{name}" of lot {lot.identity} is in {content.unit}', where="lot",
                          remedy="give it by mass, in % w/w, g/kg or mg/kg")
        estimates.append(content_estimate(content, influence_key("lot", lot.identity, "assay as stated", name),
                                          f"{name} of lot {lot.identity}", "% w/w"))
    lower, upper = (None if one is None else one.to("% w/w") for one in (specification.lower, specification.upper))
    return Characterised(specification, written_limits(specification), tuple(estimates), lower, upper, 0.0,
                         specification.unit, None)


def _found(blend: Blend, lot: BlendLot, name: str, solute: Solute, opener: Opener) -> Estimate:
    """Return the content of a lot: by its worksheet, with what that shares with others', or as stated."""
    if lot.worksheet:
        own = OwnWorksheet(lot.worksheet, blend.head.path, lot.identity, f"lot {lot.identity}", "blended",
                           lot.accepted)
        return by_worksheet(own, solute, opener)
    key = influence_key("lot", lot.identity, "assay as stated", name)
    return content_estimate(lot.contents[name], key, f"{name} of lot {lot.identity}")


def _density(lot: BlendLot) -> Estimate | None:
    if lot.density is None:
        return None
    return stated_estimate(influence_key("lot", lot.identity, "as stated", "density"), lot.density, "g/mL",
                           f"density of lot {lot.identity}")


def models_of(
    blend: Blend, solute: Solute, found: Sequence[Characterised], masses_g: Sequence[float]
) -> list[Model]:
    """Return the model of each characteristic of the blend, all with the same errors of the masses.

    Arguments:
        blend: with its measuring.
        solute: the substance.
        found: characteristics of the lots.
        masses_g: of each lot; one of nothing is left out [g].
    """
    counting = counting_named(solute, blend.reaction)
    models = []
    for one in found:
        parts = []
        for number, (lot, mass, content) in enumerate(zip(blend.lots, masses_g, one.estimates, strict=True), start=1):
            if mass > 0:
                key = influence_key("measuring", blend.measuring.instrument or "balance", blend.head.identity,
                                    f"mass of lot {lot.identity}")
                error = blend.measuring.error(key, f"measuring lot {lot.identity}")
                parts.append(Part(f"L{number}", f"lot {lot.identity}", mass, error, content))
        models.append(mixture_model(parts, solute, one.unit, density=one.density, counting=counting))
    return models
