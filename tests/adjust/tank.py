"""The tank as it truly is: what its instruments claim, what really flows, and what the lot then really holds.

It shares no equation and no number with the program: the lot's true content comes from the simulated bench, amounts are
drawn here once for each lot, and the balance of masses is done on the true ones.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from scipy.stats import norm

from tests.bench.chance import Chance

SHEET = "assay.toml"


@dataclass(frozen=True)
class Claims:
    """What the works writes about one lot and its tank, each as text.

    Fields:
        by_gauge: whether a level gauge reads volume; else a load cell reads mass.
        concentrate: whether the lot is brought up with a concentrate; else down with water.
    """

    by_gauge: bool
    concentrate: bool
    tank: Mapping[str, str]
    addition: Mapping[str, str]


@dataclass(frozen=True)
class Truth:
    """What is true behind the claims.

    Fields:
        mixed_kg: mass of the lot that takes part.
        added_error: of what is added, in the unit of the instrument (kg or L).
        density: of what is added [kg/L]; one where mass is measured.
        added_percent: content of what is added [% w/w].
    """

    mixed_kg: float
    added_error: float
    density: float
    added_percent: float

    def content_after(self, lot_percent: float, measured: float) -> float:
        """Return the true content [% w/w] after an addition, as measured [kg or L], to a lot of true content."""
        added_kg = (measured + self.added_error) * self.density
        held = self.mixed_kg * lot_percent + added_kg * self.added_percent
        return held / (self.mixed_kg + added_kg)


def filled(chance: Chance, lot_density: float) -> tuple[Claims, Truth]:
    """Fill a tank with a lot of that density [kg/L], and connect water or a concentrate to it."""
    by_gauge, concentrate, metered = (chance.uniform(0, 1) < 0.5 for _ in range(3))
    true_kg = chance.uniform(1500, 9000)
    dead_kg = 25 + chance.bias_rectangular(10)
    tank = {"id": "T-4", "dead_leg": "25 kg ± 10 kg, rectangular"}
    if by_gauge:
        half_L = 0.003 * true_kg / lot_density
        reading = true_kg / lot_density + chance.bias_rectangular(half_L)
        stated = lot_density + chance.bias_normal(0.0005)
        tank |= {"volume": f"{reading:.1f} L ± {half_L:.2f} L, rectangular",
                 "density": f"{stated:.5f} g/mL ± 0.0010 g/mL, k = 2"}
    else:
        standard_kg = 0.001 * true_kg
        reading = true_kg + chance.bias_normal(standard_kg)
        tank |= {"mass": f"{reading:.1f} kg ± {2 * standard_kg:.3f} kg, k = 2"}
    addition, error, density = _measured(chance, concentrate=concentrate, metered=metered)
    percent = 0.0
    if concentrate:
        percent = 48.5 + chance.uniform(-1, 1)
        found = percent + chance.bias_normal(0.08)
        addition |= {"content": f"{found:.3f} % w/w ± 0.16 % w/w, k = 2"}
    return (Claims(by_gauge, concentrate, tank, addition),
            Truth(true_kg - dead_kg, error, density, percent))


def _measured(chance: Chance, *, concentrate: bool, metered: bool) -> tuple[dict[str, str], float, float]:
    """Return what is claimed of the addition, its true error and its true density (one where mass is measured)."""
    name = "caustic soda liquor" if concentrate else "purified water"
    if not metered:
        return ({"name": name, "readability": "0.1 kg", "uncertainty": "0.5 kg, rectangular"},
                chance.bias_rectangular(0.5), 1.0)
    claims = {"name": name, "readability": "0.1 L", "uncertainty": "0.4 L, rectangular"}
    density = 1.51 if concentrate else 0.9982
    if concentrate:
        stated = density + chance.bias_normal(0.001)
        claims |= {"density": f"{stated:.5f} g/mL ± 0.0020 g/mL, k = 2"}
    return claims, chance.bias_rectangular(0.4), density


def adjustment_text(chance: Chance, claims: Claims, found: float, uncertainty: float) -> str:
    """Return the file of an adjustment, with limits so narrow or wide that every probability occurs.

    Arguments:
        found: content by the assay [% w/w].
        uncertainty: its standard uncertainty [% w/w].
    """
    shift = chance.uniform(0.005, 0.06)
    nominal = found * (1 + shift if claims.concentrate else 1 - shift)
    both = norm.ppf(0.5 + 0.5 * chance.uniform(0.02, 0.985))
    lower = nominal - uncertainty * both * chance.uniform(0.6, 1.4)
    upper = nominal + uncertainty * both * chance.uniform(0.6, 1.4)
    heading = {"id": "AD-1", "product": "caustic soda", "lot": "0417", "substance": "sodium hydroxide",
               "nominal": f"{nominal:.5f} % w/w", "responsible": "Maren Tolliver"}
    tables = {"specification": {"lower": f"{lower:.5f} % w/w", "upper": f"{upper:.5f} % w/w"},
              "assay": {"worksheet": SHEET}, "tank": claims.tank, "addition": claims.addition}
    lines = ['format = "assaywright adjustment 1"', *_fields(heading)]
    for name, fields in tables.items():
        lines += [f"[{name}]", *_fields(fields)]
    return "\n".join(lines) + "\n"


def _fields(fields: Mapping[str, str]) -> list[str]:
    return [f'{key} = "{value}"' for key, value in fields.items()]
