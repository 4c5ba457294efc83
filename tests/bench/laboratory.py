"""One laboratory: the objects and materials that all worksheets of one chain share, with their truths."""

import tomllib
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from tests.bench.acts import Day, Solution
from tests.bench.chance import Chance
from tests.bench.equipment import ALIKE_mL, Balance, Burette, MeasuringVessel, Thermometer
from tests.bench.nature import aqueous, atomic_weights, molar_mass

TINT_pH, EYE_pH = (4.4 - 3.1) / 4, 0.2
METHODS = Path(__file__).resolve().parents[2] / "src" / "assaywright" / "assay" / "methods"


@cache
def method_file(name: str) -> Mapping[str, Any]:
    """Return a method as its file tells it: she works by it, and takes indicator and blank from it."""
    return tomllib.loads((METHODS / f"{name}.toml").read_text(encoding="utf-8"))


class Laboratory:
    """What is shared along one chain.

    Arguments:
        chance: source of this chain's errors.
        calibrated_burette: burette with a calibration certificate instead of a class.
        alike_mL: range of the length over which the burette's errors stay alike [mL].
        at_20: a laboratory kept at 20 °C exactly.
    """

    def __init__(
        self,
        chance: Chance,
        *,
        calibrated_burette: bool = False,
        alike_mL: tuple[float, float] = ALIKE_mL,
        at_20: bool = False,
    ) -> None:
        self.chance = chance
        self._at_20 = at_20
        self.weights = atomic_weights(chance)
        self.burette = Burette(chance, calibrated=calibrated_burette, alike_mL=alike_mL)
        self.balance = Balance(chance)
        self.thermometer = Thermometer(chance)
        self._vessels: dict[tuple[str, int], MeasuringVessel] = {}
        self._endpoint_errors: dict[str, float] = {}

    def day(self) -> Day:
        """Return a day of this laboratory."""
        return Day(self.chance, at_20=self._at_20)

    def vessel(self, kind: str, nominal_mL: int) -> MeasuringVessel:
        """Return the laboratory's one pipette or flask of that size."""
        setting = {"pipette": 0.00025, "flask": 0.0001}[kind] * nominal_mL
        if (kind, nominal_mL) not in self._vessels:
            identity = f"{kind[0].upper()}-{nominal_mL}"
            self._vessels[kind, nominal_mL] = MeasuringVessel(self.chance, kind, nominal_mL, identity, setting)
        return self._vessels[kind, nominal_mL]

    def molar_mass(self, atoms: Mapping[str, int]) -> float:
        """Return the molar mass [g/mol] of these materials' atoms."""
        return molar_mass(atoms, self.weights)

    def solution(self, solute: str, concentration: float) -> Solution:
        """Return an aqueous solution of a named solute and true concentration [mmol/mL at 20 °C]."""
        return Solution(concentration, aqueous(solute, concentration, self.chance))

    def _drawn(self, influence: str, draw: Callable[[float], float]) -> float:
        """Return the one deviation of an influence, drawn when it is first met, as a share of its half width."""
        if influence not in self._endpoint_errors:
            self._endpoint_errors[influence] = draw(1.0)
        return self._endpoint_errors[influence]

    def two_endpoint_errors(
        self, endpoints: Sequence[Mapping[str, Any]], strength: float, volumes_mL: tuple[float, float]
    ) -> tuple[float, ...]:
        """Return the true errors [mL] of both endpoints of alkali with carbonate, by the chemistry of the flask.

        At a pH both are what a proton balance leaves: hydrogen ions less hydrogen carbonate beside carbon dioxide; or
        carbonic acid less carbonate, about the pH of hydrogen carbonate. How much carbon dioxide the flask has kept and
        how full it was lies within what the method states. So does the pH taken for the end: a tint within a quarter of
        the interval of methyl orange, pH 3.1 to 4.4, seen by an eye with a standard uncertainty of 0.2 (tables of
        indicators; from memory).

        Arguments:
            endpoints: the first and the last, as the method describes them.
            strength: of the acid [mol/L].
            volumes_mL: equivalent to hydroxide and carbonate, and to both protons of the carbonate.
        """
        first, last = endpoints
        alike = self.chance.bias_rectangular
        carbon, total = volumes_mL[1] - volumes_mL[0], volumes_mL[1]
        flask = 75 * (1 + 0.15 * self._drawn("flask", alike))
        root = (strength * total / (flask + total)) ** 0.5
        f = 10 ** (-0.509 * (root / (1 + root) - 0.3 * root**2))
        kept, pH = (_stated(last["curve"][key]) for key in ("kept", "pH"))
        eye = EYE_pH * self._drawn("eye", self.chance.bias_normal)
        end = pH[0] - TINT_pH * self._drawn(last["influence"], alike) - eye
        dissolved = kept[0] + kept[1] * self._drawn("carbon dioxide", alike)
        late = ((flask + total) * 10**-end / strength - dissolved * carbon * 10 ** (end - 6.351)) / f
        off = _stated(first["curve"]["pH"])[1] * self._drawn("match", alike)
        half = 10 ** ((6.351 - 10.329) / 2) / f
        missed = carbon * half * (10**off - 10**-off)
        return missed + self.endpoint_error(first, strength), late

    def endpoint_error(self, endpoint: Mapping[str, Any], strength: float) -> float:
        """Return the true systematic error [mL] of an endpoint that a method describes.

        Endpoints of the same named influence err alike in whatever worksheet, each within its own half width. To turn
        the indicator takes an amount; of a titrant weaker than the method speaks of that is a larger volume.

        Arguments:
            strength: of the titrant [mol/L].
        """
        stated = endpoint.get("titration_error", "")
        if not stated or endpoint.get("treatment") == "negligible":
            return 0.0
        centre, half_width = (float(part.split()[0]) for part in stated.split(",")[0].split("±"))
        draw = self.chance.bias_triangular if "triangular" in stated else self.chance.bias_rectangular
        influence = endpoint["influence"]
        weaker = max(1.0, float(endpoint["at"].split()[0]) / strength) if "at" in endpoint else 1.0
        return weaker * (centre * self.chance.systematic + half_width * self._drawn(influence, draw))


def _stated(text: str) -> tuple[float, float]:
    """Return a value and its half width as a method states them."""
    value, half_width = (float(part.split()[0]) for part in text.split(",", maxsplit=1)[0].split("±"))
    return value, half_width
