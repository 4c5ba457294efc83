"""What cannot be planned: an uncertainty out of reach, a shelf that will not do, and what comes nearest."""

from dataclasses import replace
from typing import NoReturn

from assaywright.assay.plan.detail import detailed
from assaywright.assay.plan.grid import WANTED_USE
from assaywright.assay.plan.predict import (
    BLANK_OVER,
    MOST_DETERMINATIONS,
    NO_ROOM,
    OVER_THE_TOP,
    TOO_HEAVY,
    TOO_LIGHT,
    TOO_LITTLE_REAGENT,
    TOO_LITTLE_TITRANT,
    USED_UP,
    Expected,
    Predicted,
    least_portion_g,
    predicted,
)
from assaywright.assay.plan.ranking import ranked
from assaywright.assay.plan.setup import TARE_G, WEIGHED_DILUTION, Setup
from assaywright.assay.plan.shelf import Shelf
from assaywright.assay.plan.ways import Search
from assaywright.assay.plan.words import decimals, grams, per_cent, way_words, whole_per_cent, written_size
from assaywright.metrology.refusal import Refusal

IN_EXCESS = {
    USED_UP: "add the reagent with a larger pipette, take it stronger, or take a smaller portion",
    TOO_LITTLE_REAGENT: "add the reagent with a larger pipette, take it stronger, or take a smaller burette",
    BLANK_OVER: "add the reagent with a smaller pipette, or take a stronger titrant or a larger burette",
    OVER_THE_TOP: "add the reagent with a smaller pipette, or take a stronger titrant or a larger burette",
    TOO_LITTLE_TITRANT: "take a smaller portion, more of the reagent, a weaker titrant or a smaller burette",
}
BY_MASS = {
    TOO_HEAVY: "list a balance that takes as much, or take a weaker titrant or a smaller burette",
    NO_ROOM: "list a larger flask, or take a weaker titrant",
}


def refuse_unreached(found: list[Predicted], wanted: float, search: Search) -> NoReturn:
    """Refuse an uncertainty that nothing reaches, naming the nearest option with as many determinations as allowed.

    Arguments:
        found: feasible combinations with the uncertainty predicted.
        wanted: expanded uncertainty [unit of the result].
        search: for the worksheet expected.

    Raises:
        Refusal: always.
    """
    nominal = abs(search.nominal)
    most = [predicted(one.expected, wanted=0.0) for one in found]
    setup = ranked(most, wanted=False).setup(0)
    at_most = detailed(replace(setup, determinations=MOST_DETERMINATIONS), search)
    own = detailed(setup, search)
    limiting = at_most.influences[0]
    raise Refusal(
        f"an expanded uncertainty of {per_cent(wanted / nominal)} is out of reach: the nearest feasible option, "
        f"{way_words(setup)}, with {setup.in_burette.name}, gives {per_cent(own.expanded / nominal)} with "
        f"{setup.determinations} determinations and {per_cent(at_most.expanded / nominal)} with "
        f"{MOST_DETERMINATIONS}, limited by {limiting.name} ({whole_per_cent(limiting.share)} of the variance)",
        where=search.shelf.path, remedy="ask for what it gives, or put something better on the shelf in its place")


def refuse_infeasible(expected: list[Expected], search: Search) -> NoReturn:
    """Refuse when nothing can be done, naming the combination that comes nearest and what stands in its way.

    Arguments:
        expected: of every grid.
        search: with what was left out.

    Raises:
        Refusal: always.
    """
    if not expected:
        _refuse_empty(search)
    one, number = min(((one, number) for one in expected for number in range(len(one.grid))),
                      key=lambda each: float(each[0].off[each[1]]))
    setup, fault = one.setup(number), one.fault[number]
    raise Refusal(
        f"nothing on the shelf is feasible: the nearest is {way_words(setup)}, with {setup.in_burette.name}, and that "
        f"means {fault} ({_measured(fault, setup, search.shelf)})" + _told(search),
        where=search.shelf.path, remedy=_remedy(fault, setup, float(one.use[number])))


def _refuse_empty(search: Search) -> NoReturn:
    """Refuse a shelf from which not a single combination can be put together."""
    shelf = search.shelf
    if not shelf.pipettes and not shelf.balances:
        raise Refusal("there is neither a pipette nor a balance on the shelf for the portion" + _told(search),
                      where=shelf.path, remedy="list one under [[pipette]] or [[balance]]")
    raise Refusal("nothing on the shelf can be put together for it" + _told(search), where=shelf.path,
                  remedy="list a titrant of a method that suits, with a pipette or a balance for the portion")


def _measured(fault: str, setup: Setup, shelf: Shelf) -> str:
    """Return the figures that the fault is about, in words."""
    if fault == TOO_HEAVY and setup.balance is not None:
        load = setup.portion_g + TARE_G
        if setup.way == WEIGHED_DILUTION:
            load = max(load, setup.dilution_g + setup.flask_g)
        return f"about {grams(load)} with its vessel; the balance takes {grams(shelf.capacity_g(setup.balance) or 0.0)}"
    if fault == TOO_LIGHT:
        return f"at least {grams(least_portion_g(setup.balance, setup.standard))} are to be weighed"
    if fault == NO_ROOM and setup.flask is not None:
        return f"{written_size(setup.flask.nominal.text)}, of which the sample may fill half"
    return f"{decimals(setup.titre_mL, 2)} mL of a {setup.burette.nominal.text} burette"


def _remedy(fault: str, setup: Setup, use: float) -> str:
    """Return what to do about a fault."""
    if setup.excess is not None and fault in IN_EXCESS:
        return IN_EXCESS[fault]
    if fault in (OVER_THE_TOP, TOO_LITTLE_TITRANT):
        over = fault == OVER_THE_TOP
        times = decimals(use / WANTED_USE if over else WANTED_USE / use, 1)
        strong, small, large = ("strong", "smaller", "larger") if over else ("weak", "larger", "smaller")
        return f"take a titrant {times} times as {strong}, a {small} pipette or a {large} burette"
    if fault == TOO_LIGHT:
        stronger = "" if setup.standard is not None else ", take a stronger titrant"
        return (f"list a balance that weighs so little{stronger}, take a larger burette, or list a flask to weigh more "
                "into and a pipette for its aliquots")
    return BY_MASS.get(fault, "list other vessels")


def _told(search: Search) -> str:
    return f". {' '.join(search.notes).rstrip('.')}" if search.notes else ""
