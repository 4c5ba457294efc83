"""A pH measured between two buffers: slope and offset of the electrode, and the sample's pH with its uncertainty."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from assaywright.chemistry.temperature import nernst_slope_V
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.model import Means, Model, ModelInput
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.remarks import Remark, Severity

LEAST_SLOPE, MOST_SLOPE = 0.95, 1.02
GREATEST_DIFFERENCE_K = 1.0
NEUTRAL_PH = 7.0
READINGS = ("mV", "1")


@dataclass(frozen=True, slots=True)
class BufferReading:
    """What the electrode showed in a buffer.

    Fields:
        name: of the buffer.
        pH: of the buffer at its temperature [1].
        reading: of the electrode [mV], or of an uncalibrated pH scale [1].
        temperature_degC: of the buffer [°C].
    """

    name: str
    pH: Estimate
    reading: Estimate
    temperature_degC: float


@dataclass(frozen=True, slots=True)
class BracketedPH:
    """A pH measured between two buffers.

    Fields:
        pH: of the sample [1].
        model: equation and inputs, for the working.
        slope_per_pH: change of the reading for one unit of pH [mV], or [1].
        slope_share: of the theoretical slope [1].
        reading_at_neutral: reading at pH 7, the offset of the electrode [mV], or [1].
        remarks: a sample outside the buffers, a poor slope, buffers at another temperature.
    """

    pH: Estimate
    model: Model
    slope_per_pH: float
    slope_share: float
    reading_at_neutral: float
    remarks: tuple[Remark, ...]


def bracketed_pH(
    first: BufferReading, second: BufferReading, sample_reading: Estimate, temperature_degC: float
) -> BracketedPH:
    """Return the pH of a sample measured between two buffers.

    pH(X) = pH(S1) + [E(X) - E(S1)] / k,  k = [E(S2) - E(S1)] / [pH(S2) - pH(S1)]

    Arguments:
        first, second: readings in the two buffers.
        sample_reading: in the sample, in the same unit.
        temperature_degC: of the sample [°C].

    Valid: the sample between the buffers; outside them the pH is computed and held back. The residual liquid junction
        potential, some 0.01 in dilute solutions, is not in the uncertainty.

    Raises:
        Refusal: readings in different units, buffers that do not differ, or an electrode that does not answer.

    Source: IUPAC Recommendations 2002, Pure Appl. Chem. 74, 2169, two-point calibration (bracketing).

    Example:
        >>> from assaywright.metrology.estimate import exact
        >>> buffers = [BufferReading(name, exact(pH), exact(mV, "mV"), 25.0)
        ...            for name, pH, mV in (("phosphate", 6.865, 8.0), ("borax", 9.180, -128.0))]
        >>> round(bracketed_pH(*buffers, exact(-60.0, "mV"), 25.0).pH.value, 4)
        8.0225
    """
    _check(first, second, sample_reading)
    unit = sample_reading.unit

    def equation(x: Mapping[str, Any], m: Means) -> Any:
        k = m.step("k", "slope of the electrode", (x["E_2"] - x["E_1"]) / (x["pH_2"] - x["pH_1"]), unit)
        return m.step("pH", "pH of the sample", x["pH_1"] + (x["E_x"] - x["E_1"]) / k, "1",
                      "IUPAC 2002, two-point calibration")

    model = Model(equation, {
        "pH_1": ModelInput("pH_1", f"pH of the {first.name} buffer", first.pH),
        "pH_2": ModelInput("pH_2", f"pH of the {second.name} buffer", second.pH),
        "E_1": ModelInput("E_1", f"reading in the {first.name} buffer", first.reading),
        "E_2": ModelInput("E_2", f"reading in the {second.name} buffer", second.reading),
        "E_x": ModelInput("E_x", "reading in the sample", sample_reading),
    }, "1", "pH", "pH of the sample")
    slope = (second.reading.value - first.reading.value) / (second.pH.value - first.pH.value)
    theoretical = -1000.0 * float(nernst_slope_V(temperature_degC)) if unit == "mV" else 1.0
    found = evaluate_gum(model).estimate
    share = slope / theoretical
    return BracketedPH(found, model, slope, share, first.reading.value + slope * (NEUTRAL_PH - first.pH.value),
                       tuple(_remarks(first, second, found.value, share, temperature_degC)))


def _check(first: BufferReading, second: BufferReading, sample_reading: Estimate) -> None:
    units = {first.reading.unit, second.reading.unit, sample_reading.unit}
    if len(units) != 1 or not units <= set(READINGS):
        raise Refusal(f"readings in {' and '.join('pH' if one == '1' else one for one in sorted(units))}", where="pH",
                      remedy="give all three in mV, or all three as pH shown")
    if abs(first.pH.value - second.pH.value) < 0.5:
        raise Refusal(f"the buffers {first.name} and {second.name} do not differ by half a unit of pH", where="pH",
                      remedy="take two that do")
    falling = (second.reading.value - first.reading.value) * (second.pH.value - first.pH.value) < 0
    if first.reading.value == second.reading.value or falling != (sample_reading.unit == "mV"):
        raise Refusal("the electrode's readings do not follow the pH of the buffers", where="pH",
                      remedy="check that the buffers were not changed over, then the electrode")


def _remarks(
    first: BufferReading, second: BufferReading, found_pH: float, share: float, temperature_degC: float
) -> list[Remark]:
    remarks = []
    low, high = sorted((first.pH.value, second.pH.value))
    if not low <= found_pH <= high:
        remarks.append(Remark(
            "sample-outside-buffers", Severity.HOLD,
            f"pH {found_pH:.2f} lies outside the buffers, {low:.2f} to {high:.2f}", "pH",
            "measure again between two buffers that enclose it"))
    if not LEAST_SLOPE <= share <= MOST_SLOPE:
        remarks.append(Remark(
            "electrode-slope", Severity.QUESTION,
            f"the slope is {100 * share:.1f} % of the theoretical one, {100 * LEAST_SLOPE:.0f} to "
            f"{100 * MOST_SLOPE:.0f} % is usual", "electrode",
            "clean or replace the electrode, take fresh buffers, and calibrate again"))
    away = max(abs(one.temperature_degC - temperature_degC) for one in (first, second))
    if away > GREATEST_DIFFERENCE_K:
        remarks.append(Remark(
            "buffers-at-another-temperature", Severity.QUESTION,
            f"buffer and sample differ by {away:.1f} °C", "pH", "bring buffers and sample to one temperature"))
    return remarks
