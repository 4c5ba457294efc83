"""The files of the repository as the rules of the house see them."""

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
PACKAGE = HOUSE / "src" / "assaywright"
LOWER_FLOORS = ("metrology", "reference", "chemistry", "assay")
KEPT_FOLDERS = ("src", "tests", "docs", "benchmarks", "scripts", ".ci")
NOT_TEXT = {".ttf", ".otf", ".pdf", ".icc", ".mo", ".png", ".pyc"}


@dataclass(frozen=True, slots=True)
class Module:
    """A Python file: its name for people, its text and its syntax tree."""

    name: str
    text: str
    tree: ast.Module


def module(text: str, name: str = "sample.py") -> Module:
    """Return a module from its text."""
    return Module(name, text, ast.parse(text))


@cache
def modules(folder: Path, pattern: str = "*.py") -> tuple[Module, ...]:
    """Return the Python files under a folder, each named relative to it; read once, for they don't change in a run."""
    return tuple(
        module(path.read_text(encoding="utf-8"), path.relative_to(folder).as_posix())
        for path in sorted(folder.rglob(pattern))
    )


def lower_modules() -> tuple[Module, ...]:
    """Return the modules of the four lower floors."""
    return tuple(one for one in modules(PACKAGE) if one.name.split("/")[0] in LOWER_FLOORS)


def texts(*folders: str, top: bool) -> Iterator[tuple[str, str]]:
    """Yield name and content of every text file under the folders, and at the top of the repository if asked."""
    paths: Iterable[Path] = [path for folder in folders for path in sorted((HOUSE / folder).rglob("*"))]
    if top:
        paths = [*paths, *sorted(path for path in HOUSE.iterdir() if path.is_file())]
    for path in paths:
        generated = any(part == "__pycache__" or part.endswith(".egg-info") for part in path.parts)
        if path.is_file() and not generated and path.suffix not in NOT_TEXT:
            yield path.relative_to(HOUSE).as_posix(), path.read_text(encoding="utf-8")


def functions(tree: ast.AST) -> Iterator[ast.FunctionDef | ast.AsyncFunctionDef]:
    """Yield every function of a tree, however deep."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            yield node


def dotted(node: ast.AST) -> str:
    """Return the dotted name of an expression, "np.random.default_rng", or an empty text when it is none."""
    parts: list[str] = []
    while isinstance(node, ast.Attribute):
        parts.append(node.attr)
        node = node.value
    if not isinstance(node, ast.Name):
        return ""
    return ".".join([node.id, *reversed(parts)])
