"""What to know before mixing: order of addition, heat, hazards of what is used and of what is made."""

from collections.abc import Sequence

from assaywright.assay.prepare.result import Safety
from assaywright.chemistry.cautions import ALWAYS, DEFERRAL, Cautions, cautions
from assaywright.chemistry.heat import Warming
from assaywright.chemistry.solute import Solute
from assaywright.metrology.refusal import Refusal
from assaywright.reference.substances import substance

RECALLED = ("That temperature rests on figures that were recalled, not read in their source: trust the thermometer "
            "more than the figure.")
STRONG_PERCENT = 5.0  # from where order of addition is told for acids and alkalis: common practice, no source


def groups_of(solute: Solute) -> tuple[str, ...]:
    """Return the families a substance belongs to; none where it is not held."""
    try:
        return substance(solute.name).groups
    except Refusal:
        return ()


def order_of_addition(solute: Solute, *, diluting: bool) -> str:
    """Return which goes into which.

    Arguments:
        solute: of the solution.
        diluting: whether water is added to a solution that is there already, as to a tank.
    """
    groups = groups_of(solute)
    acid, alkali = "acids" in groups, "strong alkali" in groups
    if acid and diluting:
        return ("Water goes into acid here, which is against the rule: only where the acid is already dilute and the "
                "heat below says so; slowly, below the surface, with the circulation running. Otherwise put the water "
                "in a second vessel first, and the acid slowly into it.")
    if acid:
        return "Water first, then the acid slowly into the water with stirring; never water into acid."
    if alkali:
        return ("Cold water first, then the caustic slowly into the water, in portions, with stirring; never water on "
                "caustic.") if not diluting else (
                "Add slowly with the circulation running; where caustic of high strength is added, add it to the "
                "weaker liquor, never the other way round.")
    return "Most of the water first, then the substance with stirring, then the rest of the water."


def safety_of(
    solute: Solute, percents: Sequence[tuple[str, float, str]], warming: Warming | None, *, diluting: bool,
    greatest_degC: float | None,
) -> Safety:
    """Return cautions for what is used and what is made.

    Arguments:
        solute: of the solution.
        percents: name, mass per cent (100 as supplied) and substance of each [% w/w].
        warming: how warm it gets.
        diluting: whether something is added to a solution that is there already.
        greatest_degC: that the vessel may take [°C].

    Returns: hazards by UN GHS with the limits the tables hold; the safety data sheet goes first
    """
    found = [(name, one) for name, percent, of in percents if (one := _cautions(of, percent)) is not None]
    statements = []
    for name, one in found:
        said = "; ".join(f"{item.code} {item.wording}" for item in one.statements)
        statements.append(f"{name}: {one.signal_word + ': ' if one.signal_word else ''}"
                          f"{said or 'not classified by the limits held'}")
    protection = tuple(dict.fromkeys(part for _, one in found for part in one.protection)) or ALWAYS
    if any(part.startswith("gloves that") for part in protection):
        protection = tuple(part for part in protection if part != "gloves")
    if "goggles and face shield" in protection:
        protection = tuple(part for part in protection if part != "goggles")
    first = [order_of_addition(solute, diluting=diluting)]
    first += heat_sentences(warming, greatest_degC)
    return Safety(tuple(first), tuple(statements), protection, DEFERRAL)


def heat_sentences(warming: Warming | None, greatest_degC: float | None) -> list[str]:
    """Return what is to be said of the heat, and that it rests on recalled figures where it does; nothing where cool.

    Arguments:
        warming: how warm it gets; none where it is not known.
        greatest_degC: that the vessel may take [°C].
    """
    if warming is None:
        return ["How warm it gets is not known here: no heat of solution is held. Add slowly, watch the thermometer."]
    doubt = [RECALLED] if warming.recalled else []
    told = f"up to {warming.final_degC:.0f} °C (a rise of {warming.rise_K:.0f} K) if added at once without cooling"
    if warming.boils:
        return [f"DANGER: {told}: it would boil and spit. Add in small portions with cooling; let it cool between.",
                *doubt]
    if greatest_degC is not None and warming.final_degC > greatest_degC:
        return [(f"WARNING: {told}, above the {greatest_degC:g} °C that the vessel may take. Add in portions with "
                 "cooling, and watch the thermometer."), *doubt]
    if warming.notable:
        return [f"It grows warm: {told}. Add slowly, cool, and make up only when it is back at its temperature.",
                *doubt]
    return []


def _cautions(of: str, percent: float) -> Cautions | None:
    """Return the cautions of a solution, or of the substance as supplied; none where none are held."""
    try:
        return cautions(of) if percent >= 99.99 else cautions(of, mass_percent=percent)
    except Refusal:
        return None
