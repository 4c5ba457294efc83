"""What to know before mixing: order of addition, heat, hazards of what is used and of what is made."""

from collections.abc import Sequence

from assaywright.assay.prepare.result import Safety
from assaywright.chemistry.cautions import DEFERRAL, Cautions, cautions, worn_together
from assaywright.chemistry.classification import added_by_suppliers
from assaywright.chemistry.heat import Warming
from assaywright.chemistry.solute import Solute, find_solute, other_forms
from assaywright.metrology.refusal import Refusal
from assaywright.reference.safety import hazard_statement
from assaywright.reference.substances import substance

RECALLED = ("That temperature rests on figures that were recalled, not read in their source: trust the thermometer "
            "more than the figure.")
BEYOND_TABLE = ("The strongest solution here lies beyond the table of heats of dilution; its last slope was carried "
                "on: it may get hotter than that.")
NO_HAZARDS_HELD = ("NO HAZARDS ARE HELD for what is used here, which does not mean that there are none: read the "
                   "safety data sheet first.")
WHAT_THE_SHEET_ASKS = "whatever else the safety data sheet asks for"
HURTS_EYES_OR_SKIN = ("H314", "H315", "H318", "H319")
IN_BULK = ("goggles and face shield",)  # for acid or caustic by the tank: common practice, no source
AS_SUPPLIED = 100.0
SOLID_PERCENT = 90.0  # a solid that holds as much is the solid, whatever its assay: no solution of one is as strong
LIQUID_PERCENT = 99.0  # a liquid that holds as much is the liquid as supplied: common practice, no source
SPITS_DEGC = 80.0  # the layer may not come nearer to boiling than 20 K, for it is an estimate: our own allowance
STRONG_PERCENT = 50.0  # of an acid whose heat of dilution is not held, no water onto it: common practice, no source
SLIGHT_K = 0.5  # a rise of less is none in whole degrees
SUBSTANCE, STRONGER, WEAKER = "substance", "stronger", "weaker"  # what is added to what is there already
_ORDER_OF_ACIDS = {
    SUBSTANCE: ("All of the water first, or nearly all, then the acid slowly into the water with stirring; never water "
                "into acid."),
    STRONGER: ("The stronger acid goes slowly into the weaker, with stirring or the circulation running; never the "
               "weaker into the stronger."),
    WEAKER: ("Water or weaker acid goes into acid here, which is against the rule: only where too little heat is set "
             "free to boil where they meet; slowly, below the surface, with the circulation running. Otherwise put the "
             "weaker in a second vessel first, and the stronger acid slowly into it."),
}
_ORDER_OF_ALKALIS = {
    SUBSTANCE: ("All of the water first, or nearly all, cold, then the caustic slowly into the water, in portions, "
                "with stirring; never water on caustic."),
    STRONGER: ("The stronger liquor goes slowly into the weaker, with stirring or the circulation running; never the "
               "weaker into the stronger."),
    WEAKER: ("Water or weaker liquor goes into caustic here, which is against the rule: only where too little heat "
             "is set free to boil where they meet; slowly, below the surface, with the circulation running."),
}


def groups_of(solute: Solute) -> tuple[str, ...]:
    """Return the families a substance belongs to; none where it is not held."""
    try:
        return substance(solute.name).groups
    except Refusal:
        return ()


def corrodes(solute: Solute) -> bool:
    """Whether a substance is an acid or a strong alkali."""
    return bool({"acids", "strong alkali"} & set(groups_of(solute)))


def order_of_addition(solute: Solute, adding: str) -> str:
    """Return which goes into which.

    Arguments:
        solute: of the solution.
        adding: what goes into what is there already: :data:`SUBSTANCE` into water, :data:`STRONGER` into weaker, or
            :data:`WEAKER` into stronger.

    Source: acid into water and never water into acid, the same for caustic: common practice, no source.
    """
    groups = groups_of(solute)
    acid, alkali = "acids" in groups, "strong alkali" in groups
    if acid:
        return _ORDER_OF_ACIDS[adding]
    if alkali:
        return _ORDER_OF_ALKALIS[adding]
    if adding == SUBSTANCE:
        return "Most of the water first, then the substance with stirring, then the rest of the water."
    return "Add slowly, with the circulation running."


def safety_of(
    solute: Solute, percents: Sequence[tuple[str, float, str]], warming: Warming | None, *, adding: str,
    greatest_degC: float | None, made_up: bool = False, not_judged: Sequence[str] = (),
    in_bulk: bool = False,
) -> Safety:
    """Return cautions for what is used and what is made.

    Arguments:
        solute: of the solution.
        percents: name, mass per cent (:data:`AS_SUPPLIED` for a solid) and substance of each [% w/w].
        warming: how warm it gets, at the hottest moment.
        adding: what goes into what is there already, see :func:`order_of_addition`.
        greatest_degC: that the vessel may take [°C].
        made_up: whether it is made up to a mark afterwards.
        not_judged: names of solutions whose content by mass is not known.
        in_bulk: whether it is made or kept in a tank, where a splash of what irritates is no small one.

    Returns: hazards by UN GHS with the limits the tables hold; the safety data sheet goes first
    """
    found = [(name, one) for name, percent, of in percents if (one := _cautions(of, percent)) is not None]
    statements = []
    for name, one in found:
        said = "; ".join((*(f"{item.code} {item.wording}" for item in one.statements), *_added_by_suppliers(one)))
        statements.append(f"{name}: {one.signal_word + ': ' if one.signal_word else ''}"
                          f"{said or 'not classified by the limits held'}")
    missing: dict[str, list[str]] = {}
    for name, percent, of in percents:
        if _cautions(of, percent) is None:
            missing.setdefault(of, []).append(name)
    statements += [_unheld(" and ".join(names), of) for of, names in missing.items()]
    statements += [(f"{name}: not judged, for its density, and so its content by mass, is not held; state the density, "
                    "or go by the safety data sheet and what is said of the substance.") for name in not_judged]
    splashes = in_bulk and corrodes(solute) and any(
        item.code in HURTS_EYES_OR_SKIN for _, one in found for item in one.statements)
    protection = worn_together([*(one.protection for _, one in found), *([IN_BULK] if splashes else [])])
    if missing:
        protection = (*protection, WHAT_THE_SHEET_ASKS)
    first = [NO_HAZARDS_HELD] if missing else []
    first.append(order_of_addition(solute, adding))
    first += heat_sentences(warming, greatest_degC, made_up=made_up)
    return Safety(tuple(first), tuple(statements), protection, DEFERRAL)


def heat_sentences(warming: Warming | None, greatest_degC: float | None, *, made_up: bool = True) -> list[str]:
    """Return what is to be said of the heat, and where its figures are weak; nothing where cool and well known.

    Arguments:
        warming: how warm it gets; none where it is not known.
        greatest_degC: that the vessel may take [°C].
        made_up: whether it is made up to a mark afterwards.
    """
    if warming is None:
        return ["How warm it gets is not known here: no heat of solution is held. Add slowly, watch the thermometer."]
    beyond = [BEYOND_TABLE] if warming.beyond_table else []
    doubt = [*([RECALLED] if warming.recalled else []), *beyond]
    told = f"up to {warming.at_most_degC} °C (a rise of {warming.rise_K:.0f} K) if added at once without cooling"
    passed = greatest_degC is not None and warming.final_degC > greatest_degC
    above = f"above the {greatest_degC:g} °C that the vessel may take" if passed else ""
    if warming.boils:
        return [(f"DANGER: {told}{f', {above}' if above else ''}: it would boil and spit. Add in small portions with "
                 "cooling; let it cool between."), *doubt]
    if passed and warming.rise_K < SLIGHT_K:
        return [(f"WARNING: it is at up to {warming.at_most_degC} °C as it is put together, {above}. Let it cool "
                 "first.")]
    if passed:
        return [f"WARNING: {told}, {above}. Add in portions with cooling, and watch the thermometer.", *doubt]
    if warming.notable:
        then = (", cool, and make up only when it is back at its temperature" if made_up
                else " with cooling, and watch the thermometer")
        return [f"It grows warm: {told}. Add slowly{then}.", *doubt]
    return beyond


def _unheld(name: str, of: str) -> str:
    """Return that no hazards are held, with those of its other forms that differ by crystal water alone."""
    told = [f"{one.name}: {'; '.join(f'{item.code} {item.wording}' for item in held.statements)}"
            for one in other_forms(find_solute(of)) if (held := _cautions(one.name, AS_SUPPLIED)) is not None]
    forms = f" Of another form, {', of '.join(told)}." if told else ""
    return f"{name}: no hazards are held; read the safety data sheet first.{forms}"


def _added_by_suppliers(held: Cautions) -> list[str]:
    """Return what suppliers add to the statements that limits decide, as on the labels of the methods."""
    percent = AS_SUPPLIED if held.mass_percent is None else held.mass_percent
    given = {one.code for one in held.statements}
    return [f"{one.code} {hazard_statement(one.code)} (as suppliers add it)"
            for one in added_by_suppliers(held.substance, percent) if one.code not in given]


def _cautions(of: str, percent: float) -> Cautions | None:
    """Return the cautions of a solution, or of the substance as supplied; none where none are held."""
    try:
        as_supplied = percent >= (SOLID_PERCENT if substance(of).state == "solid" else LIQUID_PERCENT)
        return cautions(of) if as_supplied else cautions(of, mass_percent=percent)
    except Refusal:
        return None
