"""Materials of the simulated bench: as they truly are, and what a worksheet holds about them."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tests.bench.acts import Solution
from tests.bench.laboratory import Laboratory


@dataclass(frozen=True)
class Titrant:
    """A standard solution: as it truly is, and how a later worksheet names it.

    Fields:
        nominal: as on its label ("0.1 mol/L").
        worksheet: path of the worksheet that standardised it.
    """

    name: str
    formula: str
    nominal: str
    solution: Solution
    worksheet: str = ""

    def claims(self) -> dict[str, Any]:
        """The table a worksheet holds about it."""
        known = {"worksheets": [self.worksheet]} if self.worksheet else {}
        return {"name": f"{self.name} {self.nominal}", "formula": self.formula, "nominal": self.nominal} | known


@dataclass(frozen=True)
class PrimaryStandard:
    """A reference material as its certificate has it; ``equivalents`` of one mole.

    Fields:
        density: of the solid [kg/m³].
        content, expanded: certified mass fraction and its uncertainty with k = 2 [%].
    """

    name: str
    formula: str
    atoms: Mapping[str, int]
    equivalents: int
    density: float
    content: float
    expanded: float

    def claims(self) -> dict[str, Any]:
        """The table a worksheet holds about it."""
        return {
            "name": self.name,
            "formula": self.formula,
            "basis": "dried",
            "dried": "2 h, as the certificate says",
            "content": f"{self.content:.2f} % ± {self.expanded:.2f} %, k = 2",
            "weighed_as": "in vacuo",
            "density": f"{self.density / 1000:.3f} g/mL",
            "certificate": {"id": f"RM-{self.formula}"},
        }


@dataclass(frozen=True)
class Sample:
    """A solution to be assayed, as it truly is.

    Fields:
        solution: its analyte [mmol/mL at 20 °C] and liquid.
        atoms: of the analyte's formula; ``species`` is that formula.
        solute: by which the world knows its dilutions.
        thermal: law of expansion by the name the worksheet gives it, or empty when she measured densities.
    """

    product: str
    species: str
    atoms: Mapping[str, int]
    solution: Solution
    solute: str
    thermal: str = ""

    def claims(self, lab: Laboratory) -> dict[str, Any]:
        """The table a worksheet holds about it: its density at 20 °C, and how it expands."""
        liquid = self.solution.liquid
        stated = liquid.density_at_20 / 1000 + lab.chance.bias_normal(0.0005)
        claims: dict[str, Any] = {
            "product": self.product,
            "lot": "0417",
            "density": f"{stated:.4f} g/mL ± 0.0010 g/mL, k = 2",
        }
        if self.thermal:
            return claims | {"thermal": self.thermal}
        measured = [(t, liquid.density_at_20 * liquid.shrinkage(t) / 1000) for t in (15.0, 20.0, 25.0, 30.0)]
        return claims | {"densities": [[f"{t:g} °C", f"{density:.5f} g/mL"] for t, density in measured]}

    def mass_per_volume(self, lab: Laboratory) -> float:
        """Return the true content in % w/v at 20 °C."""
        return self.solution.concentration * lab.molar_mass(self.atoms) / 10

    def mass_fraction(self, lab: Laboratory) -> float:
        """Return the true content in % w/w."""
        return 100 * self.solution.concentration * lab.molar_mass(self.atoms) / self.solution.liquid.density_at_20


@dataclass(frozen=True)
class Powder:
    """A solid to be assayed, as it truly is: mass fraction [1] of the analyte, density [kg/m³]."""

    product: str
    species: str
    atoms: Mapping[str, int]
    equivalents: int
    mass_fraction: float
    density: float

    def claims(self) -> dict[str, Any]:
        """The table a worksheet holds about it."""
        return {"product": self.product, "lot": "0424", "density": f"{self.density / 1000:.2f} g/mL ± 0.02 g/mL, k = 2"}
