"""The verbs with their arguments, in argparse; what it cannot parse becomes one sentence."""

import argparse
from collections.abc import Callable, Sequence

from assaywright.cli.buffer_arguments import add_buffer_arguments
from assaywright.cli.convert_arguments import add_convert_arguments
from assaywright.cli.curve_arguments import add_curve_arguments
from assaywright.cli.methods_arguments import add_methods_arguments
from assaywright.cli.opening import CAUTION, VERBS, terminal_width
from assaywright.cli.plan_arguments import add_guide_arguments, add_plan_arguments
from assaywright.cli.production_arguments import add_adjust_arguments, add_blend_arguments, add_prepare_arguments
from assaywright.cli.records_arguments import (
    add_backup_arguments,
    add_check_records_arguments,
    add_export_arguments,
    add_import_arguments,
    add_import_history_arguments,
    add_rebuild_arguments,
    add_restore_arguments,
)
from assaywright.cli.serve_arguments import add_people_arguments, add_serve_arguments
from assaywright.cli.substance_arguments import add_substance_arguments

TYPE_CHECKING = False  # importing it from typing costs as much as argparse itself
if TYPE_CHECKING:
    from typing import Any, NoReturn

    from assaywright.metrology.refusal import Refusal

FEWEST_TRIALS, MOST_TRIALS = 1_000, 10_000_000


class _Parser(argparse.ArgumentParser):
    """A parser whose errors are refusals."""

    def __init__(self, *arguments: "Any", **options: "Any") -> None:
        super().__init__(*arguments, **options)
        self.register("action", None, _Once)
        self.register("action", "store", _Once)

    def error(self, message: str) -> "NoReturn":
        """Refuse the arguments."""
        from assaywright.metrology.refusal import Refusal

        raise Refusal(f"{self.prog}: {message}", remedy=f"see {self.prog} --help")


class _Once(argparse.Action):
    """An argument with a text, which may be given once: of two texts neither is the one meant."""

    def __call__(self, parser: argparse.ArgumentParser, found: argparse.Namespace, text: "Any",
                 option: str | None = None) -> None:
        """Keep the text; refuse a second one."""
        given = found.__dict__.setdefault("_given", set())
        if option is not None and self.dest in given:
            parser.error(f"{option} is given twice")
        given.add(self.dest)
        setattr(found, self.dest, text)


def parse(arguments: Sequence[str]) -> argparse.Namespace | None:
    """Return the arguments of one verb; None when its help was asked for and has been printed.

    Arguments:
        arguments: the verb and what follows it.

    Raises:
        Refusal: an unknown verb or option, or a missing argument.
    """
    verb = arguments[0]
    if verb not in VERBS:
        raise _unknown(verb)
    parser = _Parser(prog=f"assaywright {verb}", description=f"{VERBS[verb][0].upper()}{VERBS[verb][1:]}.",
                     epilog=CAUTION, formatter_class=_layout, allow_abbrev=False)
    parser.set_defaults(verb=verb)
    ADDERS[verb](parser)
    try:
        return parser.parse_args(_joined(arguments[1:]))
    except SystemExit:
        return None


def _joined(arguments: Sequence[str]) -> list[str]:
    """Return the arguments with negative quantities joined to their options: argparse takes "-58.0mV" for an option."""
    found: list[str] = []
    for one in arguments:
        if one[:1] == "-" and one[1:2].isdigit() and found and found[-1].startswith("--") and "=" not in found[-1]:
            found[-1] += f"={one}"
        else:
            found.append(one)
    return found


def _layout(prog: str) -> argparse.HelpFormatter:
    return argparse.HelpFormatter(prog, max_help_position=30, width=terminal_width())


def _unknown(verb: str) -> "Refusal":
    """Return the refusal of an unknown verb or option, with the nearest verb that there is."""
    from difflib import get_close_matches

    from assaywright.metrology.refusal import Refusal

    if verb.startswith("-"):
        return Refusal(f"assaywright: there is no option '{verb[:40]}' before a verb", remedy="see assaywright --help")
    near = get_close_matches(verb, VERBS, n=1, cutoff=0.5)
    remedy = f"write '{near[0]}' if that is meant" if near else f"the verbs are {', '.join(VERBS)}"
    return Refusal(f"assaywright: there is no verb '{verb[:40]}'", remedy=remedy)


# --- the arguments of each verb ---------------------------------------------------------------------------------------


def _new(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("method", metavar="METHOD",
                      help="name of a method (assaywright methods lists them), or your own FILE.toml")
    verb.add_argument("-o", dest="output", metavar="FILE", help="write it there; a file that exists is left alone")


def _evaluate(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("files", metavar="FILE", nargs="+", help="worksheets or lots")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of tables")
    verb.add_argument("--monte-carlo", metavar="N", type=_trials, default=0, dest="monte_carlo",
                      help="compare with a simulation of N trials, such as 200000")
    verb.add_argument("--seed", metavar="S", type=_seed, help="seed of the simulation, 0 when not given")
    verb.add_argument("--save", metavar="FILE", help="keep the result of one worksheet, for stored = \"…\" in others")
    verb.add_argument("--replace", action="store_true", help="with --save: put it in the place of an earlier result")


def _explain(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("file", metavar="FILE", help="a worksheet")
    verb.add_argument("--pdf", metavar="FILE", help="write the working there as PDF, for a second person to check")
    verb.add_argument("--replace", action="store_true",
                      help="with --pdf: put it in the place of an earlier one of that name")


def _certify(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("file", metavar="FILE", help="a lot, or a worksheet with [specification] and [lot]")
    verb.add_argument("-o", dest="output", metavar="FILE", help="the PDF; beside FILE when not given")
    verb.add_argument("--replace", action="store_true", help="put it in the place of an earlier PDF of that name")
    verb.add_argument("--language", metavar="CODE", default="en",
                      help="print it in another language: de for German; en for English when not given")
    for option, value, what in (("--number", "NUMBER", "certificate number"), ("--issued", "DATE", "day of issue"),
                                ("--responsible", "NAME", "who answers for it"),
                                ("--function", "WORDS", "that person's function")):
        verb.add_argument(option, metavar=value, help=f"{what}, in place of what FILE states")


def _demo(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("folder", metavar="FOLDER", nargs="?", default="tarn-hollow",
                      help="write the demonstration there, ./tarn-hollow when not given")


def _prepare(verb: argparse.ArgumentParser) -> None:
    add_prepare_arguments(verb, _trials, _seed)


def _adjust(verb: argparse.ArgumentParser) -> None:
    add_adjust_arguments(verb, _trials, _seed)


def _blend(verb: argparse.ArgumentParser) -> None:
    add_blend_arguments(verb, _trials, _seed)


ADDERS: dict[str, Callable[[argparse.ArgumentParser], None]] = {
    "new": _new, "evaluate": _evaluate, "explain": _explain, "certify": _certify, "methods": add_methods_arguments,
    "substance": add_substance_arguments,
    "convert": add_convert_arguments, "buffer": add_buffer_arguments, "curve": add_curve_arguments,
    "plan": add_plan_arguments, "guide": add_guide_arguments,
    "prepare": _prepare, "adjust": _adjust, "blend": _blend, "demo": _demo,
    "check-records": add_check_records_arguments, "rebuild": add_rebuild_arguments, "backup": add_backup_arguments,
    "restore": add_restore_arguments,
    "export": add_export_arguments, "import": add_import_arguments, "import-history": add_import_history_arguments,
    "serve": add_serve_arguments, "people": add_people_arguments,
}


def _trials(text: str) -> int:
    return _whole(text, FEWEST_TRIALS, MOST_TRIALS, "the number of trials")


def _seed(text: str) -> int:
    return _whole(text, 0, 2**63 - 1, "the seed")


def _whole(text: str, least: int, most: int, name: str) -> int:
    """Return a whole number within bounds."""
    if not (text.isascii() and text.isdigit() and len(text) <= 19 and least <= int(text) <= most):
        raise argparse.ArgumentTypeError(f"{name} '{text[:20]}' is not a whole number from {least} to {most}")
    return int(text)
