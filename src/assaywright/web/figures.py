"""Figures as a laboratory types them: with the decimal comma, where it has set that, in every field for a figure.

The records keep every figure with a point, as the pages print it. Where the laboratory's setting is the comma, a comma
between digits is the decimal mark and so is a point, as in what a page itself shows; neither ever groups thousands.
Where it is the point, a comma is left as it stands, to be refused by the reader of the figure.
"""

import os
import re

from assaywright.metrology.refusal import Refusal

SETTING = "ASSAYWRIGHT_DECIMAL_MARK"
MARKS = (".", ",")
DECIMAL_COMMA = re.compile(r"(?<![0-9.,])([0-9]+),([0-9]+)(?![0-9]*[.,][0-9])")
ROW = re.compile(r"-[0-9]+$")
IN_WORDS = "words"
FIGURES = frozenset((
    # of lots and of solutions
    "quantity", "found", "nominal", "volume", "in_force", "limit", "lower", "upper", "concentration",
    # of worksheets, their heading and their readings
    "density", "thermal", "dilution_temperature", "dilution_gross", "dilution_tare", "dilution_net",
    "dilution_total_gross", "dilution_total_tare", "dilution_total_net", "blank_volume", "pooled", "air_temperature",
    "air_pressure", "air_humidity", "gross", "tare", "net", "sample_temperature", "excess_temperature",
    "hydroxide_initial", "hydroxide_final", "initial", "first", "final", "temperature", "fillings", "titrant_gross",
    "titrant_tare", "titrant_net", "flask_gross", "flask_tare", "flask_net",
    # of products, instruments, reference materials and plans
    "guard_band_factor", "conformance_probability", "rounding_step", "tolerance", "graduation", "reference_temperature",
    "corrections", "calibration_uncertainty", "scale_correlation", "readability", "linearity", "repeatability",
    "minimum_weight", "capacity", "uncertainty", "content", "minimum_sample", "mass", "titre",
    # of production
    "amount", "dead_leg", "tank_density", "tank_temperature", "greatest_temperature", "product_density", "prior_mean",
    "prior_deviation", "addition_content", "addition_density", "addition_temperature", "measuring", "available",
    "land_at", "failing", "overshoot", "wanted", "gauge", "source_content", "source_density", "water", "second_content",
    "second_density", "second_readability", "second_measuring", "to_temperature",
))
OF_EACH_LOT = ("stock ", "least ")


def decimal_mark(text: str) -> str:
    """Return the laboratory's decimal mark from the text of the setting; a point where none is set.

    Raises:
        Refusal: it is neither point nor comma.
    """
    found = {"": ".", "point": ".", "comma": ","}.get(text.strip().casefold(), text.strip())
    if found not in MARKS:
        raise Refusal(f"'{text[:20]}' is no decimal mark", where=SETTING, remedy="set it to point or to comma")
    return found


def mark_of_the_environment() -> str:
    """Return the decimal mark that the environment sets for the laboratory."""
    return decimal_mark(os.environ.get(SETTING, ""))


def with_points(fields: dict[str, str], mark: str) -> dict[str, str]:
    """Return what was typed, with a decimal point in every figure, where the laboratory's mark is the comma.

    Arguments:
        fields: what was typed, by the fields' names.
        mark: the laboratory's decimal mark.
    """
    if mark != ",":
        return fields
    return {name: DECIMAL_COMMA.sub(r"\1.\2", text) if _is_figure(name, fields) else text
            for name, text in fields.items()}


def _is_figure(name: str, fields: dict[str, str]) -> bool:
    """Return whether a field holds a figure; what was found in words is none."""
    if name.startswith(OF_EACH_LOT):
        return True
    return ROW.sub("", name) in FIGURES and not (name == "found" and fields.get("way") == IN_WORDS)
