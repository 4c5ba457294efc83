"""The demonstration as its file tells it: which worksheets and lots it evaluates, and what it says about each."""

from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable
from typing import Any


@dataclass(frozen=True, slots=True)
class Titrant:
    """A standardisation: its worksheet, the titrant, what it is set against; where it is certified, what comes next."""

    worksheet: str
    name: str
    against: str
    certified: bool = False
    next: str = ""


@dataclass(frozen=True, slots=True)
class ToldLot:
    """A lot and what is told about it.

    Fields:
        file: of the lot.
        next: what a person does next, in a few words.
        told: what the lot shows.
        other_rule: file of the same lot under another decision rule; empty for none.
        steps: the first steps, where the lot is held.
    """

    file: str
    next: str
    told: str
    other_rule: str = ""
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Comparison:
    """The two standardisations of one titrant that are compared, and what that shows."""

    worksheets: tuple[str, str]
    told: str


@dataclass(frozen=True, slots=True)
class Simulation:
    """The worksheet on which the law of propagation and a simulation must differ, and why."""

    worksheet: str
    trials: int
    told: str


@dataclass(frozen=True, slots=True)
class Suggestion:
    """A command to try next, without the program's name; ``refused`` when it is shown for its refusal."""

    command: str
    why: str
    refused: bool = False


@dataclass(frozen=True, slots=True)
class Story:
    """All that the demonstration does and says."""

    works: str
    cautions: tuple[str, ...]
    titrants: tuple[Titrant, ...]
    comparison: Comparison
    lots: tuple[ToldLot, ...]
    simulation: Simulation
    suggestions: tuple[Suggestion, ...]


def read_story() -> Story:
    """Return the demonstration's story, from the file that travels with the program."""
    import tomllib

    table = tomllib.loads((_travelling() / "story.toml").read_text(encoding="utf-8"))
    first, second = table["comparison"]["worksheets"]
    return Story(
        works=table["works"],
        cautions=tuple(table["cautions"]),
        titrants=tuple(Titrant(**one) for one in table["titrant"]),
        comparison=Comparison((first, second), table["comparison"]["told"]),
        lots=tuple(_lot(one) for one in table["lot"]),
        simulation=Simulation(**table["simulation"]),
        suggestions=tuple(Suggestion(**one) for one in table["try"]),
    )


def laboratory() -> dict[str, bytes]:
    """Return the files of the invented laboratory: path within its folder, to content."""
    return dict(sorted(_below(_travelling() / "laboratory", "")))


def _lot(table: dict[str, Any]) -> ToldLot:
    return ToldLot(**{**table, "steps": tuple(table.get("steps", ()))})


def _travelling() -> Traversable:
    return files("assaywright.cli") / "demo_files"


def _below(folder: Traversable, prefix: str) -> Iterator[tuple[str, bytes]]:
    """Yield the files in a folder and in those below it."""
    for entry in folder.iterdir():
        if entry.is_dir():
            yield from _below(entry, f"{prefix}{entry.name}/")
        else:
            yield f"{prefix}{entry.name}", entry.read_bytes()
