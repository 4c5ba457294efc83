"""What the plan predicts against what the simulated bench gives: uncertainty, spread and coverage.

``python -m tests.plan.study --chains 1000`` plays the full study. The bench works forward from the truth and shares no
equation with the plan.
"""

import argparse
import math
import sys
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any
from zlib import crc32

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.plan.plan import plan_assay
from assaywright.assay.plan.product import read_product
from assaywright.assay.plan.result import Option
from assaywright.assay.plan.setup import PIPETTED, PIPETTED_FLASK, WEIGHED
from assaywright.assay.plan.shelf import read_shelf
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.gum import coverage_factor
from tests.bench.chains import _acid_by_carbonate, _base_by_phthalate, _caustic, _lime, _titrant
from tests.bench.chance import Chance
from tests.bench.laboratory import Laboratory
from tests.bench.sheets import (
    Sheet,
    assay_back,
    assay_diluted,
    assay_pipetted,
    assay_two_endpoints,
    assay_weighed,
    standardise_by_solution,
)
from tests.bench.writing import worksheet_text
from tests.plan.shelves import DAY

BACK, BACK_WITH_BLANKS = "weighed portion, acid in excess", "weighed portion, acid in excess, blanks likewise"
TWO_ENDPOINTS = "pipetted portion, two endpoints"
WAYS = {PIPETTED: PIPETTED, WEIGHED: WEIGHED, PIPETTED_FLASK: PIPETTED_FLASK, BACK: WEIGHED, BACK_WITH_BLANKS: WEIGHED,
        TWO_ENDPOINTS: PIPETTED}
METHOD, BY_EXCESS, TO_TWO = "caustic-soda-by-acid", "calcium-carbonate-by-excess-acid", "caustic-soda-two-endpoints"
BLANKS = {BACK_WITH_BLANKS: 3}
FREEDOM = 30
DETERMINATIONS = 3
QUIET_CHAINS = 400


@dataclass(frozen=True)
class Chain:
    """Standardisations and an assay as played, with the product and the shelf that the plan is made from.

    Fields:
        way: a key of :data:`WAYS`.
        files: the worksheets' bytes by path.
        product, shelf: as text.
        certified: the first titrant's concentration as from a certificate, in place of its worksheet.
        truth: content [unit of the product].
    """

    way: str
    files: dict[str, bytes]
    product: str
    shelf: str
    certified: str
    truth: float

    def open(self, path: str) -> bytes:
        """Return a worksheet's bytes."""
        return self.files[path]


def played(way: str, number: int, seed: int = 1) -> Chain:
    """Play one chain: what standardises the titrant, then the assay by it."""
    scatter = scatter_of(way)
    chance = Chance((seed, crc32(way.encode()), number))
    sheets = _sheets(way, Laboratory(chance))
    pooled = {each.path: f"{chance.estimated_standard_deviation(100 * scatter[each.repeatability], FREEDOM):.4f} %, "
              f"{FREEDOM} degrees of freedom" for each in sheets}
    files = {each.path: each.text(pooled[each.path]).encode() for each in sheets}
    estimate = evaluate_worksheet(parse_worksheet(files["first.toml"], "first.toml"), files.__getitem__).result.estimate
    certified = (f'concentration = "{estimate.value:.6f} mol/L ± {estimate.standard_uncertainty:.3g} mol/L, standard"'
                 '\ncertificate = { id = "C-1" }')
    last = sheets[-1]
    return Chain(way, files, _product(last, pooled[last.path]), shelf_of_bench(last), certified, last.truths[""])


@cache
def scatter_of(way: str) -> Mapping[str, float]:
    """Return the relative standard deviation [1] of one determination, by source of scatter.

    Measured on the bench itself, all systematic errors off, at 20 °C: with 400 chains of three it is known to 2.5 %.
    """
    squares: defaultdict[str, float] = defaultdict(float)
    freedom: defaultdict[str, int] = defaultdict(int)
    for number in range(QUIET_CHAINS):
        for sheet in _sheets(way, Laboratory(Chance((number, 20), systematic=0.0), at_20=True)):
            values = sheet.textbook[""]
            mean = sum(values) / len(values)
            squares[sheet.repeatability] += sum((value / mean - 1) ** 2 for value in values)
            freedom[sheet.repeatability] += len(values) - 1
    return {source: math.sqrt(squares[source] / freedom[source]) for source in squares}


def _sheets(way: str, lab: Laboratory) -> tuple[Sheet, ...]:
    """Return the worksheets of a chain: portions as the plan would have them."""
    if way in (BACK, BACK_WITH_BLANKS):
        return _in_excess(way, lab)
    first, acid = _acid_by_carbonate(lab, 0.5, DETERMINATIONS)
    return first, _assay(way, lab, acid)


def _assay(way: str, lab: Laboratory, acid: Any) -> Sheet:
    """Assay portions that take about 80 % of a 50 mL burette, as the plan would have them."""
    if way == PIPETTED:
        sample = _caustic(lab, 0.8, thermal="half_H2SO4_0.5_NaOH_0.5")
        return assay_pipetted(lab, "assay.toml", METHOD, sample, acid, 25, DETERMINATIONS)
    if way == TWO_ENDPOINTS:
        sample = _caustic(lab, 0.6, thermal="half_H2SO4_0.5_NaOH_0.5")
        carbonate = 0.08 * (1 + lab.chance.uniform(-0.1, 0.1))
        return assay_two_endpoints(lab, "assay.toml", sample, carbonate, acid, 25, DETERMINATIONS)
    if way == WEIGHED:
        sample = _caustic(lab, 5.0, "strong NaOH")
        portion = 40 * 0.5 / sample.solution.concentration * sample.solution.liquid.density_at_20 / 1000
        return assay_weighed(lab, "assay.toml", METHOD, sample, acid, portion, DETERMINATIONS)
    sample = _caustic(lab, 7.8, "strong NaOH")
    return assay_diluted(lab, "assay.toml", METHOD, sample, acid, 25, 250, DETERMINATIONS)


def _in_excess(way: str, lab: Laboratory) -> tuple[Sheet, ...]:
    """Assay calcium carbonate by 50 mL of acid in excess of which about a third is left.

    The base is set by phthalate. The acid is set against that base, or its concentration drops out with the blanks; it
    is a little weaker then, so that they fit the burette.
    """
    first, base = _base_by_phthalate(lab, 1.0, DETERMINATIONS)
    if way == BACK:
        sought = _titrant(lab, "hydrochloric acid", "HCl", 1.0)
        second, acid = standardise_by_solution(lab, "second.toml", "hcl-against-naoh", sought, base, 25, DETERMINATIONS)
        standardised = (first, second)
    else:
        acid, standardised = _titrant(lab, "hydrochloric acid", "HCl", 0.9), (first,)
    portion = 50 * acid.solution.concentration * 2 / 3 / 2 * 100.09 / 1000
    sheet = assay_back(lab, "assay.toml", _lime(lab), base, acid, portion, 50, DETERMINATIONS,
                       blanks=BLANKS.get(way, 0))
    return *standardised, sheet


def _product(sheet: Sheet, pooled: str) -> str:
    claims = dict(sheet.tables["sample"])
    unit = sheet.report.get("unit", "% w/v")
    thermal = f'thermal = "{claims["thermal"]}"\n' if "thermal" in claims else ""
    carbonate = sheet.truths.get("sodium carbonate")
    solid = sheet.method == BY_EXCESS
    substance = ("calcium carbonate", 'state = "solid"\n') if solid else ("sodium hydroxide", "")
    return (f'format = "assaywright product 1"\nname = "{substance[0]}"\nsubstance = "{substance[0]}"\n{substance[1]}'
            f'nominal = "{sheet.truths[""]:.3g} {unit}"\ndensity = "{claims["density"]}"\n{thermal}'
            + (f'carbonate = "{carbonate:.3g} {unit}"\n' if carbonate is not None else "") +
            f'methods = ["{sheet.method}"]\n[repeatability]\npooled = "{pooled}"\n')


def shelf_of_bench(sheet: Sheet) -> str:
    """Return the shelf of the things that stood on the bench, as a worksheet's tables describe them."""
    lines = worksheet_text({}, {}, [], {}).replace("worksheet 1", "shelf 1") + 'temperature = "21.5 °C"\n'
    kinds = {"excess pipette": "pipette", "reagent": "titrant"}
    for name, claims in sheet.tables.items():
        kind = name.replace('"', "").split(".")[-1]
        kind = kinds.get(kind, kind)
        if kind in ("burette", "pipette", "flask", "balance", "thermometer", "titrant"):
            lines += worksheet_text({}, {f"[{kind}]": claims}, [], {}).partition("\n")[2]
    return lines


def planned_option(chain: Chain) -> Option:
    """Return the plan's option of the way of a chain."""
    product = read_product(chain.product.encode(), "product.toml")
    shelf = read_shelf(chain.shelf.encode(), "shelf.toml")
    plan = plan_assay(product, shelf, DAY, chain.open)
    return next(one for one in plan.options if one.setup.way == WAYS[chain.way]
                and one.setup.blanks == BLANKS.get(chain.way, 0))


def prediction(chain: Chain) -> float:
    """Return the relative expanded uncertainty that the plan predicts for the way of a chain [1]."""
    return planned_option(chain).relative_uncertainty


@dataclass
class Tally:
    """What became of the predictions of one way.

    Fields:
        ratios: predicted over evaluated expanded uncertainty, one a chain.
        errors: (value - truth) over the predicted standard uncertainty.
        covered: how many predicted intervals about the value held the truth.
    """

    ratios: list[float]
    errors: list[float]
    covered: int = 0

    @property
    def ratio(self) -> float:
        """Mean of predicted over evaluated expanded uncertainty."""
        return sum(self.ratios) / len(self.ratios)

    @property
    def spread(self) -> float:
        """Root mean square of the errors in predicted standard uncertainties: 1 for a true prediction."""
        return math.sqrt(sum(one * one for one in self.errors) / len(self.errors))

    @property
    def coverage(self) -> float:
        """Share of the predicted intervals that held the truth."""
        return self.covered / len(self.errors)


def tally(way: str, numbers: Iterable[int], seed: int = 1) -> Tally:
    """Play chains of one way, predict each before its readings are looked at, and compare."""
    found = Tally([], [])
    for number in numbers:
        chain = played(way, number, seed)
        predicted = prediction(chain)
        result = evaluate_worksheet(parse_worksheet(chain.files["assay.toml"], "assay.toml"), chain.open).result
        value = result.estimate.value
        found.ratios.append(predicted / (result.expanded_uncertainty / value))
        relative = (value - chain.truth) / chain.truth
        found.errors.append(relative / (predicted / coverage_factor(result.estimate.degrees_of_freedom)))
        found.covered += abs(relative) <= predicted
    return found


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the study and print it."""
    parser = argparse.ArgumentParser(prog="python -m tests.plan.study", description=__doc__)
    parser.add_argument("--chains", type=int, default=1000, help="chains per way and seed")
    parser.add_argument("--seeds", type=int, default=1, help="number of seeds: 1, 2, 3 ...")
    asked = parser.parse_args(arguments)
    sys.stdout.write("way | seed | chains | U predicted / U evaluated | spread / u predicted | covered, %\n")
    for way in WAYS:
        for seed in range(1, asked.seeds + 1):
            found = tally(way, range(asked.chains), seed)
            sys.stdout.write(f"{way} | {seed} | {asked.chains} | {found.ratio:.3f} | {found.spread:.3f} | "
                             f"{100 * found.coverage:.1f}\n")
            sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
