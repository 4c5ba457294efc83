"""What a standard allows a volumetric vessel, and how its material expands."""

import sys
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NoReturn

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import Row, by_key, citation, table


@dataclass(frozen=True, slots=True)
class Tolerance:
    """The limits of error that a standard sets for one kind and size of vessel.

    Fields:
        standard: with its edition where the table states one ("ISO 385:2005").
        instrument, form, vessel_class, nominal_mL: the vessel; class and form are empty where the standard has none.
        half_width_mL: the greatest permissible (systematic) error, either way.
        graduation_mL: smallest division, if the vessel has a scale.
        random_standard_deviation_mL: greatest permissible standard deviation, for piston-operated apparatus only.
        delivery_time_s: shortest and longest, where held.
        waiting_time_s: before the reading or the end of delivery; none where the class asks for none or none is held.
        source: who says so.
        status: "read" or "recalled", of the limit.
        note: what to know about it.
    """

    standard: str
    instrument: str
    form: str
    vessel_class: str
    nominal_mL: float
    half_width_mL: float
    graduation_mL: float | None
    random_standard_deviation_mL: float | None
    delivery_time_s: tuple[float, float] | None
    waiting_time_s: float | None
    source: str
    status: str
    note: str


def tolerance(
    standard: str, instrument: str, vessel_class: str = "", nominal_mL: float = 0.0, *,
    graduation_mL: float | None = None, form: str = "",
) -> Tolerance:
    """Return the limits of error of a vessel.

    Arguments:
        standard: "ISO 385" or, where several editions are held, with its year: "ISO 8655-2:2022".
        instrument: "burette", "one-mark pipette", "graduated pipette", "volumetric flask", "measuring cylinder",
            "piston burette", "piston pipette" or "dispenser".
        vessel_class: "A", "AS" or "B"; piston-operated apparatus has none.
        nominal_mL: nominal volume [mL].
        graduation_mL: smallest division [mL], where the standard sets several limits for one size.
        form: "wide neck", "motor driven", "multichannel" and the like; empty for the ordinary form.

    Returns: the limits. Those of ISO 8655 are per cent of the nominal volume, whatever part of it is delivered.

    Raises:
        Refusal: nothing is held for that vessel, or more than one limit fits; the sentence lists what is held.

    Example:
        >>> tolerance("ISO 385", "burette", "AS", 50).half_width_mL
        0.05
    """
    glass, pistons = table("glassware_tolerances").rows, table("piston_limits").rows
    rows = tuple(row for row in glass + pistons if row["instrument"] == instrument)
    if not rows:
        _refuse(f"the instrument '{instrument}' is not held", (row["instrument"] for row in glass + pistons))
    rows = _of_standard(rows, standard, instrument)
    vessel = f"{rows[0]['standard']} {instrument}"
    if rows[0] in pistons:
        return _piston_tolerance(rows, vessel, form, nominal_mL)
    rows = _narrowed(rows, "class", vessel_class, vessel)
    rows = _narrowed(rows, "form", form, vessel)
    rows = _of_size(rows, nominal_mL, f"{vessel} of class {vessel_class}")
    return _glass_tolerance(_of_graduation(rows, graduation_mL, f"{vessel} of {nominal_mL:g} mL"))


@dataclass(frozen=True, slots=True)
class GlassExpansion:
    """How the material of a vessel expands.

    Fields:
        material: as the table names it.
        cubic_per_K: cubic expansion coefficient [1/K].
        half_width_per_K: half the spread of the sources, or our allowance [1/K].
        source: who says so.
        status: "read" or "recalled".
        note: what to know about it.
    """

    material: str
    cubic_per_K: float
    half_width_per_K: float
    source: str
    status: str
    note: str

    @property
    def estimate(self) -> Estimate:
        """The coefficient [1/K] with its rectangular distribution, under its permanent key."""
        key = influence_key("expansion coefficient", self.material, self.source, "cubic expansion")
        return influence(key, self.cubic_per_K, standard_uncertainty_of_half_width(self.half_width_per_K), "1/K",
                         distribution="rectangular", label=f"cubic expansion of {self.material}")


def glass_expansion(material: str) -> GlassExpansion:
    """Return the cubic expansion coefficient of a vessel's material.

    Arguments:
        material: "borosilicate glass 3.3", "soda-lime glass", "polypropylene" or another the table lists.

    Returns: the coefficient [1/K] that the table marks as chosen among its sources, or another by its full name.

    Raises:
        Refusal: the material is not in the table.

    Source: ISO 4787 for glass; see the table for the others.

    Example:
        >>> glass_expansion("borosilicate").cubic_per_K
        9.9e-06
    """
    wanted = material.strip().casefold()
    for key, row in by_key("glass_expansion").items():
        aliases = (alias.strip().casefold() for alias in row["aliases"].split(";") if alias.strip())
        if wanted == key.casefold() or wanted in aliases:
            return GlassExpansion(key, float(row["value"]), float(row["half_width"]), citation(row), row["status"],
                                  row["note"])
    chosen = (key for key, row in by_key("glass_expansion").items() if row["chosen"] == "yes")
    return _refuse(f"the expansion of '{material}' is not held", chosen)


def _narrowed(rows: tuple[Row, ...], column: str, wanted: str, vessel: str) -> tuple[Row, ...]:
    found = tuple(row for row in rows if row[column] == wanted)
    if found:
        return found
    asked = f"the {column} '{wanted}' of {vessel} is not held" if wanted else f"the {column} of {vessel} is not stated"
    return _refuse(asked, (row[column] or "none" for row in rows))


def _of_standard(rows: tuple[Row, ...], standard: str, instrument: str) -> tuple[Row, ...]:
    found = tuple(row for row in rows if standard in {row["standard"], row["standard"].partition(":")[0]})
    if not found:
        _refuse(f"'{standard}' is not held for a {instrument}", (row["standard"] for row in rows))
    if len({row["standard"] for row in found}) > 1:
        _refuse(f"several editions of {standard} are held", (row["standard"] for row in found))
    return found


def _of_size(rows: tuple[Row, ...], nominal_mL: float, vessel: str) -> tuple[Row, ...]:
    found = tuple(row for row in rows if float(row["nominal_mL"]) == nominal_mL)
    held = (f"{row['nominal_mL']} mL" for row in rows)
    return found or _refuse(f"the size {nominal_mL:g} mL of {vessel} is not held", held)


def _of_graduation(rows: tuple[Row, ...], graduation_mL: float | None, vessel: str) -> Row:
    if graduation_mL is None and len(rows) == 1:
        return rows[0]
    held = [f"{row['graduation_mL'] or 'no'} mL" for row in rows]
    if graduation_mL is None:
        _refuse(f"several graduations of {vessel} are held and none is stated", held)
    for row in rows:
        if row["graduation_mL"] and float(row["graduation_mL"]) == graduation_mL:
            return row
    return _refuse(f"the graduation {graduation_mL:g} mL of {vessel} is not held", held)


def _refuse(what: str, held: Iterable[str]) -> NoReturn:
    raise Refusal(what, where="vessel", remedy=f"choose from {', '.join(dict.fromkeys(held))}")


def _glass_tolerance(row: Row) -> Tolerance:
    times = _times(row)
    delivery = None
    if times is not None and times["delivery_min_s"]:
        delivery = (float(times["delivery_min_s"]), float(times["delivery_max_s"]))
    return Tolerance(
        standard=row["standard"], instrument=row["instrument"], form=row["form"], vessel_class=row["class"],
        nominal_mL=float(row["nominal_mL"]), half_width_mL=float(row["half_width"]),
        graduation_mL=float(row["graduation_mL"]) if row["graduation_mL"] else None,
        random_standard_deviation_mL=None, delivery_time_s=delivery,
        waiting_time_s=float(times["waiting_s"]) if times is not None and times["waiting_s"] else None,
        source=citation(row), status=row["status"], note=row["note"],
    )


def _times(row: Row) -> Row | None:
    fitting = [
        one for one in table("glassware_times").rows
        if all(one[column] == row[column] for column in ("instrument", "standard", "class"))
    ]
    exact = [one for one in fitting if one["nominal_mL"] == row["nominal_mL"]]
    general = [one for one in fitting if not one["nominal_mL"]]
    found = exact or general
    return found[0] if found else None


def _piston_tolerance(rows: tuple[Row, ...], vessel: str, form: str, nominal_mL: float) -> Tolerance:
    """Return the limits; where no form is stated and all forms share the systematic limit, the widest random one."""
    rows = _narrowed(rows, "form", form, vessel) if form else rows
    fitting = [row for row in rows if _covers(row, nominal_mL)]
    fitting.sort(key=lambda row: float(row["random_standard_deviation"]), reverse=True)
    if not fitting:
        _refuse(f"the size {nominal_mL:g} mL of {vessel} is not held", (row["key"] for row in rows))
    if len({row["systematic_half_width"] for row in fitting}) > 1:
        _refuse(f"the form of {vessel} is not stated", (row["form"] for row in fitting))
    row = fitting[0]
    return Tolerance(
        standard=row["standard"], instrument=row["instrument"], form=row["form"], vessel_class="",
        nominal_mL=nominal_mL,
        half_width_mL=float(row["systematic_half_width"]) / 100 * nominal_mL, graduation_mL=None,
        random_standard_deviation_mL=float(row["random_standard_deviation"]) / 100 * nominal_mL,
        delivery_time_s=None, waiting_time_s=None, source=citation(row), status=row["status"], note=row["note"],
    )


def _covers(row: Row, nominal_mL: float) -> bool:
    if row["nominal_mL"]:
        return float(row["nominal_mL"]) == nominal_mL
    upper_mL = float(row["nominal_up_to_mL"] or sys.float_info.max)
    return float(row["nominal_above_mL"]) < nominal_mL <= upper_mL
