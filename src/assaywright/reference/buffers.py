"""The standard buffers: what they are made of, and their pH by temperature."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, by_key, citation, table


@dataclass(frozen=True, slots=True)
class BufferPoint:
    """The pH of a standard buffer at one temperature.

    Fields:
        temperature_degC: [°C].
        pH: reference value [1].
        standard_uncertainty: of it [1].
    """

    temperature_degC: float
    pH: float
    standard_uncertainty: float


@dataclass(frozen=True, slots=True)
class StandardBuffer:
    """A reference solution of known pH.

    Fields:
        name: what it is called ("phthalate").
        aliases: other names.
        composition: as it is made, in words.
        strength: as it is stated, in words.
        components: acid or ion to molality [mol/kg of water]; a metal ion stands with its hydroxide.
        data_sets: acid to the set of constants to compute it with, where not the chosen one.
        rank: "primary" or "secondary".
        points: in the order of temperature.
        source: who assigned the values.
        status: "read" or "recalled".
        note: what to know about it.
    """

    name: str
    aliases: tuple[str, ...]
    composition: str
    strength: str
    components: Mapping[str, float]
    data_sets: Mapping[str, str]
    rank: str
    points: tuple[BufferPoint, ...]
    source: str
    status: str
    note: str


def standard_buffers() -> tuple[str, ...]:
    """Return the names of the standard buffers, the most acid first."""
    return tuple(_buffers())


def standard_buffer(name: str) -> StandardBuffer:
    """Return a standard buffer by its name or an alias.

    Raises:
        Refusal: there is no such buffer.

    Example:
        >>> standard_buffer("phthalate").points[5].pH
        4.005
    """
    wanted = name.strip().casefold()
    for one in _buffers().values():
        if wanted in {one.name.casefold(), *(alias.casefold() for alias in one.aliases)}:
            return one
    raise Refusal(f"there is no standard buffer '{name}'", where="buffer",
                  remedy=f"choose from {', '.join(standard_buffers())}")


@cache
def _buffers() -> Mapping[str, StandardBuffer]:
    points: dict[str, list[BufferPoint]] = {}
    for row in table("buffers_ph").rows:
        points.setdefault(row["buffer"], []).append(
            BufferPoint(float(row["temperature_degC"]), float(row["value"]), float(row["standard_uncertainty"])))
    return MappingProxyType({key: _buffer(row, points[key]) for key, row in by_key("buffers").items()})


def _buffer(row: Row, points: list[BufferPoint]) -> StandardBuffer:
    return StandardBuffer(
        row["key"], tuple(part.strip() for part in row["aliases"].split(";")), row["composition"], row["strength"],
        MappingProxyType({name: float(amount) for name, amount in _pairs(row["components"])}),
        MappingProxyType(dict(_pairs(row["data_sets"]))), row["rank"],
        tuple(sorted(points, key=lambda one: one.temperature_degC)), citation(row), row["status"], row["note"],
    )


def _pairs(text: str) -> list[tuple[str, str]]:
    parts = [part.split("=") for part in text.split(";") if part.strip()]
    return [(name.strip(), value.strip()) for name, value in parts]
