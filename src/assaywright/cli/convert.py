"""The verb ``convert``: a content in other units, with its uncertainty and its working."""

import argparse
import sys

from assaywright.assay.conversion import Conversion, ConversionAsked, conversion_of
from assaywright.cli.typed_option import of_option
from assaywright.metrology.refusal import Refusal

OPTIONS = {"content": "CONTENT", "substance": "--of", "to": "--to", "density": "--density", "nominal": "--nominal",
           "temperature": "--temperature", "to_temperature": "--to-temperature", "titrates": "--titrates"}
REACTION = ("name the reaction", "name it with --reaction")


def run(parsed: argparse.Namespace) -> int:
    """Convert, and print what was found."""
    from assaywright.cli.opening import terminal_width
    from assaywright.cli.show_convert import conversion_lines, conversion_record
    from assaywright.cli.show_json import json_text

    found = converted(parsed)
    if parsed.json:
        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(conversion_record(found), plain=plain))
    else:
        for line in conversion_lines(found, terminal_width()):
            print(line)
    return 0


def converted(parsed: argparse.Namespace) -> Conversion:
    """Return all that the arguments ask for.

    Raises:
        Refusal: anything that cannot be read or cannot be.
    """
    return conversion_of(ConversionAsked(
        content=parsed.content, substance=parsed.of, to=parsed.to or "", expressed=parsed.expressed or "",
        given_as=parsed.given_as or "", density=parsed.density or "", reaction=parsed.reaction or "",
        counting=parsed.counting, temperature=parsed.temperature, to_temperature=parsed.to_temperature or "",
        nominal=parsed.nominal or "", titrates=parsed.titrates or ""), _at)


def _at(refusal: Refusal, field: str) -> Refusal:
    """Return a refusal as that of an option."""
    remedy = REACTION[1] if refusal.remedy == REACTION[0] else refusal.remedy
    return of_option(Refusal(refusal.what, where=refusal.where, remedy=remedy), OPTIONS[field])
