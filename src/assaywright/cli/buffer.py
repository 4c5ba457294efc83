"""The verb ``buffer``: standard buffers by temperature, recipes, and a pH measured between two buffers."""

import argparse
import sys
from collections.abc import Iterator
from typing import Any

from assaywright.chemistry.buffer import Recipe, buffer_recipe
from assaywright.chemistry.buffer_bracket import BracketedPH, BufferReading, bracketed_pH
from assaywright.chemistry.buffer_standard import computed_pH, standard_pH
from assaywright.chemistry.temperature import HIGHEST_DEGC, LOWEST_DEGC
from assaywright.cli.typed_option import of_option
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.reference.buffers import StandardBuffer, standard_buffer, standard_buffers

RECIPE = ("acid", "base", "pH", "strength")
LOWEST_PH, HIGHEST_PH = -1.0, 15.0


def run(parsed: argparse.Namespace) -> int:
    """Print what was asked for."""
    from assaywright.cli.opening import terminal_width
    from assaywright.cli.show_json import json_text

    record, lines = answered(parsed, terminal_width())
    if parsed.json:
        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(record, plain=plain))
        return 0
    for line in lines:
        print(line)
    return 0


def answered(parsed: argparse.Namespace, width: int) -> tuple[dict[str, Any], Iterator[str]]:
    """Return the record for programs and the lines for people.

    Raises:
        Refusal: two things asked for at once, a part of one that is missing, or what cannot be.
    """
    from assaywright.cli import show_buffer

    degrees = _number("--temperature", parsed.temperature, "°C")
    recipe, measured = any(getattr(parsed, name) for name in RECIPE), bool(parsed.between or parsed.reading)
    if recipe + measured + bool(parsed.name) > 1:
        raise Refusal("more than one thing is asked for", where="assaywright buffer",
                      remedy="ask for a standard buffer, a recipe or a measured pH")
    if recipe:
        made, litres = _recipe(parsed, degrees)
        return show_buffer.recipe_record(made, litres), show_buffer.recipe_lines(made, litres, width)
    if measured:
        found = _measured(parsed, degrees)
        return show_buffer.measured_record(found, degrees), show_buffer.measured_lines(found, degrees, width)
    buffers = [standard_buffer(parsed.name)] if parsed.name else [standard_buffer(one) for one in standard_buffers()]
    values = [(one, _held(one, degrees, refuse=bool(parsed.name)), _computed(one, degrees)) for one in buffers]
    return show_buffer.standards_record(values, degrees), show_buffer.standards_lines(values, degrees, width)


def _held(one: StandardBuffer, degrees: float, *, refuse: bool) -> Estimate | None:
    try:
        return standard_pH(one, degrees)
    except Refusal:
        if refuse:
            raise
        return None


def _computed(one: StandardBuffer, degrees: float) -> float | None:
    return computed_pH(one, degrees) if LOWEST_DEGC <= degrees <= HIGHEST_DEGC else None


def _recipe(parsed: argparse.Namespace, degrees: float) -> tuple[Recipe, float]:
    """Return the recipe asked for and the volume to be made [L]."""
    missing = [f"--{name}" for name in RECIPE if not getattr(parsed, name)]
    if missing:
        raise Refusal(f"a recipe lacks {' and '.join(missing)}", where="assaywright buffer",
                      remedy="give acid, base, pH and strength")
    pH = _number("--pH", parsed.pH, "1")
    litres = _number("--volume", parsed.volume, "L")
    if not 0 < litres <= 1000:
        raise Refusal(f"{litres:g} L of buffer", where="--volume", remedy="give up to 1000 L")
    strength = _number("--strength", parsed.strength, "mol/L")
    ionic = _number("--ionic-strength", parsed.ionic_strength, "mol/L") if parsed.ionic_strength else None
    return buffer_recipe(parsed.acid, parsed.base, pH, strength, degrees, ionic), litres


def _measured(parsed: argparse.Namespace, degrees: float) -> BracketedPH:
    if len(parsed.between) != 2 or not parsed.reading:
        raise Refusal(f"{len(parsed.between)} buffers and {'a' if parsed.reading else 'no'} reading of the sample",
                      where="assaywright buffer", remedy="give --between twice and --reading once")
    first, second = (_buffer_reading(text, degrees) for text in parsed.between)
    return bracketed_pH(first, second, _reading("--reading", parsed.reading, "sample"), degrees)


def _buffer_reading(text: str, degrees: float) -> BufferReading:
    """Return a buffer, named or with a pH of its own, and what the electrode showed in it."""
    name, parted, reading = text.rpartition(":")
    name = name.strip()
    if not parted or not name:
        raise Refusal(f'"{text[:40]}" does not name a buffer and its reading', where="--between",
                      remedy='write it like "phosphate: 10.0 mV"')
    if name[0].isdigit():
        typed = _quantity("--between", name, "1")
        pH = _estimate(typed, f"buffer {name}", "certified pH")
        if not LOWEST_PH < pH.value < HIGHEST_PH:
            raise Refusal(f"a buffer of pH {pH.value:g}", where="--between", remedy="give the certified pH")
        name = f"{float(typed.value):g}"
    else:
        pH = standard_pH(name, degrees)
    return BufferReading(name, pH, _reading("--between", reading, name), degrees)


def _reading(option: str, text: str, of: str) -> Estimate:
    in_mV = "mV" in text
    typed = _quantity(option, text.replace("mV", " ").strip(), "1")
    found = _estimate(typed, f"reading in {of}", "reading")
    return found.scaled(1.0, "mV") if in_mV else found


def _estimate(typed: Quantity, identity: str, effect: str) -> Estimate:
    """Return a figure with its stated uncertainty, else that of its last digit."""
    key = influence_key("pH measurement", identity, typed.text, effect)
    if typed.uncertainty is not None:
        return influence(key, float(typed.value), typed.uncertainty.standard_uncertainty, typed.unit,
                         degrees_of_freedom=typed.uncertainty.degrees_of_freedom,
                         distribution=typed.uncertainty.distribution, label=f"{effect}: {identity}")
    return influence(key, float(typed.value), standard_uncertainty_of_half_width(typed.resolution / 2), typed.unit,
                     distribution="rectangular", label=f"last digit of {effect}: {identity}")


def _quantity(option: str, text: str, *units: str) -> Quantity:
    try:
        return read_quantity(text, *units)
    except Refusal as refusal:
        raise of_option(refusal, option) from None


def _number(option: str, text: str, unit: str) -> float:
    return float(_quantity(option, text, unit).to(unit))
