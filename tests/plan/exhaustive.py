"""A slow search that shares nothing with the plan but the evaluation of worksheets: it tries one after the other."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

from scipy.optimize import brentq

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
        if wanted and _relative(found, shelf, 12) > wanted:
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
                # a flask of glass weighs about 55 g at 100 mL and 90 g at 250 mL: common practice, no source
                if 0.8 * flask.nominal.to("mL") + {100: 55, 250: 90}[round(flask.nominal.to("mL"))] <= 220:
                    yield Setup(method, "weighed dilution", acid, burette, flask=flask, balance=balance, portion_g=1.0)
                for aliquot in shelf.pipettes:
                    if flask.nominal.to("mL") >= 4 * aliquot.nominal.to("mL"):
                        yield Setup(method, "weighed portion made up in a flask", acid, burette, flask=flask,
                                    aliquot=aliquot, balance=balance, portion_g=1.0)


def _value(setup: Setup, shelf: Shelf) -> float:
    return evaluate_worksheet(expected_worksheet(setup, product_of(), shelf, DAY), no_file).result.estimate.value


def _with_readings(setup: Setup, shelf: Shelf) -> Setup | None:
    """Return the setup with titre or mass found by Brent's rule; None where it is not feasible."""
    capacity = setup.burette.nominal.to("mL")
    if setup.portion_g:
        at_80 = replace(setup, titre_mL=0.8 * capacity)

        def too_light(logarithm: float) -> float:
            return math.log(_value(replace(at_80, portion_g=math.exp(logarithm)), shelf) / 20)

        mass = math.exp(brentq(too_light, math.log(1e-3), math.log(3000.0), xtol=1e-12, rtol=1e-14))
        most = setup.flask.nominal.to("mL") / 2 * 1.185 if setup.flask is not None else 200.0
        return replace(at_80, portion_g=mass) if 0.16 <= mass <= min(most, 200.0) else None
    low, high = 0.3 * capacity, capacity / 1.01

    def too_little(titre: float) -> float:
        return _value(replace(setup, titre_mL=titre), shelf) - 20

    if too_little(low) > 0 or too_little(high) < 0:
        return None
    return replace(setup, titre_mL=brentq(too_little, low, high, xtol=1e-12, rtol=1e-14))


def _counted(setup: Setup, number: int) -> Setup:
    return replace(setup, determinations=number)


def _relative(setup: Setup, shelf: Shelf, number: int) -> float:
    sheet = expected_worksheet(_counted(setup, number), product_of(), shelf, DAY)
    result = evaluate_worksheet(sheet, no_file).result
    return result.expanded_uncertainty / result.estimate.value
