"""From the arguments to an exit status: one sentence on the standard error stream where something cannot be.

Nothing heavy is imported here; each verb imports what it needs. That keeps ``assaywright --help`` quick.
"""

import sys

TYPE_CHECKING = False  # importing it from typing would cost more than all the rest
if TYPE_CHECKING:
    import argparse
    from collections.abc import Sequence

DONE, REFUSED, INTERRUPTED = 0, 2, 130


def main(arguments: "Sequence[str] | None" = None) -> int:
    """Run one verb and return the exit status: 0 done, 2 refused or the output cannot be written.

    A reader that has seen enough and closes the pipe is no trouble: 0, whether the output was longer or not.

    Arguments:
        arguments: as typed after the program's name; those of the process when absent.
    """
    _make_streams_robust()
    try:
        _check_output()
        status = _run(sys.argv[1:] if arguments is None else list(arguments))
        sys.stdout.flush()
    except BrokenPipeError:
        _forget_output()
        return DONE
    except OSError as problem:
        if problem.filename is not None:  # not of a stream: a fault of the program
            raise
        _forget_output()
        _say(f"the output cannot be written ({(problem.strerror or str(problem)).lower()}); send it somewhere else.")
        return REFUSED
    except KeyboardInterrupt:
        return INTERRUPTED
    except ValueError as problem:
        if not _is_refusal(problem):
            raise
        _say(str(problem))
        return REFUSED
    return status


def _check_output() -> None:
    if sys.stdout is None:
        raise OSError("it is closed")


def _say(sentence: str) -> None:
    """Print one sentence on the standard error stream, where there is one."""
    from assaywright.cli.plain_text import say

    say(sentence)


def _is_refusal(problem: ValueError) -> bool:
    """Whether it is a refusal; any other error is a fault of the program and keeps its traceback."""
    from assaywright.metrology.refusal import Refusal

    return isinstance(problem, Refusal)


def _run(arguments: list[str]) -> int:
    """Run what the arguments ask for and return its exit status."""
    if not arguments or arguments[0] in ("-h", "--help"):
        from assaywright.cli.opening import opening

        print(opening())
        return DONE
    if arguments[0] == "--version":
        from assaywright import __version__

        print(f"Assaywright {__version__}")
        return DONE
    from assaywright.cli.arguments import parse

    parsed = parse(arguments)
    return DONE if parsed is None else _run_verb(parsed)


def _run_verb(parsed: "argparse.Namespace") -> int:
    from assaywright.cli.files import begin_command
    from assaywright.cli.verbs import RUN

    begin_command()
    return RUN[parsed.verb](parsed)


def _make_streams_robust() -> None:
    """Let a terminal that lacks a character print its plain equivalent instead of failing."""
    import codecs

    from assaywright.cli.plain_text import FALLBACK, replace_by_plain_text

    codecs.register_error(FALLBACK, replace_by_plain_text)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=FALLBACK)


def _forget_output() -> None:
    """Point the standard output stream at nothing, so that closing it does not fail once more."""
    import os

    try:
        descriptor = sys.stdout.fileno()
    except (AttributeError, OSError, ValueError):
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, descriptor)
    os.close(nowhere)
