"""How fast a plan goes through a well-stocked shelf.

Run with ``python benchmarks/plan.py``; it prints combinations and seconds, and exits with 1 when the aim is missed:
5,000 combinations in under a second, from product and shelf to ranked options.
"""

import sys
import time
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))  # the shelves of the tests

from tests.plan.shelves import BALANCE, EIGHT, acid, planned, shelf_of, vessel

AIM_S, LEAST_COMBINATIONS, RUNS = 1.0, 5000, 7
SHELF = (*(vessel("burette", one) for one in (10, 25, 50)),
         *(vessel("pipette", one) for one in (1, 2, 5, 10, 20, 25, 50, 100)), EIGHT,
         *(vessel("flask", one) for one in (50, 100, 200, 250, 500, 1000)), BALANCE,
         *(acid(one) for one in ("1", "0.5", "0.2", "0.1")))


def main() -> int:
    """Time the plan and print it."""
    shelf = shelf_of(*SHELF)
    started = time.perf_counter()
    plan = planned(shelf)
    first, seconds = time.perf_counter() - started, []
    for _ in range(RUNS):
        started = time.perf_counter()
        plan = planned(shelf)
        seconds.append(time.perf_counter() - started)
    met = plan.considered >= LEAST_COMBINATIONS and median(seconds) < AIM_S
    print(f"combinations considered {plan.considered}, feasible {plan.feasible}")
    print(f"first plan of a process, with the methods that suit read and checked: {first:.2f} s")
    print(f"a plan, median of {RUNS}: {median(seconds):.2f} s (from {min(seconds):.2f} to {max(seconds):.2f})   "
          f"aim < {AIM_S:g} s   {'met' if met else 'MISSED'}")
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
