"""Indicators against publications: curves read backwards, errors that textbooks work out, a measured blank.

What the curves print is the value at a volume; an indicator asks the other way round. So each printed point near an
equivalence point is read backwards: the volume at which our curve has the printed value, beside the printed volume,
within half a unit of the last digit over the slope of the curve there. Rows marked ``differs`` are misprints and
left out.
"""

from collections.abc import Iterator

import numpy as np
import pytest

from assaywright.chemistry.activity import IDEAL
from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.equilibrium import (
    Acid,
    AcidBaseTitration,
    Conditions,
    Ion,
    PrecipitationTitration,
    Salt,
    Solution,
    StrongIon,
)
from assaywright.chemistry.indicator import rank_indicators
from assaywright.chemistry.indicator_scale import Flask
from assaywright.chemistry.indicator_volume import volumes_at
from assaywright.chemistry.system import Portion, System, prepared
from tests.published.rows import (
    STATUS_OF_REFERENCE_FILES,
    PublishedRow,
    as_parameters,
    assert_agrees,
    read_reference,
)

TEXTBOOK = Conditions(activity=IDEAL, pKw=14.00)
SODIUM, CHLORIDE = StrongIon("Na+", 1), StrongIon("Cl-", -1)
EDTA = "disodium edetate dihydrate"
WORKED = "Wuhan University and others, Analytical Chemistry, worked examples on titration error"
BLANK = "Determination of chloride, a practising analyst's method page"


def strong(volume_mL, acid, base):
    return AcidBaseTitration(Solution(((CHLORIDE, acid),)), volume_mL, Solution(((SODIUM, base),)), TEXTBOOK)


def acetic(volume_mL, Ka):
    acid = Acid("acetic acid", (-np.log10(Ka),))
    return AcidBaseTitration(Solution(((acid, 0.1),)), volume_mL, Solution(((SODIUM, 0.1),)), TEXTBOOK)


def ammonia(Kb):
    ammonium = Acid("ammonium", (14.00 + np.log10(Kb),), charge=1)
    return AcidBaseTitration(Solution(((ammonium, 0.1),)), 100.0, Solution(((CHLORIDE, 0.1),)), TEXTBOOK)


def silver():
    return PrecipitationTitration(Solution(((Ion("Cl-", -1), 0.0500),)), 50.0, Solution(((Ion("Ag+", 1), 0.100),)),
                                  (Salt("AgCl", "Cl-", 9.74),), "Ag+", "Ag+", TEXTBOOK)


CURVES = {
    "C01": strong(50.0, 0.100, 0.200), "C05": acetic(100.0, 1.8e-5), "C06": strong(25.0, 0.100, 0.100),
    "C12": strong(50.0, 0.0500, 0.1000), "C13": acetic(50.0, 1.75e-5), "C17": strong(100.0, 0.1, 0.1),
    "C18": acetic(100.0, 1.82e-5), "C19": ammonia(1.8e-5), "C04": silver(),
}


def backward_rows() -> Iterator[PublishedRow]:
    curves = {key: titration_curve(titration) for key, titration in CURVES.items()}
    for row in read_reference("titrimetry/titration_curve_points.csv"):
        curve = curves.get(row["curve_id"])
        if curve is None or row["agreement"] == "differs" or row["quantity"] not in ("pH", "pAg"):
            continue
        printed_mL, value = float(row["x_mL"]), float(row["value_printed"])
        at = float(curve.equivalence_points_mL[0])
        if printed_mL == at or abs(printed_mL - at) > 0.05 * at:
            continue  # at the point itself the printed pH is rounded; far from it no indicator turns
        half_unit = 0.5 * 10.0 ** -len(row["value_printed"].split(".")[1])
        low, ours, high = volumes_at(curve, np.array([value - half_unit, value, value + half_unit]))
        yield PublishedRow(
            row["source"], row["clause_or_table"],
            f"{row['titrand']} by {row['titrant']}: volume at {row['quantity']} {row['value_printed']}, mL",
            row["x_mL"], float(ours), tolerance=1.001 * max(abs(high - ours), abs(ours - low)),
            status=STATUS_OF_REFERENCE_FILES[row["status"]],
            note="read backwards: half a unit of the printed value on either side, over the slope of the curve")


def error_percent(titration, value):
    curve = titration_curve(titration)
    (at,) = curve.equivalence_points_mL
    return 100 * (float(volumes_at(curve, np.array([value]))[0]) / float(at) - 1)


def by_edta(metal, concentration):
    system = System("complexometric", (Portion(metal, concentration),), 25.0, (Portion(EDTA, concentration),), pH=10.0,
                    activity="ideal", data_set="Schwarzenbach at 0.1 mol/L")
    ready = prepared(system)
    (ranking,) = rank_indicators(titration_curve(ready.titration), ready.flask)
    return ranking.of("eriochrome black T").titration_error_percent


def worked_rows() -> Iterator[PublishedRow]:
    equal = strong(25.0, 0.1, 0.1)
    rounded = "the book rounds the pM of its equivalence point to 0.1: half of that, times the change of the error"
    for quantity, printed, ours, tolerance in (
        ("0.1 mol/L HCl by 0.1 mol/L NaOH to pH 4.0, error, %", "-0.2", error_percent(equal, 4.0), None),
        ("0.1 mol/L HCl by 0.1 mol/L NaOH to pH 9.0, error, %", "0.02", error_percent(equal, 9.0), None),
        ("0.01 mol/L HCl by 0.01 mol/L NaOH to pH 4.0, error, %", "-2", error_percent(strong(25.0, 0.01, 0.01), 4.0),
         None),
        ("0.02 mol/L magnesium by EDTA at pH 10, eriochrome black T, error, %", "0.11", by_edta("Mg2+", 0.02),
         0.02),
        ("0.02 mol/L calcium by EDTA at pH 10, eriochrome black T, error, %", "-1.5", by_edta("Ca2+", 0.02),
         0.17),
    ):
        yield PublishedRow(WORKED, "chapters on acid-base and complexometric titration", quantity, printed, ours,
                           tolerance, "from memory", rounded if tolerance else "")


def chromate_blank_umol() -> float:
    """Return what a blank of 100 mL takes with 2 mL of 5 % chromate: our excess past the equivalence point."""
    ready = prepared(System("precipitation", (Portion("NaCl", 0.001),), 100.0, (Portion("AgNO3", 0.1),)))
    flask = Flask(100.0, 0.1, "AgNO3", "NaCl")
    (ranking,) = rank_indicators(titration_curve(ready.titration), flask)
    return 1000 * 0.1 * ranking.of("potassium chromate").titration_error_mL


def published_rows() -> Iterator[PublishedRow]:
    yield from backward_rows()
    yield from worked_rows()
    yield PublishedRow(BLANK, "blank with chromate in about 100 mL", "silver that a chromate blank takes, µmol", "7",
                       chromate_blank_umol(), tolerance=3.0,
                       note="what is seen depends on the eye: our own bound of the amount is 3 µmol")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


def test_enough_points_of_both_sides_are_read_backwards():
    rows = list(backward_rows())
    assert len(rows) >= 20
    assert {row.status for row in rows} == {"read", "from memory"}
