"""A preparation said by options, for the quick question at the bench."""

import argparse
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from assaywright.assay.prepare.form import (
    CONTENT_UNITS,
    MOST_WATER_PERCENT,
    MakingVessel,
    Preparation,
    Source,
    check_assay,
    check_greatest_temperature,
    check_tolerance,
)
from assaywright.assay.prepare.head import SheetHead
from assaywright.assay.prepare.make import WATER, planned
from assaywright.assay.prepare.measuring import Measuring
from assaywright.assay.prepare.vessels import as_made
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity, read_spread
from assaywright.reference.substances import substance

T = TypeVar("T")
VERB = "assaywright prepare"
STEP = "0.01 g"
COARSER_STEPS = ((3_000_000, "1 kg"), (100_000, "0.1 kg"), (6_000, "1 g"))  # from so many grams: common practice
_SAID_BY_A_FILE = {
    "--to": "to", "--volume": "volume", "--mass": "mass", "--from": "sources", "--solid": "solid", "--assay": "assay",
    "--water": "water", "--density": "density", "--readability": "readability", "--tolerance": "tolerance",
    "--reaction": "reaction", "--counting": "counting", "--temperature": "temperature",
    "--greatest-temperature": "greatest_temperature",
    "--responsible": "responsible",
}  # option to its name among the arguments


def preparation_of_options(parsed: argparse.Namespace) -> Preparation:
    """Return the preparation that the options describe.

    Raises:
        Refusal: an option that is missing, cannot be read or does not fit.
    """
    of = " ".join(parsed.of)
    content = _positive("--to", _needed("--to", parsed.to, '"0.1 mol/L"'), *CONTENT_UNITS)
    amount = _amount(parsed)
    if parsed.sources and (parsed.assay or parsed.water or parsed.solid):
        raise Refusal("a solid and a solution are named at once", where=VERB,
                      remedy="give --from, or --assay, --water and --solid")
    if not parsed.sources and not (parsed.assay or parsed.solid):
        _check_solid(of)
    sources = _solutions(parsed, of) if parsed.sources else (_solid(parsed, of),)
    vessel = MakingVessel(
        kind="flask" if parsed.volume and len(sources) == 1 else "bottle",
        tolerance=_typed("--tolerance", lambda text: read_spread(text, "mL", form="triangular"), parsed.tolerance)
        if parsed.tolerance else None,
        greatest_temperature=_optional("--greatest-temperature", parsed.greatest_temperature, "°C"))
    if vessel.greatest_temperature is not None:
        check_greatest_temperature(vessel.greatest_temperature, "--greatest-temperature")
    if vessel.tolerance is not None:
        check_tolerance(vessel.tolerance, amount, "--tolerance")
    preparation = Preparation(
        substance=of, content=content, amount=amount, sources=sources, vessel=vessel,
        temperature=_optional("--temperature", parsed.temperature, "°C"), reaction=parsed.reaction or "",
        counting=parsed.counting or "",
        head=SheetHead(responsible=parsed.responsible or ""))
    return preparation if parsed.readability else _on_balances_for_it(preparation)


def _on_balances_for_it(preparation: Preparation) -> Preparation:
    """Return the preparation with each amount weighed in a step that a balance for so much has.

    A balance that shows 0.01 g takes about 6 kg, one that shows 1 g about 100 kg: common practice, no source.
    """
    try:
        plan = planned(as_made(preparation))
    except Refusal:
        return preparation  # refused with its reason when it is worked out
    steps = {stock.source.name: _step_for(amount) for stock, amount in zip(plan.stocks, plan.amounts, strict=True)}
    sources = tuple(replace(one, measuring=Measuring(read_quantity(steps[one.name]))) for one in preparation.sources)
    if not preparation.by_volume and len(sources) == 1 and steps[WATER] != steps[sources[0].name]:
        sources = (*sources, Source(WATER, "diluent", Measuring(read_quantity(steps[WATER]))))
    return replace(preparation, sources=sources)


def _step_for(amount_g: float) -> str:
    """Return the step in which so much is weighed [g]."""
    return next((step for least_g, step in COARSER_STEPS if amount_g >= least_g), STEP)


def check_options(parsed: argparse.Namespace) -> None:
    """Refuse options that say something else than the file that is named, and a seed of no simulation.

    Raises:
        Refusal: such an option; the sentence names the first.
    """
    if parsed.file is not None:
        given = [option for option, value in _SAID_BY_A_FILE.items() if getattr(parsed, value)]
        if given:
            raise Refusal(f"{given[0]} is given beside the file {parsed.file}, which says that itself", where=VERB,
                          remedy=f"change the file, or leave {given[0]} out")
    if parsed.seed is not None and not parsed.monte_carlo:
        raise Refusal("--seed is given and nothing is simulated", where=VERB,
                      remedy="add --monte-carlo 200000, or leave --seed out")


def _check_solid(of: str) -> None:
    """Refuse to weigh out as it is what the tables hold as a liquid or a gas; an unknown name is refused elsewhere."""
    try:
        held = substance(find_solute(of).name)
    except Refusal:
        return
    if held.state in ("solid", ""):
        return
    remedy = 'give the solution it is made from by --from and what its label says, such as --from "25 % w/w"'
    if held.state == "liquid":
        remedy += ", or --assay where the liquid is weighed as it is"
    raise Refusal(f"nothing tells what {of} is made from, and by itself it is a {held.state}", where=VERB,
                  remedy=remedy)


def _amount(parsed: argparse.Namespace) -> Quantity:
    if (parsed.volume is None) == (parsed.mass is None):
        raise Refusal("how much is to be made is not said in exactly one way", where=VERB,
                      remedy='give --volume "1 L" or --mass "10 kg"')
    if parsed.volume is not None:
        return _positive("--volume", parsed.volume, "L")
    return _positive("--mass", parsed.mass, "kg")


def _solutions(parsed: argparse.Namespace, of: str) -> tuple[Source, ...]:
    if len(parsed.sources) > 2:
        raise Refusal(f"--from is given {len(parsed.sources)} times", where=VERB, remedy="give it once or twice")
    found = []
    for number, text in enumerate(parsed.sources):
        density = _optional("--density", _nth(parsed.density, number), "g/mL")
        found.append(Source(f"{of} {text.partition('±')[0].strip()}", "solution", _measuring(parsed, number),
                            content=_positive("--from", text, *CONTENT_UNITS), density=density))
    return tuple(found)


def _solid(parsed: argparse.Namespace, of: str) -> Source:
    assay = _positive("--assay", parsed.assay, "% w/w", "%") if parsed.assay else None
    water = _positive("--water", parsed.water, "% w/w", "%") if parsed.water else None
    if assay is not None:
        check_assay(assay, "--assay")
    if water is not None and float(water.value) > MOST_WATER_PERCENT:
        raise Refusal(f"{parsed.water} of water leave hardly a solid, and at most {MOST_WATER_PERCENT} % are taken",
                      where="--water", remedy="give what is lost on drying, or make the solution with --from")
    name = parsed.solid or of
    return Source(name, "solid", _measuring(parsed, 0), substance=parsed.solid or "", content=assay, water=water)


def _measuring(parsed: argparse.Namespace, number: int) -> Measuring:
    text = _nth(parsed.readability, number) or _nth(parsed.readability, 0) or STEP
    return Measuring(_positive("--readability", text, "g", "mL"))


def _nth(texts: list[str], number: int) -> str | None:
    return texts[number] if number < len(texts) else None


def _needed(option: str, text: str | None, example: str) -> str:
    return Refusal.unless(text, f"{option} is missing", where=VERB, remedy=f"give {option} {example}")


def _optional(option: str, text: str | None, *units: str) -> Quantity | None:
    return None if text is None else _typed(option, lambda one: read_quantity(one, *units), text)


def _positive(option: str, text: str, *units: str) -> Quantity:
    found = _typed(option, lambda one: read_quantity(one, *units), text)
    if not found.value > 0:
        raise Refusal(f"{text} is not above zero", where=option, remedy="give the amount that is meant")
    return found


def _typed(option: str, read: Callable[[str], T], text: str) -> T:
    try:
        return read(text)
    except Refusal as refusal:
        remedy = refusal.remedy.partition(", or set decimal_mark")[0]  # a field of files; options have the point
        raise Refusal(refusal.what, where=refusal.where, remedy=remedy).at(option) from None
