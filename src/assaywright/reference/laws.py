"""The coefficients of the laws of density, as their authors print them."""

from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import citation, table


@cache
def law_coefficients(law: str) -> Mapping[str, float]:
    """Return the coefficients of a law by their letters in the source.

    Arguments:
        law: citation key of the law ("tanaka_2001").

    Returns: letter to value; the table gives the units.

    Raises:
        Refusal: no coefficients are held for that law.
    """
    found = {row["symbol"]: float(row["value"]) for row in table("density_law_coefficients").rows if row["law"] == law}
    if not found:
        held = dict.fromkeys(row["law"] for row in table("density_law_coefficients").rows)
        raise Refusal(f"no coefficients are held for '{law}'", where="reference",
                      remedy=f"use one of {', '.join(held)}")
    return MappingProxyType(found)


def law_source(law: str) -> str:
    """Return who published a law."""
    law_coefficients(law)
    return next(citation(row) for row in table("density_law_coefficients").rows if row["law"] == law)
