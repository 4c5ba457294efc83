"""The demonstration: the laboratory of an invented works, written into a folder, evaluated, and told."""

from assaywright.cli.demo_folder import DemonstrationFolder

DEFAULT_FOLDER = "tarn-hollow"


def run(folder: str | None = None) -> int:
    """Write the demonstration into a folder, evaluate it, and print what it shows.

    Arguments:
        folder: as typed; ``tarn-hollow`` in the present one when absent.

    Returns: exit status.

    Raises:
        Refusal: the folder holds what the demonstration did not make, or cannot be written to.
    """
    place = DemonstrationFolder(folder or DEFAULT_FOLDER)
    from assaywright.cli.demo_laboratory import write_laboratory
    from assaywright.cli.demo_story import read_story
    from assaywright.cli.demo_told import opening_text, told_lines
    from assaywright.cli.opening import terminal_width

    story = read_story()
    evaluated = write_laboratory(place, story, opening_text(story))
    for line in told_lines(story, evaluated, place.typed, terminal_width()):
        print(line)
    return 0
