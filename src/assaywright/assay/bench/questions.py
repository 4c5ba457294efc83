"""Odd readings asked about while they are fresh: each question says what is odd, and what to do if it is so or not."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from assaywright.assay.asked import Asked
from assaywright.assay.bench.aimed import DIGITS
from assaywright.assay.bench.asking import CORRECT, Question
from assaywright.assay.bench.expected import Expectation
from assaywright.assay.bench.figures import fahrenheit, figure, in_unit, places
from assaywright.assay.bench.taken import (
    Fields,
    Run,
    is_by_mass,
    net_g,
    run_with_barium,
    runs_of,
    runs_to_first,
    titre_to,
)
from assaywright.assay.bench.those_before import NOTHING_BEFORE, Before, differing, moved, not_alike, weighed_before
from assaywright.assay.bench.transposed import exchanged
from assaywright.assay.thermal import ThermalLaw, density_ratio
from assaywright.assay.wording import written_date, written_decimal, written_figures
from assaywright.metrology.refusal import Refusal

COLDEST_degC, WARMEST_degC = Decimal(10), Decimal(35)  # of a room one titrates in: common practice, no source
# How far a portion may be from the mass aimed at, as the printed guide allows it, and from the mean of those before,
# which were aimed at less closely: common practice, no source.
WITHIN_PLAN, WITHIN_EARLIER = Decimal("0.1"), Decimal("0.25")
MASSES = ("gross", "tare", "net", "titrant_gross", "titrant_tare", "titrant_net")
MOST_G = Decimal(1000)  # an analytical balance, or one for a titrant that is weighed, takes no more
PAST_ITS_DATE = "past-its-date"  # of a solution: asked once for a worksheet and a day, not of a reading
DECIMALS = ("fewer-decimals", "more-decimals")  # of a reading that cannot be, nothing more is asked
LEAST_PLACES = 2  # of a reading on a glass burette divided to half a millilitre or finer: common practice, no source


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What is known at the bench besides the readings typed.

    Fields:
        scale_mL: end of the burette's scale [mL]; None where it is not known.
        division_mL: smallest division, or step of a piston burette's display [mL]; None where it is not stated.
        displayed: whether the volume is displayed, so that nothing is estimated between two marks.
        usual_places: decimals of the readings before these; None without any.
        planned_g: mass aimed at, or the mean of the portions before [g]; None without either.
        planned: whether it is the mass aimed at.
        tares_g: of the portions before [g].
        step_g: step in which the balance displays [g]; None where it is not stated.
        last_days: role of a solution to its name and the last day it may be used on.
        day: of the work; None where it is not known.
        decimal_mark: of texts that a worksheet holds.
        before: the determinations before this one.
        laws: law of expansion by the temperature that it is applied at; "water" where no other is known.
    """

    scale_mL: Decimal | None = None
    division_mL: Decimal | None = None
    displayed: bool = False
    usual_places: int | None = None
    planned_g: Decimal | None = None
    planned: bool = True
    tares_g: tuple[Decimal, ...] = ()
    step_g: Decimal | None = None
    last_days: Mapping[str, tuple[str, date]] | None = None
    day: date | None = None
    decimal_mark: str = "."
    before: Before = NOTHING_BEFORE
    laws: Mapping[str, ThermalLaw] | None = None


def questions(asked: Asked, typed: Fields, expected: Mapping[str, Expectation],
              circumstances: Circumstances) -> tuple[Question, ...]:
    """Return what is asked about the readings typed so far, in the order in which they are read.

    A field that is empty or half typed is asked nothing.

    Arguments:
        asked: what the method asks for.
        typed: field to text.
        expected: where the endpoints are expected, by the fields they are read into.
        circumstances: at the bench.
    """
    found = [*_solutions(circumstances), *_masses(typed, circumstances), *_decimals_of_masses(typed, circumstances),
             *_temperatures(asked, typed, circumstances)]
    if not is_by_mass(typed):
        found += _of_volumes(asked, typed, expected, circumstances)
    cannot_be = {one.name for one in found if one.impossible}
    return tuple(one for one in found if one.code not in DECIMALS or one.name not in cannot_be)


def _of_volumes(asked: Asked, typed: Fields, expected: Mapping[str, Expectation],
                circumstances: Circumstances) -> list[Question]:
    """Return what is asked about the readings of the burette."""
    found: list[Question] = []
    mark = circumstances.decimal_mark
    names = {one.name for one in asked.readings}
    if "hydroxide_final" in names:
        found += _of_run(run_with_barium(typed, mark), circumstances)
        found += _titre("hydroxide_final", typed, expected, circumstances)
    runs = runs_of(typed, mark)
    for one in runs:
        found += _of_run(one, circumstances)
    if "first" in names:
        found += _first(typed, runs_to_first(typed, mark)[-1], circumstances)
        found += _titre("first", typed, expected, circumstances)
    found += _titre("final", typed, expected, circumstances)
    if not any(one.code in ("far-from-expected", "digits-exchanged") or one.impossible for one in found):
        found += differing(typed, expected, mark)
        found += not_alike(typed, circumstances.before, mark, runs[-1].final_field)
    return [*found, *_decimals(asked, typed, circumstances)]


# --- solutions, masses, temperatures ----------------------------------------------------------------------------------


def _solutions(at: Circumstances) -> Iterator[Question]:
    for role, (name, last) in (at.last_days or {}).items():
        if at.day is not None and at.day > last:
            yield Question(role, PAST_ITS_DATE, f"{name} could be used until {written_date(last)}, and the day of "
                           f"the work is {written_date(at.day)}.",
                           "take one in date, or have its use authorised with a reason")


def _masses(typed: Fields, at: Circumstances) -> Iterator[Question]:
    found = [*_portions(typed, at)]
    beyond = [(name, mass) for name in MASSES
              if (mass := in_unit(typed.get(name), "g", at.decimal_mark)) is not None and mass > MOST_G]
    if not beyond or any(one.code == "mass-in-milligrams" for one in found):
        yield from found
        return
    for name, mass in beyond:
        yield Question(name, "mass-beyond-the-balance", f"{written_decimal(mass)} g is more than a balance at the "
                       f"bench takes, {MOST_G} g.", "read the balance again; the field is in g", impossible=True)


def _portions(typed: Fields, at: Circumstances) -> Iterator[Question]:
    """Yield what is asked about the masses of a portion."""
    gross, tare, net = (in_unit(typed.get(name), "g", at.decimal_mark) for name in ("gross", "tare", "net"))
    for name, mass in (("gross", gross), ("net", net)):
        if mass is not None and mass <= 0:
            yield Question(name, "mass-not-above-zero", f"A portion of {written_decimal(mass)} g is none.",
                           "read the balance again", impossible=True)
    if tare is not None and tare < 0:
        yield Question("tare", "tare-below-zero", f"A vessel of {written_decimal(tare)} g is none.",
                       "set the balance to zero and weigh the vessel again", impossible=True)
    if gross is not None and tare is not None and tare >= gross:
        relation = "as large as" if tare == gross else "larger than"
        code, remedy = (("gross-is-tare", "read the balance again") if tare == gross else
                        ("tare-above-gross", "exchange the two if they are crossed, or read the balance again"))
        yield Question("tare", code, f"The tare {written_decimal(tare)} g is {relation} the gross mass "
                       f"{written_decimal(gross)} g.", remedy, impossible=True)
        return
    if net is not None and (gross is not None or tare is not None):
        yield Question("net", "weighed-both-ways", "The portion is given both by difference and as a net mass.",
                       "empty gross mass and tare, or the net mass", impossible=True)
        return
    yield from weighed_before(typed, at.before, at.decimal_mark)
    known = (*((tare,) if tare is not None else ()), *at.tares_g)
    if net is not None and net in known:
        yield Question("net", "net-is-tare", f"The net mass {written_decimal(net)} g is the figure of a tare.",
                       "enter the mass of the portion alone, or confirm that it is so")
    yield from _far_mass(net_g(typed, at.decimal_mark), "net" if net is not None else "gross", at)


def _far_mass(mass: Decimal | None, name: str, at: Circumstances) -> Iterator[Question]:
    if mass is None or at.planned_g is None or mass <= 0:
        return
    planned = float(at.planned_g)
    within, words = WITHIN_EARLIER, f"a quarter from the mean of those before, {written_figures(planned, DIGITS)} g"
    if at.planned:
        within, words = WITHIN_PLAN, f"a tenth from the mass planned, about {written_figures(planned, DIGITS)} g"
    if is_thousandfold(mass, at):
        right = written_decimal(mass.scaleb(-3))
        yield Question(name, "mass-in-milligrams", f"The portion of {written_decimal(mass)} g is a thousand times what "
                       f"is aimed at; {right} g, if the balance shows mg.",
                       "enter the masses in grams, or confirm that it is so; the mass as read counts")
    elif abs(mass - at.planned_g) > within * at.planned_g:
        yield Question(name, "mass-far-from-plan", f"The portion of {written_decimal(mass)} g is further than {words}.",
                       "weigh again, or confirm that it is so; the mass as read counts")


def is_thousandfold(mass: Decimal | None, at: Circumstances) -> bool:
    """Return whether the thousandth of a mass [g] is what is aimed at: read in milligrams, typed as grams.

    Example:
        >>> is_thousandfold(Decimal("3987.4"), Circumstances(planned_g=Decimal("4")))
        True
    """
    if mass is None or at.planned_g is None:
        return False
    return abs(mass.scaleb(-3) - at.planned_g) <= WITHIN_EARLIER * at.planned_g


def _decimals_of_masses(typed: Fields, at: Circumstances) -> Iterator[Question]:
    """Yield masses with fewer decimals than the balance displays, or with more: a display is copied as it stands."""
    if at.step_g is None or is_thousandfold(net_g(typed, at.decimal_mark), at):
        return
    shown = places(at.step_g.normalize())
    for name in MASSES:
        given = figure(typed.get(name), "g", at.decimal_mark)
        if given is None or given.unit != "g" or places(given.value) == shown:
            continue
        told, step = written_decimal(given.value), written_decimal(at.step_g.normalize())
        if places(given.value) < shown:
            full = f"{given.value:.{shown}f}"
            yield Question(name, "fewer-decimals", f"{told} g has fewer decimals than the balance displays: {full}?",
                           f"enter {full} if that was displayed, or confirm that it is so")
        else:
            yield Question(name, "more-decimals", f"{told} g has more decimals than the balance displays, which steps "
                           f"by {step} g.", CORRECT)


def _temperatures(asked: Asked, typed: Fields, at: Circumstances) -> Iterator[Question]:
    for reading in asked.readings:
        if reading.unit != "°C":
            continue
        text = typed.get(reading.name)
        other = fahrenheit(text)
        found = in_unit(text, "°C", at.decimal_mark)
        if other is None and found is not None and COLDEST_degC <= _celsius(found) <= WARMEST_degC < found:
            other = found
        if other is not None:
            never = found is None or not _is_taken(reading.name, found, at)
            room = "a room temperature " if COLDEST_degC <= _celsius(other) <= WARMEST_degC else ""
            yield Question(reading.name, "other-temperature-scale", f"{written_decimal(other)} is {room}in °F: "
                           f"{written_figures(float(_celsius(other)), 3)} °C.", "enter degrees Celsius" if never
                           else "enter degrees Celsius, or confirm that it is so", impossible=never)
        elif found is not None and not _is_taken(reading.name, found, at):
            yield Question(reading.name, "temperature-not-taken", f"At {written_decimal(found)} °C no correction is "
                           "known for this liquid, so that nothing could be evaluated.", "read the thermometer again, "
                           "and titrate at the temperature of the room", impossible=True)
        elif found is not None and not COLDEST_degC <= found <= WARMEST_degC:
            yield Question(reading.name, "unusual-temperature", f"{written_decimal(found)} °C is outside "
                           f"{COLDEST_degC} to {WARMEST_degC} °C.", CORRECT)
        elif found is not None:
            yield from moved(reading.name, found, at.before, at.decimal_mark)


def _is_taken(name: str, temperature_degC: Decimal, at: Circumstances) -> bool:
    """Whether an evaluation takes a temperature: whether the liquid's law of expansion reaches to it."""
    law = (at.laws or {}).get(name)
    try:
        if law is not None:
            density_ratio(law, float(temperature_degC), float(temperature_degC))
    except Refusal:
        return False
    return True


def _celsius(fahrenheit: Decimal) -> Decimal:
    """Return a temperature on the Celsius scale: t = (t_F - 32)/1.8, by NIST SP 811, B.8 (from memory)."""
    return (fahrenheit - 32) / Decimal("1.8")


# --- readings of the burette ------------------------------------------------------------------------------------------


def _of_run(run: Run, at: Circumstances) -> Iterator[Question]:
    """Yield what is asked about one filling: on the scale, and in its order."""
    for name, reading in ((run.initial_field, run.initial), (run.final_field, run.final)):
        if reading is not None:
            yield from _on_scale(name, reading, at)
    if run.initial is None or run.final is None:
        return
    told = f"The final reading {written_decimal(run.final)} mL"
    if run.final < run.initial:
        yield Question(run.final_field, "final-before-initial", f"{told} is before the initial reading "
                       f"{written_decimal(run.initial)} mL.", "read again; exchange the two if they are crossed, or "
                       "enter a refilled burette as two fillings", impossible=True)
    elif run.final == run.initial:
        yield Question(run.final_field, "final-is-initial", f"{told} is the initial reading, so nothing was delivered.",
                       CORRECT)


def _on_scale(name: str, reading: Decimal, at: Circumstances) -> Iterator[Question]:
    if reading < 0:
        yield Question(name, "above-the-zero-mark", f"{written_decimal(reading)} mL is above the zero mark.",
                       "read at the same edge of the meniscus both times", impossible=True)
    elif at.scale_mL is not None and reading > at.scale_mL:
        yield Question(name, "beyond-the-scale", f"{written_decimal(reading)} mL is beyond the burette's scale, which "
                       f"ends at {written_decimal(at.scale_mL)} mL.", "read again, or enter a refilled burette as two "
                       "fillings", impossible=True)


def _first(typed: Fields, run: Run, at: Circumstances) -> Iterator[Question]:
    """Yield what is asked about the reading at the first of two endpoints."""
    first = in_unit(typed.get("first"), "mL", at.decimal_mark)
    if first is None:
        return
    yield from _on_scale("first", first, at)
    before = run.initial is not None and first < run.initial
    after = run.final is not None and first > run.final
    if before or after:
        side = (f"before the initial reading {written_decimal(run.initial)}" if before and run.initial is not None else
                f"after the final reading {written_decimal(run.final or Decimal(0))}")
        yield Question("first", "first-not-between", f"The reading at the first endpoint {written_decimal(first)} mL "
                       f"is {side} mL.", "give the burette's reading there, not the volume between the two endpoints",
                       impossible=True)


def _decimals(asked: Asked, typed: Fields, at: Circumstances) -> Iterator[Question]:
    """Yield readings with fewer decimals than the burette gives, or with more than it has."""
    least, most = _places_read(at)
    for name in _readings_of_burette(asked, typed):
        given = figure(_text(typed, name), "mL", at.decimal_mark)
        if given is None or given.unit != "mL":
            continue
        told, count = written_decimal(given.value), places(given.value)
        if least is not None and count < least:
            full = f"{given.value:.{least}f}"
            yield Question(name, "fewer-decimals", f"{told} mL has fewer decimals than the burette is read to: {full}?",
                           f"enter {full} if that was read, or confirm that it is so")
        elif most is not None and count > most and at.division_mL is not None:
            kind = "displays steps" if at.displayed else "is divided to"
            yield Question(name, "more-decimals", f"{told} mL has more decimals than can be read: the burette {kind} "
                           f"{'of ' if at.displayed else ''}{written_decimal(at.division_mL)} mL.", CORRECT)


def _places_read(at: Circumstances) -> tuple[int | None, int | None]:
    """Return the fewest and the most decimals of a reading: a tenth of a division is estimated, a display is copied."""
    if at.division_mL is None:
        return at.usual_places, None
    own = places(at.division_mL.normalize())
    if at.displayed:
        return own, own
    return max(own, min(LEAST_PLACES, own + 1)), own + 1


def _readings_of_burette(asked: Asked, typed: Fields) -> Iterator[str]:
    runs = {name for run in runs_of(typed) for name in (run.initial_field, run.final_field)}
    yield from (one.name for one in asked.readings if one.unit == "mL" and one.name not in ("initial", "final"))
    yield from sorted(runs, key=lambda name: (name.rpartition(".")[0] or "~", name.endswith("final")))


def _text(typed: Fields, name: str) -> Any:
    """Return the text of a field, of a filling's too."""
    found = re.fullmatch(r"fillings\.(\d+)\.(initial|final)", name)
    if not found:
        return typed.get(name)
    pair = typed["fillings"][int(found[1]) - 1]
    at = 0 if found[2] == "initial" else 1
    return pair[at] if isinstance(pair, list | tuple) and len(pair) > at else None


# --- against what is expected -----------------------------------------------------------------------------------------


def _titre(reading: str, typed: Fields, expected: Mapping[str, Expectation], at: Circumstances) -> Iterator[Question]:
    """Yield what is asked about a titre far from what is expected, or outside it where exchanged digits explain it."""
    want, titre = expected.get(reading), titre_to(reading, typed, at.decimal_mark)
    if want is None or titre is None or titre <= 0 or not want.is_doubtful(float(titre)):
        return
    last = runs_of(typed, at.decimal_mark)[-1]
    name = last.final_field if reading == "final" else reading
    far = want.is_far(float(titre))
    told = f"The titre of {written_decimal(titre)} mL is {'far from' if far else 'outside'} what is expected"
    about = f"{want.titre_mL:.2f} ± {want.half_width_mL:.2f} mL ({want.basis})"
    starts = {"final": last.initial_field, "first": runs_to_first(typed)[-1].initial_field}
    for field in (name, starts.get(reading, "hydroxide_initial")):
        given = figure(_text(typed, field), "mL", at.decimal_mark)
        if given is None or given.unit != "mL":
            continue
        sign = 1 if field == name else -1
        for other in exchanged(given.value):
            if want.is_within(float(titre + sign * (other - given.value))) and not any(_on_scale(field, other, at)):
                it = written_decimal(other)
                yield Question(field, "digits-exchanged", f"{told}, {about}; with two digits of the {_named(field)} "
                               f"exchanged, {it} mL, it would be within.", f"enter {it} if that was read, or confirm "
                               "that it is so")
                return
    if far:
        yield Question(name, "far-from-expected", f"{told}, {about}.", CORRECT)


def _named(field: str) -> str:
    """Return a reading of the burette in words: "final reading of filling 2"."""
    if field == "first":
        return "reading at the first endpoint"
    *filling, end = field.replace("hydroxide_", "").split(".")
    told = f"{end} reading"
    if field.startswith("hydroxide_"):
        return f"{told} after barium chloride"
    return f"{told} of filling {filling[1]}" if filling else told
