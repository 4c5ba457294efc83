"""Worksheets for the tests of the bench: a method's own published example, taken apart into heading and readings."""

import tomllib
from datetime import date
from typing import Any

from assaywright.assay.bench.state import BenchState, bench_state
from assaywright.assay.method import load_method

DAY = date(2026, 11, 30)
KHP = "naoh-by-khp"  # EURACHEM/CITAC CG 4, example A2: 0.3888 g take 18.64 mL, burette of 20 mL divided to 0.05 mL
TWO_ENDPOINTS = "caustic-soda-two-endpoints"  # a published item: 25.00 mL and 30.00 mL for 4.80 g/L in all
BACK = "calcium-carbonate-by-excess-acid"  # a hand calculation: blanks of 25.08 and 25.10 mL, 0.4934 g leave 15.31 mL
BARIUM = "caustic-soda-by-barium-chloride"


def sheet(name: str) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """Return heading and determinations of a method's worked example; the published one where there is a choice."""
    heading = tomllib.loads(next((one for one in load_method(name).examples if one.status == "published"),
                                 load_method(name).example).worksheet)
    return heading, heading.pop("determination")


def state(name: str, typed: dict[str, Any], earlier: int = 0, *, changed: dict[str, Any] | None = None,
          **said: Any) -> BenchState:
    """Return the state of the bench with so many determinations of the example before, and tables changed."""
    heading, determinations = sheet(name)
    return bench_state(load_method(name), heading | (changed or {}), determinations[:earlier], typed, DAY, **said)
