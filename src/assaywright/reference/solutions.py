"""The standard table that brings volumes of standard solutions to 20 °C, column by column."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import by_key, citation, table

TABLE = "standard_solution_volume_correction_gbt601"
GLASS_EXPANSION_PER_K = 25e-6
EDITION = "GB/T 601"


@dataclass(frozen=True, slots=True)
class VolumeCorrection:
    """The printed correction of one column at one whole degree.

    Fields:
        temperature_degC: of solution and glass.
        correction_mL_per_L: to be added to each litre read, to give litres at 20 °C.
        half_width_mL_per_L: half a unit of the last printed digit.
        doubt: why the printed figure is doubted; empty where it is not.
    """

    temperature_degC: int
    correction_mL_per_L: float
    half_width_mL_per_L: float
    doubt: str


@dataclass(frozen=True, slots=True)
class VolumeCorrectionColumn:
    """One column of the table: a group of solutions.

    Fields:
        key: short name ("aq_0.1_0.2").
        solution: the group in words.
        corrections: by whole degree, in order.
        source: who prints it.
        status: "read" or "recalled".
    """

    key: str
    solution: str
    corrections: Mapping[int, VolumeCorrection]
    source: str
    status: str


def volume_correction_columns() -> Mapping[str, str]:
    """Return the columns of the table: short name to the group of solutions in words."""
    return MappingProxyType({key: row["solution"] for key, row in by_key("standard_solution_columns_gbt601").items()})


@cache
def volume_correction_column(key: str) -> VolumeCorrectionColumn:
    """Return one column of the table of volume corrections.

    The printed corrections hold the expansion of glass, 25e-6 per K, as well as that of the solution.

    Arguments:
        key: one of :func:`volume_correction_columns`.

    Raises:
        Refusal: there is no such column.

    Source: GB/T 601, Appendix A, Table A.1.

    Example:
        >>> volume_correction_column("aq_0.1_0.2").corrections[24].correction_mL_per_L
        -0.9
    """
    columns = volume_correction_columns()
    if key not in columns:
        raise Refusal(f"the table of volume corrections has no column '{key}'", where=EDITION,
                      remedy=f"choose from {', '.join(columns)}")
    rows = [row for row in table(TABLE).rows if row["column"] == key]
    doubts = {row["row"]: row["reason"] for row in table("errata").rows if row["table"] == TABLE}
    corrections = {
        int(row["temperature_degC"]): VolumeCorrection(
            int(row["temperature_degC"]), float(row["value"]), float(row["half_width"]), doubts.get(row["key"], "")
        )
        for row in rows
    }
    return VolumeCorrectionColumn(key, columns[key], MappingProxyType(dict(sorted(corrections.items()))),
                                  citation(rows[0]), rows[0]["status"])
