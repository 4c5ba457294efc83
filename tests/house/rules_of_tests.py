"""The rules of the house about the tests: each takes modules and returns its breaches, in words."""

import ast
from collections.abc import Iterable

from tests.house.sources import Module, dotted, functions

CATCHES_AN_ASSERTION = {"AssertionError", "Exception", "BaseException"}
SKIPS = {"skip", "skipif", "xfail", "importorskip"}


def idle_functions(several: Iterable[Module]) -> list[str]:
    """Return the functions of test files that are no test, no fixture, no hook, and that nobody names."""
    several = tuple(several)
    named = {name for one in several for name in _names_used(one.tree)}
    return [
        f"{one.name}: {function.name}"
        for one in several
        for function in functions(one.tree)
        if not function.name.startswith(("test_", "pytest_", "__"))
        and not any("fixture" in dotted(_bare(mark)) for mark in function.decorator_list)
        and (function.name not in named or function.name.startswith("test"))
    ]


def _bare(node: ast.expr) -> ast.expr:
    return node.func if isinstance(node, ast.Call) else node


def _names_used(tree: ast.AST) -> Iterable[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
            yield node.id
        elif isinstance(node, ast.Attribute):
            yield node.attr


def hidden_tests(one: Module) -> list[str]:
    """Return the tests that a later one of the same name hides."""
    seen: set[str] = set()
    twice = []
    for node in one.tree.body:
        if isinstance(node, ast.FunctionDef) and node.name in seen:
            twice.append(f"{one.name}: {node.name}")
        if isinstance(node, ast.FunctionDef):
            seen.add(node.name)
    return twice


def assertions_caught(one: Module) -> list[str]:
    """Return the places where a test catches its own assertion."""
    return [f"{one.name}, line {node.lineno}" for node in ast.walk(one.tree) if _catches(node)]


def _catches(node: ast.AST) -> bool:
    if isinstance(node, ast.Try) and _asserts(node.body):
        caught = [handler.type for handler in node.handlers]
        return any(each is None or CATCHES_AN_ASSERTION & set(_exceptions(each)) for each in caught)
    if isinstance(node, ast.With) and any(isinstance(inner, ast.Assert) for inner in ast.walk(node)):
        calls = [item.context_expr for item in node.items if isinstance(item.context_expr, ast.Call)]
        return any(
            dotted(call.func).split(".")[-1] in ("suppress", "raises")
            and any(CATCHES_AN_ASSERTION & set(_exceptions(argument)) for argument in call.args)
            for call in calls
        )
    return False


def _exceptions(node: ast.expr) -> list[str]:
    members = node.elts if isinstance(node, ast.Tuple) else [node]
    return [dotted(member).split(".")[-1] for member in members]


def _asserts(body: list[ast.stmt]) -> bool:
    return any(isinstance(inner, ast.Assert) for statement in body for inner in ast.walk(statement))


def harmless_tests(several: Iterable[Module]) -> list[str]:
    """Return the tests that assert nothing: neither themselves nor through a function they call."""
    several = tuple(several)
    asserting = {"raises", "warns", "fail"}
    bodies = [(one, function) for one in several for function in functions(one.tree)]
    for _round in range(3):  # a test may call a function that calls a function that asserts
        asserting |= {function.name for _one, function in bodies if _can_fail(function, asserting)}
    return [
        f"{one.name}: {function.name}"
        for one, function in bodies
        if function.name.startswith("test_") and not _can_fail(function, asserting)
    ]


def _can_fail(function: ast.FunctionDef | ast.AsyncFunctionDef, asserting: set[str]) -> bool:
    return any(
        isinstance(node, ast.Assert)
        or (isinstance(node, ast.Call) and dotted(node.func).split(".")[-1] in asserting)
        or (isinstance(node, ast.Call) and dotted(node.func).split(".")[-1].startswith("assert_"))
        for node in ast.walk(function)
    )


def skipped_tests(one: Module) -> list[str]:
    """Return the places where a test is skipped or expected to fail."""
    return [
        f"{one.name}, line {node.lineno}: {node.attr}"
        for node in ast.walk(one.tree)
        if isinstance(node, ast.Attribute) and node.attr in SKIPS and dotted(node).startswith("pytest.")
    ]
