"""The steps of a guide: the method's own, all of them and in their order, with the figures and cautions of this sheet.

Where the titrating begins is found by the step's own words, so that a laboratory's own method needs no mark for it.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assaywright.assay.method import Cautions, Method
from assaywright.assay.plan.contents import NEAR_NOMINAL
from assaywright.assay.plan.setup import BARIUM_CHLORIDE, LIKEWISE, Setup
from assaywright.assay.plan.words import decimals, grams
from assaywright.reference.practice import burette_practice

BLANK = r"(?:the (?:reagent |indicator )?|a |two )blanks?\b"
BEGINS = re.compile(rf"\btitrate\b(?! it\b| at once(?! with)| without delay\.| at least| {BLANK})"
                    r"|\brun in(?! the pipetted| below)", re.IGNORECASE)
AFTERWARDS = re.compile(rf"Read |Weigh the vessel|Titrate (?:at least|{BLANK})")
SHARES = {"four fifths of": 0.8, "nine tenths of": 0.9}
AMOUNT = re.compile(r"\d\s*(?:m?g|mL)\b")
WORD = re.compile(r"[a-z]{4,}")
SAY_NOTHING = frozenset(("sodium", "potassium", "solution", "strong", "with", "such", "water", "concentrated", "matter",
                         "organic", "other", "left", "stand", "salt", "dilute", "standard"))


@dataclass(frozen=True, slots=True)
class FreeByMass:
    """How far to run freely with another mass weighed in [g, mL]."""

    mass_g: float
    free_to_mL: float


@dataclass(frozen=True, slots=True)
class Figures:
    """What a sheet adds to the method's steps.

    Fields:
        free_to_mL: how far to run freely, to the first of two endpoints [mL].
        low_mL: the earliest end that is expected [mL].
        by_mass: how far with other masses; none where the portion is pipetted.
    """

    free_to_mL: float
    low_mL: float
    by_mass: tuple[FreeByMass, ...] = ()


def sample_steps(method: Method) -> tuple[str, ...]:
    """Return what the method says of taking its sample, and that its amounts are those of its own example."""
    named = any(AMOUNT.search(one) for one in method.sample.text)
    ours = "The amounts named there are the method's usual ones; those of this sheet stand under Take."
    return (*method.sample.text, ours) if named else method.sample.text


def flask_steps(setup: Setup) -> tuple[str, ...]:
    """Return the method's steps before the titrating begins, each with what is dangerous in it before it."""
    method = setup.method
    begin = _begin(method.procedure)
    return tuple(told for told, step in zip(_with_cautions(method)[:begin], method.procedure[:begin], strict=True)
                 if not _makes_titrant(step, method))


def made_beforehand(method: Method) -> tuple[str, ...]:
    """Return the method's steps that make the titrant, which is in its bottle when the sheet is used."""
    return tuple(f"The titrant is ready beforehand; of making it the method says: {told}"
                 for told, step in zip(_with_cautions(method), method.procedure, strict=True)
                 if _makes_titrant(step, method))


def _makes_titrant(step: str, method: Method) -> bool:
    return step.startswith(("Make the titrant ", f"Make the {method.titrant.name.split()[-1]} "))


def titrating_steps(setup: Setup, figures: Figures) -> tuple[str, ...]:
    """Return the method's steps from the titrating on, with the volumes, the colour and the reading of this sheet.

    Arguments:
        setup: with its expected titre.
        figures: the volumes.
    """
    method = setup.method
    begin, steps = _begin(method.procedure), [_own(one, setup) for one in _with_cautions(method)]
    free = *_freely(figures.free_to_mL), *_by_mass(figures.by_mass)
    second = _again(method.procedure, begin)
    if method.first_endpoint is None or setup.first_mL is None or second is None:
        after = next((n for n in range(begin + 1, len(steps)) if AFTERWARDS.match(method.procedure[n])), len(steps))
        return (*free, *steps[begin:after], *_stop(method.endpoint.colour_change), *steps[after:])
    between = _between_aliquots if method.scheme == BARIUM_CHLORIDE else _between_endpoints
    last = method.first_endpoint if method.scheme == BARIUM_CHLORIDE else method.endpoint
    return (*free, *steps[begin:begin + 1], *between(setup, figures, steps[begin + 1:second]),
            *steps[second:second + 1], *_stop(last.colour_change), *steps[second + 1:])


def first_low_mL(setup: Setup, low_mL: float) -> float:
    """Return where the first endpoint, or that after barium chloride, is expected at the earliest [mL]."""
    return (setup.first_mL or 0.0) * low_mL / setup.titre_mL


def before_end_mL() -> float:
    """Return how long before the earliest end one goes on dropwise [mL]."""
    return burette_practice("dropwise").value or 0.0


def blank_free_to_mL(setup: Setup) -> float | None:
    """Return how far to run freely with a blank titrated likewise [mL]; None where there is none.

    A reagent that states no uncertainty of its own is taken to be within 5 % of what it is called.
    """
    if not setup.blanks or setup.reagent is None:
        return None
    stated = setup.reagent.concentration
    spread = NEAR_NOMINAL
    if stated is not None and stated.uncertainty is not None:
        spread = 2 * stated.uncertainty_in(stated.unit) / float(stated.value)
    return max(0.0, setup.blank_mL * (1 - spread) - before_end_mL())


def _begin(steps: Sequence[str]) -> int:
    """Return the number of the step with which the titrating begins; the first after which one reads, without any."""
    found = next((number for number, one in enumerate(steps) if BEGINS.search(one)), None)
    if found is not None:
        return found
    return next((number for number, one in enumerate(steps) if AFTERWARDS.match(one)), len(steps))


def _again(steps: Sequence[str], begin: int) -> int | None:
    """Return the number of the step with which one titrates again."""
    return next((n for n in range(begin + 1, len(steps)) if BEGINS.search(steps[n])), None)


def _own(step: str, setup: Setup) -> str:
    """Return a step with the volume that a share of the titrant is here, or with that a blank is not planned."""
    if (not setup.blanks and setup.method.blank.kind == LIKEWISE and not setup.method.blank.required
            and re.search(rf"Titrate {BLANK}", step)):
        return (f"Not planned here, and without a line on the sheet: \"{step}\" The plan reckons with the reagent's "
                "own concentration; a blank is not part of it.")
    told = [f"{decimals(share * setup.titre_mL, 1)} mL" for words, share in SHARES.items() if words in step]
    return f"{step} That share is about {told[0]} here." if told else step


# --- volumes ----------------------------------------------------------------------------------------------------------


def _freely(free_to_mL: float) -> Iterator[str]:
    outflow, half = burette_practice("greatest outflow").high, burette_practice("half drop").value
    told = decimals(free_to_mL, 1)
    if told == decimals(0.0, 1):
        yield (f"Nothing is run freely: dropwise from the start, in the end by half drops (about {half:g} mL), touched "
               "off on the wall and washed down.")
        return
    yield f"In what follows run freely no further than {told} mL, not faster than {outflow:g} mL/s, swirling."
    yield (f"From {told} mL on dropwise; near the end half drops (about {half:g} mL), touched off on the wall and "
           "washed down.")


def _by_mass(by_mass: Sequence[FreeByMass]) -> Iterator[str]:
    if any(one.free_to_mL > 0 for one in by_mass):
        told = "; ".join(f"{grams(one.mass_g)}, {decimals(one.free_to_mL, 1)} mL" for one in by_mass)
        yield (f"That volume goes with the mass weighed in. Freely no further than: {told}; between two masses the "
               "smaller volume.")


def _stop(colour_change: str) -> Iterator[str]:
    wait = burette_practice("waiting time").value
    yield f"Stop at: {colour_change}."
    yield f"Wait {wait:g} s, then read the burette at eye level to a tenth of a division."


def _between_aliquots(setup: Setup, figures: Figures, between: Sequence[str]) -> Iterator[str]:
    """Yield the end of the first aliquot's titration, and how that of the aliquot after barium chloride begins."""
    yield from _stop(setup.method.endpoint.colour_change)
    yield ("That is the total alkali. Fill the burette again to zero or just below and read it: the second aliquot is "
           "a titration of its own.")
    yield from between
    yield (f"Second aliquot, expected at about {decimals(setup.first_mL or 0.0, 2)} mL: slowly all the way, and "
           f"dropwise from {decimals(first_low_mL(setup, figures.low_mL) - before_end_mL(), 1)} mL on.")


def _between_endpoints(setup: Setup, figures: Figures, between: Sequence[str]) -> Iterator[str]:
    """Yield the first of two endpoints and how far it is to the second."""
    first, at = setup.method.first_endpoint, setup.first_mL or 0.0
    yield from between
    yield (f"First endpoint, expected at about {decimals(at, 2)} mL: {first.colour_change if first else ''}. Read the "
           "burette and do not fill it again.")
    gap = setup.titre_mL - at
    if gap > 2 * before_end_mL():
        yield (f"After the second indicator run freely to {decimals(figures.low_mL - before_end_mL(), 1)} mL, then "
               "dropwise again.")
    else:
        yield f"After the second indicator go on dropwise: only {decimals(gap, 2)} mL are expected."


# --- cautions before the step -----------------------------------------------------------------------------------------


def _with_cautions(method: Method) -> list[str]:
    """Return the method's steps; before the first that brings two together that must not meet unawares, the caution."""
    own = _words(re.split(r" by |:", method.title)[0]) | _words(method.analyte.name)
    before: list[list[str]] = [[] for _ in method.procedure]
    for caution in (*method.cautions.incompatibilities, *method.cautions.notes):
        place = next((number for number, one in enumerate(method.procedure)
                      if _concerns(caution, one, own, method.cautions)), None)
        if place is not None:
            before[place].append(f"Caution, {caution[0].lower()}{caution[1:].rstrip('.')}. ")
    return ["".join(told) + step for told, step in zip(before, method.procedure, strict=True)]


def _concerns(caution: str, step: str, own: set[str], every: Cautions) -> bool:
    """Whether a step names what a caution speaks of: both of a pair, one of which may be what is titrated."""
    here = _words(step)
    if caution in every.notes:
        return " ".join(caution.split()[:2]).casefold() in step.casefold()
    left, _, right = caution.partition(":")[0].partition(" and ")
    sides = _words(left), _words(right)
    return all(side & (here | own) for side in sides) and any(side & here for side in sides)


def _words(text: str) -> set[str]:
    return {word.removesuffix("s") for word in WORD.findall(text.casefold())} - SAY_NOTHING
