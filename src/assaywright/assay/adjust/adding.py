"""What stands before the step in which something is added to a tank: what to wear, how it goes in, when to stop."""

from collections.abc import Sequence

from assaywright.assay.prepare.result import Safety
from assaywright.assay.prepare.safety import STRONGER, corrodes, groups_of
from assaywright.chemistry.density import REFERENCE_DEGC
from assaywright.chemistry.heat import Warming
from assaywright.chemistry.solute import Solute
from assaywright.metrology.quantity import Quantity

STOP_DEGC = 40.0  # so warm a tank is let cool before more goes in: common practice, no source
STOP_K = 10.0  # and where it is so warm before, at so much above: common practice, no source
PARTED = "below the surface or where the circulation parts it at once"
TAKEN = "{what} taken to be at 20 °C, for no temperature is stated: measure it; what is warmer ends warmer by as much."


def worn(safety: Safety) -> str:
    """Return the step before anything is opened: what to wear, and who has the last word."""
    return f"Before anything is opened: {'; '.join(safety.protection)}; read the safety data sheet."


def how_it_goes_in(
    solute: Solute, heat: Warming | None, adding: str, *, start: Quantity | None, greatest: Quantity | None
) -> tuple[str, ...]:
    """Return the step that says how it goes in and when to stop; none where nothing corrodes or grows warm.

    Arguments:
        solute: of lot and addition.
        heat: as it is added; none where it is not known.
        adding: :data:`STRONGER` into weaker, or weaker into stronger.
        start, greatest: temperature of the tank before, taken as 20 °C where not stated, and that it may take.

    Source: acid into water and never the reverse, the same for caustic: common practice, no source.
    """
    corrosive = corrodes(solute)
    if not corrosive and (heat is None or not heat.notable):
        return ()
    kind = "acid" if "acids" in groups_of(solute) else "caustic"
    which = ""
    if corrosive and adding == STRONGER:
        which = f", the stronger {kind} into the weaker and never the reverse"
    elif corrosive:
        which = f", never in one stream onto the {kind}"
    start_degC = start.to("°C") if start else REFERENCE_DEGC
    stop_degC = max(STOP_DEGC, start_degC + STOP_K)
    if greatest is not None:
        stop_degC = min(stop_degC, greatest.to("°C"))
    return ((f"All that follows goes in slowly{which}, {PARTED}, with a thermometer in the tank: stop when it is "
             f"warmer than {stop_degC:.0f} °C, and go on when it has cooled (common practice, no source)."),)


def cautioned(steps: Sequence[str], before: str, how: Sequence[str], *, at: int) -> tuple[str, ...]:
    """Return steps with what to wear after the first of them, and how it goes in before the one numbered ``at``."""
    return (*steps[:1], before, *steps[1:at], *how, *steps[at:])
