"""What to do besides: how to add, when to sample where, and what the new assay has to decide."""

from assaywright.assay.adjust.chances import bounds_of
from assaywright.assay.adjust.lot import TankedLot
from assaywright.assay.adjust.result import Landing, TwoSteps
from assaywright.assay.prepare.far_density import far_densities
from assaywright.assay.prepare.result import expanded
from assaywright.assay.wording import written_figures, written_limits, written_probability
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.metrology.acceptance import critical_range_factor

PRACTICE = "common practice, no source"
MIXING = "circulate until the whole content has passed at least three times, and not less than 30 min"
PLACES = 3
HOT_DEGC = 60.0  # a lot so hot is let cool first: common practice, no source


def steps_of(lot: TankedLot, landing: Landing, careful: TwoSteps | None) -> tuple[str, ...]:
    """Return the steps, the careful way where it is advised."""
    addition, tank = lot.adjustment.addition, lot.adjustment.tank
    vessel = tank.identity or "the tank"
    steps = [f"Compare reading, temperature and lot number of {vessel} with this sheet before anything is added.",
             f"Start the circulation of {vessel}."]
    mixing = f"Mix: {tank.mixing or MIXING} ({'as the works states' if tank.mixing else PRACTICE})."
    if careful is not None and careful.advised:
        steps += [
            f"First step: add {careful.first.text} of {addition.with_lot}; write down what the instrument shows.",
            mixing,
            "Sample and assay anew (below); adjust this sheet with the new content.",
            f"Second step: about {careful.second_text} of {addition.with_lot}, as the new assay says.", mixing]
    else:
        steps += [f"Add {landing.text} of {addition.with_lot}; write down what the instrument shows.", mixing]
    return (*steps, "Sample and assay anew (below). The lot is not released by this prediction.")


def sampling_of(lot: TankedLot, landing: Landing) -> tuple[str, ...]:
    """Return where to sample, what the samples have to agree to, and what the new assay must be able to decide."""
    repeatability = lot.adjustment.assay.repeatability
    agree = f"within {written_figures(critical_range_factor(PLACES), 2)} times the repeatability of the method"
    if repeatability is not None:
        limit = critical_range_factor(PLACES) * repeatability.to(repeatability.unit)
        agree = f"within {written_figures(limit, 2)} {repeatability.unit}, the critical range of three"
    return (f"After mixing take one sample each from top, middle and bottom ({PRACTICE}); flush the valve first.",
            f"Assay all three: they agree when their range stays {agree} (ISO 5725-6); else mix and sample again.",
            _decides(lot, landing))


def _decides(lot: TankedLot, landing: Landing) -> str:
    """Return how closely the new assay has to know the content."""
    lower, upper = bounds_of(lot.adjustment.limits)
    value = landing.result.value
    margin = min(value - lower, upper - value)
    now, _ = expanded(landing.result)
    if margin <= 0:
        return "The predicted content lies outside the limits: the new assay decides what comes next."
    return (f"The predicted content lies {written_figures(margin, 2)} {lot.unit} inside the nearer limit: an assay "
            f"with an expanded uncertainty below that decides ({written_figures(now, 2)} {lot.unit} is that of the "
            "prediction).")


def to_check(lot: TankedLot, landing: Landing) -> tuple[str, ...]:
    """Return what speaks against the sheet as it stands: a landing outside the limits, densities that cannot be."""
    adjustment = lot.adjustment
    told = []
    lower, upper = bounds_of(adjustment.limits)
    if not lower <= landing.result.value <= upper:
        told.append(f"The predicted content, {written_figures(landing.result.value, 5)} {lot.unit}, lies outside the "
                    f"limits {written_limits(adjustment.limits)}: this addition does not bring the lot within them.")
    tank, addition = adjustment.tank, adjustment.addition
    if tank.temperature is not None and tank.temperature.to("°C") >= HOT_DEGC:
        told.append(f"The lot is at {tank.temperature.text}: let it cool before anything is added; it may spit and "
                    "fume, and a level or density read so hot says little.")
    nominal = lot.mixture.mass_percent if lot.mixture is not None else None
    at_20 = REFERENCE_DEGC
    return (*told, *far_densities(lot.solute, (
        ("the lot", adjustment.assay.density, lot.content.value, at_20),
        ("the lot in the tank", tank.density, lot.content.value,
         tank.temperature.to("°C") if tank.temperature else at_20),
        (addition.name, addition.density, lot.added.value,
         addition.temperature.to("°C") if addition.temperature else at_20),
        ("the product", adjustment.density, nominal, at_20))))


def notes_of(lot: TankedLot, landing: Landing, careful: TwoSteps | None) -> tuple[str, ...]:
    """Return what else to know: why two steps, what was taken where nothing was stated."""
    adjustment = lot.adjustment
    notes = ["Volumes are not added: masses and the mass of the substance are, and densities stand between."]
    accepted = written_probability(adjustment.aim.greatest_overshoot)
    once = written_probability(landing.overshoot)
    if careful is not None and careful.advised:
        notes.append(
            f"Two steps are advised: one addition would pass the far limit with a probability of {once}, more than the "
            f"{accepted} accepted, and too much of it cannot be undone by more of it. After two steps, with an assay "
            "as sure as the first, the lot conforms with a probability of "
            f"{written_probability(careful.chances.conforms)}.")
    elif landing.amount > 0 and landing.overshoot > adjustment.aim.greatest_overshoot:
        twice = "" if careful is None else f", in two steps with {written_probability(careful.overshoot)}"
        notes.append(
            f"The two wishes exclude each other here, the landing at {written_figures(landing.result.value, 5)} "
            f"{lot.unit} and a greatest overshoot of {accepted}: in one step the far limit is passed with a "
            f"probability of {once}{twice}. Land further from that limit, accept a greater overshoot, or assay the lot "
            "more closely.")
    if landing.chances.conforms < adjustment.aim.probability:
        notes.append(f"The probability of conforming stays below the {written_probability(adjustment.aim.probability)} "
                     "wanted: assay the lot more closely, or land further inside.")
    if adjustment.addition.measuring.uncertainty is None:
        notes.append(f"{adjustment.addition.name}: no uncertainty of measuring was stated; one step either way is "
                     f"taken ({PRACTICE}).")
    if adjustment.addition.content is not None and adjustment.addition.content.uncertainty is None:
        notes.append(f"{adjustment.addition.name}: its content is taken as exact, since no uncertainty was stated.")
    if adjustment.tank.dead_leg is None:
        notes.append("No dead leg was stated: all that is read is taken to mix.")
    return tuple(notes)
