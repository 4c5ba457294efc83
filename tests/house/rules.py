"""The rules of the house about the program's own code: each takes modules and returns its breaches, in words."""

import ast
import re
from collections.abc import Iterable, Iterator

from tests.house.sources import Module, dotted, functions

LONGEST_MODULE = 400
LONGEST_FUNCTION = 40

OUTSIDE_WORLD = {
    "clock": {"time", "sched"},
    "file": {"os", "pathlib", "shutil", "tempfile", "glob", "io", "pkgutil", "subprocess", "socket", "urllib", "http",
             "sqlite3", "importlib.resources", "mmap", "fileinput"},
    "print": {"logging", "getpass"},
    "chance": {"random", "secrets", "uuid"},
}
TOUCHES_NOTHING = {"pathlib.PurePath", "pathlib.PurePosixPath"}
OUTSIDE_CALLS = {
    "clock": {"now", "utcnow", "today", "localtime", "gmtime", "monotonic", "perf_counter"},
    "file": {"open", "loadtxt", "savetxt", "genfromtxt", "fromfile", "tofile", "savez"},
    "print": {"print", "input", "breakpoint"},
    "chance": set[str](),
}
METHODS_OF_FILES = {"read_text", "write_text", "read_bytes", "write_bytes", "iterdir", "mkdir", "unlink", "touch"}
CHANCE_WITH_A_SEED = {"default_rng", "SeedSequence", "PCG64", "PCG64DXSM", "SFC64", "Philox", "MT19937"}
OF_THE_TERMINAL = re.compile(r"sys\.(stdout|stderr|stdin|argv|exit)")
NAMES_OF_CHANCE = {"Generator", "BitGenerator"}


def outside_world(one: Module) -> set[str]:
    """Return what a module takes from outside: "kind: name" for each clock, file, print or unseeded chance."""
    return {f"{kind}: {name}" for kind, name in [*_imports_of_outside(one), *_calls_of_outside(one)]}


def _imports_of_outside(one: Module) -> Iterator[tuple[str, str]]:
    for node in ast.walk(one.tree):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            parts = [f"{node.module}.{alias.name}" for alias in node.names]
            names = [] if TOUCHES_NOTHING.issuperset(parts) else [node.module, *parts]
        for name in names:
            for kind, banned in OUTSIDE_WORLD.items():
                if name in banned or name.split(".")[0] in banned:
                    yield kind, name


def _calls_of_outside(one: Module) -> Iterator[tuple[str, str]]:
    for node in ast.walk(one.tree):
        drawn = re.fullmatch(r"(np|numpy)\.random\.(\w+)", dotted(node))
        if drawn and drawn[2] not in CHANCE_WITH_A_SEED | NAMES_OF_CHANCE:
            yield "chance", drawn[0]
        if OF_THE_TERMINAL.match(dotted(node)):
            yield "print", dotted(node)
        if not isinstance(node, ast.Call):
            continue
        called = node.func.attr if isinstance(node.func, ast.Attribute) else dotted(node.func)
        for kind, banned in OUTSIDE_CALLS.items():
            if called in banned:
                yield kind, called
        if isinstance(node.func, ast.Attribute) and called in METHODS_OF_FILES:
            yield "file", called
        if called in CHANCE_WITH_A_SEED and not node.args and not node.keywords:
            yield "chance", f"{called} without a seed"


def without_docstring(one: Module) -> list[str]:
    """Return the public modules, classes and functions that say nothing about themselves."""
    missing = [] if ast.get_docstring(one.tree) else [one.name]
    return missing + [f"{one.name}: {name}" for name, node in _public(one.tree) if not ast.get_docstring(node)]


def _public(node: ast.Module | ast.ClassDef, prefix: str = "") -> Iterator[tuple[str, ast.FunctionDef | ast.ClassDef]]:
    for child in node.body:
        if isinstance(child, ast.FunctionDef | ast.ClassDef) and not child.name.startswith("_"):
            yield prefix + child.name, child
            if isinstance(child, ast.ClassDef):
                yield from _public(child, f"{child.name}.")


def too_long(one: Module) -> list[str]:
    """Return the module if it has too many lines, and its functions that do.

    A module's lines are all its lines. A function's are those with code: its docstring, which is longest where the
    chemistry is richest, comments and blank lines don't count.
    """
    lines = one.text.splitlines()
    breaches = [f"{one.name}: {len(lines)} lines"] if len(lines) > LONGEST_MODULE else []
    for function in functions(one.tree):
        length = lines_of_code(function, lines)
        if length > LONGEST_FUNCTION:
            breaches.append(f"{one.name}: {function.name} has {length} lines of code")
    return breaches


def lines_of_code(function: ast.FunctionDef | ast.AsyncFunctionDef, lines: list[str]) -> int:
    """Return how many lines of a function hold code."""
    numbers = set(range(function.lineno, (function.end_lineno or function.lineno) + 1))
    if ast.get_docstring(function):
        said = function.body[0]
        numbers -= set(range(said.lineno, (said.end_lineno or said.lineno) + 1))
    return sum(1 for number in numbers if lines[number - 1].strip() and not lines[number - 1].strip().startswith("#"))


def arguments_without_unit(one: Module) -> list[str]:
    """Return the public functions whose arguments end in a unit while the docstring names none in brackets."""
    unit = re.compile(r"_(mL|L|g|mg|kg|degC|kPa|hPa|Pa|K|mol|mmol|nm|mm|per_\w+)$")
    return [
        f"{one.name}: {name}"
        for name, node in _public(one.tree)
        if isinstance(node, ast.FunctionDef)
        and any(unit.search(argument.arg) for argument in [*node.args.args, *node.args.kwonlyargs])
        and "[" not in (ast.get_docstring(node) or "")
    ]


def kinds_of_remark(several: Iterable[Module]) -> dict[str, str]:
    """Return the kinds of remark that modules raise by a literal text, each with the module that raises it."""
    found: dict[str, str] = {}
    for one in several:
        for node in ast.walk(one.tree):
            if isinstance(node, ast.Call) and dotted(node.func).split(".")[-1].lower() == "remark":
                given = node.args[:1] + [keyword.value for keyword in node.keywords if keyword.arg == "kind"]
                found |= {value.value: one.name for value in given
                          if isinstance(value, ast.Constant) and isinstance(value.value, str)}
    return found


def literals(several: Iterable[Module]) -> set[str]:
    """Return every text that stands literally in modules."""
    return {
        node.value
        for one in several
        for node in ast.walk(one.tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
