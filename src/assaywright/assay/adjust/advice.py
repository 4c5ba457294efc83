"""What to do besides: how to add, when to sample where, and what the new assay has to decide."""

from assaywright.assay.adjust.chances import bounds_of
from assaywright.assay.adjust.lot import TankedLot
from assaywright.assay.adjust.result import Landing, TwoSteps
from assaywright.assay.prepare.result import expanded
from assaywright.assay.wording import written_figures, written_probability
from assaywright.metrology.acceptance import critical_range_factor

PRACTICE = "common practice, no source"
MIXING = "circulate until the whole content has passed at least three times, and not less than 30 min"
PLACES = 3


def steps_of(lot: TankedLot, landing: Landing, careful: TwoSteps | None) -> tuple[str, ...]:
    """Return the steps, the careful way where it is advised."""
    addition, tank = lot.adjustment.addition, lot.adjustment.tank
    vessel = tank.identity or "the tank"
    steps = [f"Compare reading, temperature and lot number of {vessel} with this sheet before anything is added.",
             f"Start the circulation of {vessel}."]
    mixing = f"Mix: {tank.mixing or MIXING} ({'as the works states' if tank.mixing else PRACTICE})."
    if careful is not None and careful.advised:
        steps += [
            f"First step: add {careful.first.text} of {addition.name}; write down what the instrument shows.", mixing,
            "Sample and assay anew (below); adjust this sheet with the new content.",
            f"Second step: about {careful.second_text} of {addition.name}, as the new assay says.", mixing]
    else:
        steps += [f"Add {landing.text} of {addition.name}; write down what the instrument shows.", mixing]
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


def notes_of(lot: TankedLot, landing: Landing, careful: TwoSteps | None) -> tuple[str, ...]:
    """Return what else to know: why two steps, what was taken where nothing was stated."""
    adjustment = lot.adjustment
    notes = ["Volumes are not added: masses and the mass of the substance are, and densities stand between."]
    if careful is not None and careful.advised:
        accepted = written_probability(adjustment.aim.greatest_overshoot)
        notes.append(
            f"Two steps are advised: one addition would pass the far limit with a probability of "
            f"{written_probability(landing.overshoot)}, more than the {accepted} accepted, and too much of it cannot "
            f"be undone by more of it. After two steps, with an assay as sure as the first, the lot conforms with a "
            f"probability of {written_probability(careful.chances.conforms)}.")
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
