"""The verb ``methods``: list the program's methods or a laboratory's own, show one, or check them."""

import argparse
import sys
from pathlib import Path

from assaywright.assay.method import Method, load_method, method_names
from assaywright.assay.own_method import named_otherwise
from assaywright.assay.own_method import own_method as read_own
from assaywright.cli.files import read_named
from assaywright.cli.opening import terminal_width
from assaywright.cli.plain_text import say
from assaywright.cli.typed_option import of_option
from assaywright.metrology.refusal import Refusal

OWN_METHOD = ".toml"
DONE, INFEASIBLE, REFUSED = 0, 1, 2


def run(parsed: argparse.Namespace) -> int:
    """List, show or check methods; 1 where an endpoint is not feasible, 2 where a method is refused."""
    if not parsed.check and (parsed.json or parsed.limit is not None):
        option = "--json" if parsed.json else "--limit"
        raise Refusal(f"assaywright methods: {option} goes with --check", remedy="add --check")
    if parsed.name is not None and not parsed.check:
        from assaywright.cli.show_method import method_lines

        method = _named(parsed.name, parsed.folder)
        for line in method_lines(method, terminal_width()):
            print(line)
        _say_names([method])
        return DONE
    methods, refused = _wanted(parsed.name, parsed.folder)
    status = _checked(methods, parsed) if parsed.check else _listed(methods)
    _say_names(methods)
    for refusal in refused:
        say(str(refusal))
    return REFUSED if refused else status


def own_method(path: str) -> Method:
    """Return the method of a laboratory's own file.

    Raises:
        Refusal: it cannot be read, or breaks a rule of method files.
    """
    return read_own(read_named(path), path)


def named_method(name: str) -> Method:
    """Return one of the program's methods by its name, or a laboratory's own by the path of its file.

    Raises:
        Refusal: there is no such method, or the path is a folder's or that of a file that does not end in .toml.
    """
    if name.endswith(OWN_METHOD):
        return own_method(name)
    if name not in method_names() and Path(name).is_dir():
        raise Refusal("it is a folder", where=name,
                      remedy=f"name a method file in it, or list them with assaywright methods --folder {name}")
    if name not in method_names() and Path(name).is_file():
        raise Refusal("the name of a method file ends in .toml", where=name, remedy="rename it, if it is one")
    return load_method(name)


def _say_names(methods: list[Method]) -> None:
    """Say which of the methods lie in files that do not bear their names."""
    for method in methods:
        if other := named_otherwise(method):
            say(str(Refusal(other, where=method.where, remedy="give the file the method's name")))


def _named(name: str, folder: str | None) -> Method:
    if folder is not None:
        _files(folder)
        return own_method(str(Path(folder) / f"{name.removesuffix(OWN_METHOD)}{OWN_METHOD}"))
    return named_method(name)


def _wanted(name: str | None, folder: str | None) -> tuple[list[Method], list[Refusal]]:
    """Return the methods asked for, and the refusals of those that are none."""
    if name is not None:
        return [_named(name, folder)], []
    if folder is None:
        return [load_method(one) for one in method_names()], []
    methods: list[Method] = []
    refused: list[Refusal] = []
    for path in _files(folder):
        try:
            methods.append(_unlike(own_method(path), methods))
        except Refusal as refusal:
            refused.append(refusal)
    return methods, refused


def _unlike(method: Method, others: list[Method]) -> Method:
    """Return a method; refuse it where another bears its name."""
    twin = next((one for one in others if one.name == method.name), None)
    if twin is not None:
        raise Refusal(f"it calls itself '{method.name}', as {twin.where} does", where=method.where,
                      remedy="give one of them another name")
    return method


def _files(folder: str) -> list[str]:
    """Return the paths of a folder's method files, in alphabetical order."""
    if not Path(folder).is_dir():
        raise Refusal("there is no such folder", where=folder, remedy="name the folder that holds the method files")
    found = sorted(str(one) for one in Path(folder).iterdir() if one.name.endswith(OWN_METHOD) and one.is_file())
    if not found:
        raise Refusal("the folder holds no method file", where=folder, remedy="name one with files that end in .toml")
    return found


def _listed(methods: list[Method]) -> int:
    from assaywright.cli.show_method import list_lines

    if methods:
        for line in list_lines(methods, terminal_width()):
            print(line)
    return DONE


def _checked(methods: list[Method], parsed: argparse.Namespace) -> int:
    from assaywright.assay.feasible import INFEASIBLE as VERDICT
    from assaywright.assay.feasible import feasibility, weaker_titrants
    from assaywright.chemistry.indicator import Criterion
    from assaywright.cli.show_check import check_lines, check_records
    from assaywright.metrology.typed import read_quantity

    criterion = Criterion()
    if parsed.limit is not None:
        try:
            criterion = Criterion(float(read_quantity(parsed.limit, "1").value))
        except Refusal as refusal:
            raise of_option(refusal, "--limit") from None
    found = [(one, feasibility(one, criterion=criterion)) for one in methods]
    weaker = tuple(weaker_titrants(methods[0], criterion)) if parsed.name is not None else ()
    if parsed.json:
        from assaywright.cli.show_json import json_text

        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(check_records(found), plain=plain))
    elif found:
        for line in check_lines(found, weaker, terminal_width()):
            print(line)
    return INFEASIBLE if any(each.verdict == VERDICT for _one, ends in found for each in ends) else DONE
