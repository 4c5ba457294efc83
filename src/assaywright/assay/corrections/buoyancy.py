"""Air buoyancy: what the air carries of a load, and of the weights it is balanced by."""

from typing import Any

from assaywright.metrology.model import Means

REFERENCE_AIR_KG_PER_M3 = 1.2
WEIGHTS_KG_PER_M3 = 8000.0


def buoyancy_factor(x_air: Any, x_substance: Any, adjusted: str, m: Means, tag: str = "") -> Any:
    """Return the factor that turns a balance reading into a mass.

    b = (1 - 1.2/8000) / (1 - rho_air/rho_substance) for a balance adjusted at reference air, with rho_air in place of
    1.2 when the balance was adjusted in the air of the day.

    Arguments:
        x_air: density of the air at the balance [kg/m³].
        x_substance: density of what is weighed [kg/m³].
        adjusted: "reference air" or "air of the day".
        tag: set behind the symbol b in the working.

    Returns: [1]

    Source: OIML D 28:2004, conventional value of the result of weighing in air; weights of 8000 kg/m³.
    """
    at_adjustment = REFERENCE_AIR_KG_PER_M3 if adjusted == "reference air" else x_air
    factor = (1 - at_adjustment / WEIGHTS_KG_PER_M3) / (1 - x_air / x_substance)
    return m.step(f"b{tag}", "buoyancy factor", factor, "1", "OIML D 28")
