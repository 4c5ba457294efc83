"""The arguments of the verbs ``plan`` and ``guide``; importing it costs nothing but argparse."""

import argparse
from collections.abc import Callable

Whole = Callable[[str], int]


def add_plan_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what is planned, with which shelf, how uncertain it may be."""
    _add_common(verb)
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
    verb.add_argument("--chart", metavar="FILE.svg", help="draw bench time against uncertainty there")
    verb.add_argument("--replace", action="store_true",
                      help="with --chart: put it in the place of an earlier one of that name")


def add_guide_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what is done at the bench, and where the sheet goes."""
    _add_common(verb)
    verb.add_argument("--option", metavar="N", default="1", help="of the plan; the best when not given")
    verb.add_argument("--earlier", metavar="TITRE", action="append", nargs="+", default=[],
                      help='titres of earlier replicates of the same portion, like "40.02 mL"')
    verb.add_argument("--id", dest="identity", metavar="ID", help="number of the worksheet; made from the plan else")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
    verb.add_argument("-o", dest="output", metavar="FILE", help="write the sheet there, as .pdf or .txt")
    verb.add_argument("--replace", action="store_true",
                      help="with -o: put it in the place of an earlier one of that name")


def _add_common(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("product", metavar="PRODUCT", help="a product file; or, to standardise, the name of a method")
    verb.add_argument("--uncertainty", metavar="U",
                      help='wanted, expanded and relative, such as "0.2%%"; from the specification when not given')
    verb.add_argument("--vessels", "--shelf", dest="vessels", metavar="FILE",
                      help="the shelf; the one that the product names when not given")
    verb.add_argument("--nominal", metavar="C", help='of the titrant that a method standardises, such as "0.1 mol/L"')
    verb.add_argument("--day", metavar="DAY", help="of the work, like 2026-11-02; today when not given")
