"""A reading held against the same one of the determinations before: bottle, temperature, endpoints, range."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from assaywright.assay.bench.asking import CORRECT, Question
from assaywright.assay.bench.expected import Earlier, Expectation
from assaywright.assay.bench.figures import in_unit
from assaywright.assay.bench.taken import Fields, net_g, titre_to
from assaywright.assay.wording import written_decimal, written_figures
from assaywright.metrology.acceptance import accept
from assaywright.metrology.refusal import Refusal

# What a weighing bottle may change by from one weighing to the next, and beyond which it is another bottle; what a room
# or a solution warms by between two titrations: common practice, no source.
SAME_BOTTLE_g, OTHER_BOTTLE_g = Decimal("0.001"), Decimal(1)
MOVED_K = Decimal(2)
MOST_DIGITS = 16


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of acceptance by its name, with its parameters as :func:`accept` takes them."""

    name: str
    parameters: Mapping[str, float | int | str]


@dataclass(frozen=True, slots=True)
class Before:
    """The determinations before this one, as far as a reading is held against them.

    Fields:
        last: fields of the last one; empty where there is none.
        titres: of those that count, with their portions.
        without_mL: what is taken without any portion [mL]; None where it is not known.
        portion: of this determination, in the unit of theirs; None where it is not known.
        rules: that say how far they may lie apart.
    """

    last: Fields | None = None
    titres: tuple[Earlier, ...] = ()
    without_mL: float | None = None
    portion: float | None = None
    rules: tuple[Rule, ...] = ()


NOTHING_BEFORE = Before()


def weighed_before(typed: Fields, before: Before, mark: str) -> Iterator[Question]:
    """Yield that a bottle weighed by difference does not weigh what it did after the portion before.

    It is taken as weighed by difference where its second mass, too, has fallen by half a portion or more.

    Arguments:
        typed: fields of this determination.
        before: those before it.
        mark: decimal mark of the worksheet.
    """
    gross, tare, former = (in_unit(one, "g", mark) for one in (
        typed.get("gross"), typed.get("tare"), (before.last or {}).get("tare")))
    net = net_g(typed, mark)
    if gross is None or tare is None or former is None or net is None or net <= 0:
        return
    change, half = abs(gross - former), net / 2
    if tare < former - half and SAME_BOTTLE_g < change < min(OTHER_BOTTLE_g, half):
        yield Question("gross", "bottle-not-as-before", f"The bottle weighs {written_decimal(gross)} g, and it weighed "
                       f"{written_decimal(former)} g after the portion before.", "look for what was spilt, added or "
                       "misread, or confirm that it is so")


def moved(name: str, found: Decimal, before: Before, mark: str) -> Iterator[Question]:
    """Yield that a temperature is another than in the determination before.

    Arguments:
        name: of the reading.
        found: temperature typed [°C].
        before: the determinations before.
        mark: decimal mark of the worksheet.
    """
    former = in_unit((before.last or {}).get(name), "°C", mark)
    if former is not None and abs(found - former) > MOVED_K:
        yield Question(name, "temperature-moved", f"{written_decimal(found)} °C is more than {MOVED_K} °C from the "
                       f"{written_decimal(former)} °C of the determination before.", CORRECT)


def differing(typed: Fields, expected: Mapping[str, Expectation], mark: str) -> Iterator[Question]:
    """Yield that the two endpoints lie further apart or closer than in the determinations before.

    Arguments:
        typed: fields of this determination.
        expected: where its endpoints are expected.
        mark: decimal mark of the worksheet.
    """
    first, last = expected.get("first"), expected.get("final")
    to_first, to_last = titre_to("first", typed, mark), titre_to("final", typed, mark)
    if first is None or last is None or to_first is None or to_last is None or not (first.counted and last.counted):
        return
    want, found = last.titre_mL - first.titre_mL, to_last - to_first
    within = math.hypot(first.far_mL, last.far_mL)
    if abs(float(found) - want) > within + 1e-9:
        yield Question("first", "difference-of-endpoints", f"From the first endpoint to the second it took "
                       f"{written_decimal(found)} mL, and {want:.2f} ± {within:.2f} mL is expected from the "
                       "determinations before.", "read both again, or confirm that it is so")


def not_alike(typed: Fields, before: Before, mark: str, name: str) -> Iterator[Question]:
    """Yield that a titre does not agree with those before, by the rules that the method accepts determinations by.

    What a portion takes, (V − a)/p, stands for the result, which it is proportional to.

    Arguments:
        typed: fields of this determination.
        before: those before it.
        mark: decimal mark of the worksheet.
        name: of the last reading.
    """
    titre = titre_to("final", typed, mark)
    if titre is None or titre <= 0 or not before.titres or before.without_mL is None or not before.portion:
        return
    both = (*before.titres, Earlier(float(titre), before.portion))
    values = [(one.titre_mL - before.without_mL) / one.portion * before.portion for one in both]
    for rule in before.rules:
        try:
            found = accept(rule.name, [abs(one) for one in values], unit="mL", parameters=dict(rule.parameters))
        except Refusal:
            continue
        if found.value is not None and found.value > found.limit:
            value, limit = told_apart(found.value, found.limit)
            yield Question(name, "beyond-the-range", f"With this titre the {found.statistic} of {len(values)} "
                           f"determinations is {value} {found.unit}, and {limit} {found.unit} is allowed.",
                           "look whether the endpoint was overrun or a reading is wrong, or confirm that it is so")
            return


def told_apart(one: float, other: float) -> tuple[str, str]:
    """Return two figures in words with two significant digits, or with as many as it takes to tell them apart.

    Example:
        >>> told_apart(0.2041, 0.2)
        ('0.204', '0.200')
    """
    for digits in range(2, MOST_DIGITS):
        first, second = written_figures(one, digits), written_figures(other, digits)
        if first != second:
            break
    return first, second
