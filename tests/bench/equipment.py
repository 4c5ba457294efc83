"""Burettes, pipettes, flasks, balances and thermometers: what they claim on paper, and what they truly do.

Each object draws its truth once, when it is made, and keeps it: two worksheets that share a burette share its errors.
``claims`` is the table a worksheet holds about the object, as text values by key.
"""

import math
from collections.abc import Mapping
from statistics import NormalDist
from typing import Any

from tests.bench.chance import Chance
from tests.bench.nature import Glass, borosilicate

# ISO 385:2005, ISO 648:2008, ISO 1042:1998, class A: maximum permissible error [mL] by nominal capacity [mL]
# (ISO 385 and ISO 648 read in a public transcription, ISO 1042 from memory).
BURETTE_A = {25: 0.03, 50: 0.05}
PIPETTE_A = {10: 0.02, 20: 0.03, 25: 0.03, 50: 0.05}
FLASK_A = {100: 0.10, 250: 0.15, 500: 0.25}


class Thermometer:
    """A thermometer whose bias lies within a stated half width [°C]."""

    def __init__(self, chance: Chance, half_width: float = 0.3) -> None:
        self._chance = chance
        self._bias = chance.bias_rectangular(half_width)
        self.claims: Mapping[str, Any] = {"id": "T-03", "uncertainty": f"{half_width} °C, rectangular"}

    def read(self, true_degC: float) -> str:
        """Return the reading, to a tenth of a degree."""
        return self._chance.write(true_degC + self._bias, "0.1", "°C")


class Balance:
    """An analytical balance adjusted in reference air.

    Its deviation from a straight line is one error per load: weighings at the same load repeat it, weighings at
    another load have another.
    """

    def __init__(self, chance: Chance, linearity_mg: float = 0.2, repeatability_mg: float = 0.08) -> None:
        self._chance = chance
        self._linearity_g = linearity_mg / 1000
        self._repeatability_g = repeatability_mg / 1000
        self._deviations_g: dict[str, float] = {}
        self.claims: Mapping[str, Any] = {
            "id": "W-2",
            "readability": "0.1 mg",
            "linearity": f"{linearity_mg} mg, rectangular",
            "repeatability": f"{repeatability_mg} mg",
            "adjusted": "reference air",
        }

    def read(self, force_g: float, load: str) -> str:
        """Return the indication [g] for a force, given as the mass that exerts it in vacuo.

        In reference air a standard weight of 8000 kg/m³ and mass m presses with m (1 - 1.2/8000) and is indicated as
        m: so was the balance adjusted.

        Arguments:
            load: name of the load's place on the scale ("gross"); each has its own deviation, drawn once.
        """
        if load not in self._deviations_g:
            self._deviations_g[load] = self._chance.bias_rectangular(self._linearity_g)
        indication = force_g / (1 - 1.2 / 8000)
        indication += self._deviations_g[load] + self._chance.scatter(self._repeatability_g)
        return self._chance.write(indication, "0.0001", "g")


# Over how many millilitres a burette's errors stay alike [mL]: each burette has its own length between these.
# Trade judgement, no published figure: Talbot's text-book spreads a small correction evenly over 10 mL, as if the bore
# changed over about that length (An Introductory Course of Quantitative Chemical Analysis, calibration, note 3, read).
ALIKE_mL = (5.0, 15.0)


class WanderingScore:
    """A standard normal score that wanders smoothly along a scale.

    Two positions a distance d apart have the correlation exp(-d²/(2 l²)). It is a sum of waves with normal amplitudes;
    their wave numbers are the quantiles of the normal distribution whose transform that correlation is.
    """

    WAVES = tuple(NormalDist().inv_cdf((number + 0.5) / 24) for number in range(12, 24))

    def __init__(self, chance: Chance, alike: float) -> None:
        size = math.sqrt(1 / len(self.WAVES))
        self._waves = tuple((wave / alike, chance.bias_normal(size), chance.bias_normal(size)) for wave in self.WAVES)

    def __call__(self, position: float) -> float:
        """Return the score at a position."""
        return sum(a * math.cos(w * position) + b * math.sin(w * position) for w, a, b in self._waves)


class Burette:
    """A burette of class A: its scale runs ahead of or behind the volume delivered by a smooth function.

    The error of a delivery from the zero mark to R wanders along the tube: at every R it is triangular within the
    tolerance (most glass is made well inside it), positions close together err alike, positions far apart do not, and
    near the zero mark, from where volumes count, it dies out.

    Arguments:
        calibrated: when true, the worksheet states corrections at every 5 mL from a certificate; each differs from
            the truth by a calibration error of the stated uncertainty and correlation.
        alike_mL: range of the length over which its errors stay alike [mL].
    """

    BIRTH_mL = 3.0  # the error has 63 % of its size this far from the zero mark

    def __init__(
        self,
        chance: Chance,
        nominal_mL: int = 50,
        *,
        calibrated: bool = False,
        alike_mL: tuple[float, float] = ALIKE_mL,
        identity: str = "B-07",
    ) -> None:
        self._chance = chance
        self.nominal_mL = nominal_mL
        self.grid = "0.01"
        self.glass: Glass = borosilicate(chance)
        self._tolerance_mL = BURETTE_A[nominal_mL]
        self._score = WanderingScore(chance, chance.uniform(*alike_mL))
        self.claims: Mapping[str, Any] = {"kind": "burette", "id": identity, "nominal": f"{nominal_mL} mL"} | (
            self._certificate() if calibrated else {"class": "A", "standard": "ISO 385"}
        )

    def scale_error(self, reading_mL: float) -> float:
        """Return true volume delivered from the zero mark, less the reading [mL at 20 °C].

        A standard normal score is mapped to the triangular distribution of half width a: where a share p of all
        burettes lies below, the error is -a (1 - sqrt(2 p)) for p up to one half, and mirrored above.
        """
        position = max(reading_mL, 0.0)
        score = self._score(position)
        beyond = 0.5 * math.erfc(abs(score) / math.sqrt(2))
        error = math.copysign(self._tolerance_mL * (1 - math.sqrt(2 * beyond)), score)
        return error * (1 - math.exp(-position / self.BIRTH_mL))

    def _certificate(self) -> dict[str, Any]:
        expanded, correlation = 0.010, 0.8
        common = self._chance.bias_normal(expanded / 2 * math.sqrt(correlation))
        corrections = []
        for mark in range(0, self.nominal_mL + 1, 5):
            own = self._chance.bias_normal(expanded / 2 * math.sqrt(1 - correlation))
            found = self.scale_error(mark) + common + own
            corrections.append([f"{mark} mL", self._chance.write(found, "0.001", "mL")])
        return {
            "corrections": corrections,
            "calibration_uncertainty": f"{expanded:.3f} mL, k = 2",
            "scale_correlation": f"{correlation}",
            "certificate": {"id": "CAL-B07-26"},
        }

    def mark_after(self, start_mL: float, volume_mL: float) -> float:
        """Return where the meniscus stands after delivering a volume [mL at 20 °C] from a true start on the scale."""
        wanted = start_mL + self.scale_error(start_mL) + volume_mL
        mark = wanted
        for _ in range(8):
            mark = wanted - self.scale_error(mark)
        return mark


class MeasuringVessel:
    """A one-mark pipette or flask of class A, with the scatter of setting its meniscus.

    Arguments:
        setting_mL: standard deviation of one filling or delivery.
    """

    def __init__(self, chance: Chance, kind: str, nominal_mL: int, identity: str, setting_mL: float) -> None:
        self._chance = chance
        self._setting_mL = setting_mL
        tolerance = (PIPETTE_A if kind == "pipette" else FLASK_A)[nominal_mL]
        self.glass: Glass = borosilicate(chance)
        self.true_mL = nominal_mL + chance.bias_triangular(tolerance)
        self.claims: Mapping[str, Any] = {
            "kind": kind,
            "id": identity,
            "nominal": f"{nominal_mL} mL",
            "class": "A",
            "standard": "ISO 648" if kind == "pipette" else "ISO 1042",
            "use": "to deliver" if kind == "pipette" else "to contain",
        }

    def volume_at(self, temperature_degC: float) -> float:
        """Return the volume delivered or contained this time [mL at the liquid's own temperature]."""
        return (self.true_mL + self._chance.scatter(self._setting_mL)) * self.glass.growth(temperature_degC)
