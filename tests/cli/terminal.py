"""The command line as the tests call it: arguments in, exit status and both streams out."""

import contextlib
import io

from assaywright.assay.method import load_method
from assaywright.cli import main
from assaywright.cli.demo_story import laboratory
from tests.house.sentences import assert_well_said


class Answer:
    """What a call gave back."""

    def __init__(self, status, output, errors):
        self.status = status
        self.output = output
        self.errors = errors


def call(*arguments):
    """Run the program within this process; a fault of the program is raised."""
    output, errors = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(output), contextlib.redirect_stderr(errors):
        status = main([str(argument) for argument in arguments])
    return Answer(status, output.getvalue(), errors.getvalue())


def works_in(folder):
    """Write the files of the demonstration into a folder, as its verb does before it evaluates them; return it."""
    for name, data in laboratory().items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    return folder


def example_of(method, folder):
    """Write the worked example of a method into a folder and return its path."""
    path = folder / f"{method}.toml"
    path.write_text(load_method(method).example.worksheet, encoding="utf-8")
    return path


def assert_refused_in_one_sentence(answer, *pieces):
    """Assert exit status 2, nothing printed, and one printable line on the error stream that holds the pieces."""
    assert answer.status == 2
    assert answer.output == ""
    line = answer.errors.removesuffix("\n")
    assert line.isprintable()
    assert line.endswith((".", "?"))
    assert "Traceback" not in line
    assert_well_said(line)
    for piece in pieces:
        assert piece in line
