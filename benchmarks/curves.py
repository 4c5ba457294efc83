"""Speed of titration curves, as a ratio against PHREEQC in the same run.

Run with ``python benchmarks/curves.py``; it prints each ratio with its aim and exits with 1 when one is missed.

The task: 10,000 curves of 200 points of phosphoric acid titrated with sodium hydroxide, each at a strength of its own,
with activity coefficients by Davies and the same constants. PHREEQC does the first 200 of them, and its time is scaled
by 50: its solutions are independent of one another, so that its time grows in proportion. Both are timed by the clock
of the processor. That PHREEQC reads its input from text is part of its use from a program; its database is loaded
before.

One curve with its indicators ranked is timed for a titration of each kind, described by the names of its substances,
with the tables read before; the slowest kind counts.
"""

import importlib
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

from assaywright.chemistry.activity import Davies
from assaywright.chemistry.curve import titration_curve
from assaywright.chemistry.equilibrium import Acid, AcidBaseTitration, Conditions, Solution, StrongIon
from assaywright.chemistry.equilibrium.arrays import Array
from assaywright.chemistry.indicator import rank_indicators
from assaywright.chemistry.system import Portion, System, prepared

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

CURVES, POINTS, TIMED = 10_000, 200, 200
PHOSPHORIC = Acid("phosphoric acid", (2.148, 7.198, 12.375))
CONDITIONS = Conditions(25.0, Davies(salting_out_L_per_mol=0.1), 13.997)
VOLUMES = np.linspace(0.5, 80.0, POINTS)
RANKED = (
    System("acid-base", (Portion("phosphoric acid", 0.05),), 50.0, (Portion("sodium hydroxide", 0.1),)),
    System("complexometric", (Portion("Zn2+", 0.01),), 50.0, (Portion("disodium edetate dihydrate", 0.02),), pH=10.0,
           free_ligands=(("ammonia", 0.1),)),
    System("precipitation", (Portion("sodium chloride", 0.05),), 50.0, (Portion("silver nitrate", 0.1),)),
    System("redox", (Portion("Fe2+", 0.05),), 50.0, (Portion("Ce4+", 0.1),), medium="1 mol/L H2SO4"),
)
REPEATS = 20


def titration(strengths: Array) -> AcidBaseTitration:
    """Return the titration of 25 mL of phosphoric acid of these strengths [mol/L] with 0.1 mol/L sodium hydroxide."""
    return AcidBaseTitration(Solution(((PHOSPHORIC, strengths),)), 25.0, Solution(((StrongIon("Na+", 1), 0.1),)),
                             CONDITIONS)


def ranking_ms(system: System) -> float:
    """Return the processor's time for one curve of a system with its indicators ranked [ms]."""

    def once() -> None:
        ready = prepared(system)
        rank_indicators(titration_curve(ready.titration), ready.flask)

    once()
    start = time.process_time()
    for _ in range(REPEATS):
        once()
    return (time.process_time() - start) / REPEATS * 1000


def main() -> int:
    """Print each figure with its aim; return 1 when an aim is missed."""
    phreeqc: Any = importlib.import_module("tests.chemistry.equilibrium.phreeqc")
    referee = phreeqc.solver(phreeqc.database([PHOSPHORIC, StrongIon("Na+", 1)], CONDITIONS.pKw)[0])
    strengths = np.linspace(0.05, 0.15, CURVES)
    start = time.process_time()
    ours = titration(strengths[:, None]).points(VOLUMES).values
    took = time.process_time() - start
    start = time.process_time()
    theirs = np.array([phreeqc.pH_along(titration(one), VOLUMES, referee=referee) for one in strengths[:TIMED]])
    scaled = (time.process_time() - start) * CURVES / TIMED
    start = time.process_time()
    for _ in range(REPEATS):
        titration_curve(titration(np.asarray(0.1)))
    single_ms = (time.process_time() - start) / REPEATS * 1000
    ranked_ms = {system.kind: ranking_ms(system) for system in RANKED}
    print(f"largest difference in pH over {TIMED} curves: {np.max(np.abs(ours[:TIMED] - theirs)):.1e}")
    print(f"{CURVES} curves of {POINTS} points: {took:.1f} s; PHREEQC, {TIMED} timed and scaled: {scaled:.0f} s")
    print(f"one curve with its indicators ranked: {', '.join(f'{kind} {ms:.1f} ms' for kind, ms in ranked_ms.items())}")
    missed = 0
    for words, figure, sense, aim in (
        (f"{CURVES} curves, PHREEQC ({TIMED} timed and scaled) / ours", scaled / took, ">", 10.0),
        ("one curve with slopes, equivalence points and regions [ms of processor time]", single_ms, "<", 50.0),
        ("one curve with its indicators ranked, slowest kind [ms of processor]", max(ranked_ms.values()), "<", 50.0),
    ):
        met = figure < aim if sense == "<" else figure > aim
        missed += not met
        print(f"{words:80s} {figure:9.2f}   aim {sense} {aim:g}   {'met' if met else 'MISSED'}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
