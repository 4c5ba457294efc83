"""The sheet for a worksheet that is titrated on paper: cautions, checks, what is expected, a place for every reading.

The places stand in the order in which the bench page asks for the readings, so that they are typed in as they stand.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from assaywright.assay.asked import WEIGHED, Asked
from assaywright.assay.bench.expected import Expectation
from assaywright.assay.bench.foreseen import FIRST_READING
from assaywright.assay.bench.state import BenchState
from assaywright.assay.method import Method
from assaywright.metrology.refusal import Refusal
from assaywright.reference.bar_code import bar_widths

FORMAT = "assaywright worksheet on paper 1"
LONGEST_BARS = 32  # characters whose bars, of 0.33 mm a module, still fit between the margins
WIDEST = 5  # determinations side by side that one can still write into
EXTRA = "+"  # a column for one determination more
BLANKS = 3
REFILLED = ("filled again: initial reading", "filled again: final reading")
AFTERWARDS = ("colour, remarks", "time, initials")
DEFERRAL = ("The safety data sheets, local codes and licensed practice come before this sheet; a qualified person "
            "answers for the work.")
ENDPOINTS = {"final": "Endpoint expected at", "first": "First endpoint expected at",
             "hydroxide_final": "Endpoint with barium chloride expected at"}


@dataclass(frozen=True, slots=True)
class ToTick:
    """A line to tick off; ``attention`` where what is on record speaks against it."""

    words: str
    attention: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """Something that is known already: what it is, and what is known of it."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class ToWrite:
    """One reading: its name with its unit, and for each column what stands there already, or nothing."""

    words: str
    texts: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Places:
    """A table to be filled in by hand: what its columns are, and its lines."""

    title: str
    columns: tuple[str, ...]
    lines: tuple[ToWrite, ...]


@dataclass(frozen=True, slots=True)
class PaperSheet:
    """What stands on the sheet.

    Fields:
        number: of the worksheet; ``bars`` are its bars and spaces in Code 128, in modules, none where it has no room
            or letters that the code does not have.
        scanned: what the square code says: an address that opens the worksheet's page.
        about: what is titrated.
        cautions: before anything else.
        checks: to tick off before the titrations.
        planned: what to take and what is expected.
        procedure: the method's steps.
        tables: a place for every reading, as the bench page asks for them.
    """

    format: str
    number: str
    bars: tuple[int, ...]
    scanned: str
    title: str
    about: str
    day: str
    cautions: tuple[str, ...]
    deferral: str
    checks: tuple[ToTick, ...]
    planned: tuple[Told, ...]
    procedure: tuple[str, ...]
    tables: tuple[Places, ...]
    software: str


def bars_of(number: str) -> tuple[int, ...]:
    """Return the bars and spaces of a worksheet's number in modules; none where it cannot be one."""
    if len(number) > LONGEST_BARS:
        return ()
    try:
        return bar_widths(number)
    except Refusal:
        return ()


def planned_words(method: Method, wanted: Asked, state: BenchState, aimed: str = "") -> tuple[Told, ...]:
    """Return how the portion is taken, where the endpoints are expected and how far to run freely, as far as is known.

    Arguments:
        method: of the worksheet.
        wanted: what it asks for.
        state: of the bench before the next determination.
        aimed: about how much to weigh, in words.
    """
    found = [Told("Method", f"{method.title}, edition {method.edition}"), Told("Portion", wanted.way)]
    if aimed:
        found.append(Told("Weigh", aimed))
    for reading in ("final", FIRST_READING.get(method.scheme, "")):
        found += _expected_words(reading, state.expected.get(reading))
    if not state.expected:
        unknown = "the first portion is weighed" if wanted.handling == WEIGHED else "the first determination is made"
        found.append(Told(ENDPOINTS["final"], f"not known before {unknown}: run no further than the colour allows"))
    first = method.first_endpoint
    if first is not None and first.colour_change:
        with_barium = method.scheme == "barium chloride"
        found.append(Told("With barium chloride, stop at" if with_barium else "First stop at", first.colour_change))
    if method.endpoint.colour_change:
        found.append(Told("Stop at" if first is None else "Then stop at", method.endpoint.colour_change))
    return *found, Told("Determinations", f"{method.replicates}, as the method asks for")


def _expected_words(reading: str, expected: Expectation | None) -> Iterator[Told]:
    if expected is None:
        return
    yield Told(ENDPOINTS[reading], f"({expected.final_mL:.2f} ± {expected.half_width_mL:.2f}) mL from a start at zero, "
               f"by {expected.basis}")
    free = math.floor(expected.free_running_to_mL * 10 + 1e-9) / 10  # never rounded past it
    yield Told("Run freely to, then dropwise", f"{free:.1f} mL" if free > 0 else "nothing: dropwise from the start")
    if expected.conflict:
        yield Told("Look first", expected.conflict)


def tables_of(wanted: Asked, texts: Sequence[dict[str, str]], first: Sequence[tuple[str, str, str]],
              blank: Sequence[tuple[str, str, tuple[str, ...]]]) -> tuple[Places, ...]:
    """Return the tables: the determinations, a few side by side, then the blank where it is titrated.

    Arguments:
        wanted: what the worksheet asks for.
        texts: of each determination, what is on record or kept by the names of its readings; empty ones to be made.
        first: fields that stand before the readings, each as name, words and unit.
        blank: readings of the titrated blank, each as words, unit and what is known already; empty without one.
    """
    fields = [*first, *((one.name, one.words, one.unit) for one in wanted.readings)]
    found = []
    for start in range(0, len(texts), WIDEST):
        part = texts[start:start + WIDEST]
        columns = _numbers(start, len(part))
        if len(part) < WIDEST:
            columns, part = (*columns, EXTRA), [*part, dict[str, str]()]
        lines = tuple(ToWrite(f"{words}, {unit}" if unit else words, tuple(one.get(name, "") for one in part))
                      for name, words, unit in _with_refills(fields))
        rest = tuple(ToWrite(words, ("",) * len(part)) for words in AFTERWARDS)
        found.append(Places("Determinations", columns, (*lines, *rest)))
    if blank:
        readings = tuple(ToWrite(f"{words}, {unit}", (*found_there[:BLANKS], *("",) * (BLANKS - len(found_there))))
                         for words, unit, found_there in blank)
        found.append(Places("The blank, without a sample", _numbers(0, BLANKS), readings))
    return tuple(found)


def _with_refills(fields: Sequence[tuple[str, str, str]]) -> Iterator[tuple[str, str, str]]:
    """Yield the readings with those of a second filling after the final one: a burette may run empty."""
    for name, words, unit in fields:
        yield name, words, unit
        if name == "final":
            yield from zip(("initial 2", "final 2"), REFILLED, (unit, unit), strict=True)


def _numbers(before: int, count: int) -> tuple[str, ...]:
    return tuple(str(before + number) for number in range(1, count + 1))
