"""A slow search that shares nothing with the plan but the evaluation of worksheets: it tries one after the other."""

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method
from assaywright.assay.plan.setup import Setup, expected_worksheet
from assaywright.assay.plan.shelf import Shelf
from tests.plan.shelves import DAY, no_file, product_of

MINUTES = {  # once, each: the table of steps added up by hand
    "pipetted portion": (6, 2 + 7), "weighed portion": (6, 3 + 7), "pipetted portion made up in a flask": (20, 2 + 7),
    "weighed portion made up in a flask": (21, 2 + 7), "weighed dilution": (26, 3 + 7),
}


@dataclass(frozen=True)
class Tried:
    """A combination with what the evaluation says of it."""

    setup: Setup
    relative: float
    minutes: float

    def key(self) -> tuple[float, ...]:
        """The rule of the ranking for an open wish: smaller uncertainty, time to 10 min, use near 80 %, titrant."""
        use = self.setup.titre_mL / self.setup.burette.nominal.to("mL")
        distance = float(f"{abs(use - 0.8):.5e}")
        return (float(f"{self.relative:.5e}"), math.ceil(self.minutes / 10), distance if distance > 1e-9 else 0.0,
                float(f"{self.setup.titre_mL * self.setup.determinations:.5e}"))

    def key_by_time(self) -> tuple[float, ...]:
        """The rule of the ranking among those that reach what is wanted."""
        first, second, *rest = self.key()
        return second, first, *rest


def tried(shelf: Shelf, wanted: float | None = None) -> Iterator[Tried]:
    """Yield every feasible combination of caustic soda by acid, evaluated one by one.

    With an uncertainty wanted, only those that reach it, each with the fewest determinations that do.
    """
    method = load_method("caustic-soda-by-acid")
    for setup in _setups(shelf, method):
        found = _with_readings(setup, shelf)
        if found is None:
            continue
        for number in range(3, 13 if wanted else 4):
            relative = _relative(found, shelf, number)
            if wanted is None or relative <= wanted:
                once, each = MINUTES[setup.way]
                yield Tried(_counted(found, number), relative, once + number * each)
                break


def _setups(shelf: Shelf, method) -> Iterator[Setup]:
    for acid, burette in product(shelf.titrants, shelf.burettes):
        for pipette in shelf.pipettes:
            yield Setup(method, "pipetted portion", acid, burette, pipette=pipette)
        for pipette, flask, aliquot in product(shelf.pipettes, shelf.flasks, shelf.pipettes):
            if pipette.nominal.to("mL") < flask.nominal.to("mL") >= 4 * aliquot.nominal.to("mL"):
                yield Setup(method, "pipetted portion made up in a flask", acid, burette, pipette, flask, aliquot)
        for balance in shelf.balances:
            yield Setup(method, "weighed portion", acid, burette, balance=balance, portion_g=1.0)
            for flask in shelf.flasks:
                if 0.8 * flask.nominal.to("mL") + 20 <= 220:
                    yield Setup(method, "weighed dilution", acid, burette, flask=flask, balance=balance, portion_g=1.0)
                for aliquot in shelf.pipettes:
                    if flask.nominal.to("mL") >= 4 * aliquot.nominal.to("mL"):
                        yield Setup(method, "weighed portion made up in a flask", acid, burette, flask=flask,
                                    aliquot=aliquot, balance=balance, portion_g=1.0)


def _value(setup: Setup, shelf: Shelf) -> float:
    return evaluate_worksheet(expected_worksheet(setup, product_of(), shelf, DAY), no_file).result.estimate.value


def _with_readings(setup: Setup, shelf: Shelf) -> Setup | None:
    """Return the setup with titre or mass found by halving; None where it is not feasible."""
    from dataclasses import replace

    capacity = setup.burette.nominal.to("mL")
    if setup.portion_g:
        low, high = 1e-3, 300.0
        for _ in range(60):
            middle = math.sqrt(low * high)
            lighter = _value(replace(setup, portion_g=middle, titre_mL=0.8 * capacity), shelf) < 20
            low, high = (low, middle) if lighter else (middle, high)
        most = setup.flask.nominal.to("mL") / 2 * 1.219 if setup.flask is not None else 200.0
        return replace(setup, portion_g=low, titre_mL=0.8 * capacity) if 0.16 <= low <= min(most, 200.0) else None
    low, high = 0.3 * capacity, capacity / 1.01
    if not _value(replace(setup, titre_mL=low), shelf) <= 20 <= _value(replace(setup, titre_mL=high), shelf):
        return None
    for _ in range(50):
        middle = (low + high) / 2
        small = _value(replace(setup, titre_mL=middle), shelf) < 20
        low, high = (middle, high) if small else (low, middle)
    return replace(setup, titre_mL=low)


def _counted(setup: Setup, number: int) -> Setup:
    from dataclasses import replace

    return replace(setup, determinations=number)


def _relative(setup: Setup, shelf: Shelf, number: int) -> float:
    sheet = expected_worksheet(_counted(setup, number), product_of(), shelf, DAY)
    result = evaluate_worksheet(sheet, no_file).result
    return result.expanded_uncertainty / result.estimate.value
