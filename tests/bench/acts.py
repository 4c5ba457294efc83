"""What the chemist does: she weighs, pipettes, dilutes and titrates, and writes down what she sees.

Amounts of substance are in mmol, masses in grams, volumes in mL at the temperature the liquid has at that moment.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from tests.bench.chance import Chance
from tests.bench.equipment import Balance, Burette, MeasuringVessel
from tests.bench.nature import Liquid, air_density_oiml_r111

READING_mL = 0.008  # standard deviation of one reading of the meniscus
DROP_mL = 0.03  # she splits drops: the endpoint falls anywhere within this much titrant
FILLING_g = 18.6  # mass of the weighing bottle


@dataclass(frozen=True)
class Solution:
    """A solution as it truly is: amount concentration at 20 °C [mmol/mL] and how its liquid expands."""

    concentration: float
    liquid: Liquid

    def amount_in(self, volume_mL: float, temperature_degC: float) -> float:
        """Return the amount [mmol] in a volume measured at a temperature."""
        return self.concentration * self.liquid.shrinkage(temperature_degC) * volume_mL

    def volume_of(self, amount_mmol: float, temperature_degC: float) -> float:
        """Return the volume [mL] that holds an amount at a temperature."""
        return amount_mmol / (self.concentration * self.liquid.shrinkage(temperature_degC))


class Day:
    """A day in the laboratory: its air, its room temperature, how it drifts."""

    def __init__(self, chance: Chance, *, at_20: bool = False) -> None:
        self._chance = chance
        self._start = 20.0 if at_20 else chance.uniform(18.5, 25.0)
        self._drift = 0.0 if at_20 else chance.uniform(-0.2, 0.4)
        self._wander = 0.0 if at_20 else 0.15
        self._pressure = chance.uniform(985, 1030)
        self._humidity = chance.uniform(30, 65)

    def temperature(self, turn: int) -> float:
        """Return the true temperature [°C] of a liquid at the nth titration of the day."""
        return self._start + self._drift * turn + self._wander * self._chance.uniform(-1, 1)

    @property
    def air_density(self) -> float:
        """True density of the day's air [kg/m³]."""
        return air_density_oiml_r111(self._start, self._pressure, self._humidity)

    def claims(self) -> Mapping[str, str]:
        """The air as she notes it."""
        return {
            "temperature": self._chance.write(self._start, "0.1", "°C"),
            "pressure": self._chance.write(self._pressure, "1", "hPa"),
            "humidity": self._chance.write(self._humidity, "1", "%"),
        }


def weigh_by_difference(
    balance: Balance, day: Day, mass_g: float, density_kg_m3: float, purpose: str
) -> Mapping[str, str]:
    """Weigh a portion from its bottle: gross before, tare after.

    Each body presses with its mass less that of the air it displaces; the bottle is glass of 2500 kg/m³.
    """
    air = day.air_density
    bottle = FILLING_g * (1 - air / 2500)
    gross = balance.read(bottle + mass_g * (1 - air / density_kg_m3), f"{purpose} gross")
    tare = balance.read(bottle, f"{purpose} tare")
    return {"gross": gross, "tare": tare}


def pipetted_amount(pipette: MeasuringVessel, solution: Solution, temperature_degC: float) -> float:
    """Return the amount [mmol] that the pipette delivers this time."""
    return solution.amount_in(pipette.volume_at(temperature_degC), temperature_degC)


def dilute(amount_mmol: float, flask: MeasuringVessel, liquid: Liquid, temperature_degC: float) -> Solution:
    """Make an amount up to the mark of a flask at a temperature."""
    volume = flask.volume_at(temperature_degC)
    return Solution(amount_mmol / (volume * liquid.shrinkage(temperature_degC)), liquid)


def titrate(
    chance: Chance,
    burette: Burette,
    titrant: Solution,
    amounts_mmol: tuple[float, ...],
    temperature_degC: float,
    endpoint_errors_mL: tuple[float, ...],
) -> tuple[str, ...]:
    """Titrate, and return the readings: the start and one at each endpoint.

    Every other time she fills to the zero mark and writes 0.00; else she reads where the meniscus stands. Each
    endpoint is seen when the volume delivered equals what is equivalent to the amount, plus the indicator's own
    error, plus or minus part of a drop.

    Arguments:
        amounts_mmol: of titrant equivalent to the sample at each endpoint, in the order they are met.
        endpoint_errors_mL: systematic difference of each mean endpoint from equivalence, as true volume.
    """
    grid = burette.grid
    to_the_mark = chance.uniform(0, 1) < 0.5
    start = chance.scatter(READING_mL) if to_the_mark else chance.uniform(0.05, 0.60)
    readings = [chance.write(0.0 if to_the_mark else start + chance.scatter(READING_mL), grid, "mL")]
    for amount, error in zip(amounts_mmol, endpoint_errors_mL, strict=True):
        volume = titrant.volume_of(amount, temperature_degC) + error + chance.scatter_rectangular(DROP_mL / 2)
        volume_at_20 = volume / burette.glass.growth(temperature_degC)
        mark = burette.mark_after(start, volume_at_20)
        readings.append(chance.write(mark + chance.scatter(READING_mL), grid, "mL"))
    return tuple(readings)
