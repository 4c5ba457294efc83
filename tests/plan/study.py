"""What the plan predicts against what the simulated bench gives: uncertainty, spread and coverage.

``python -m tests.plan.study --chains 1000`` plays the full study. The bench works forward from the truth and shares no
equation with the plan.
"""

import argparse
import math
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from zlib import crc32

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.plan.plan import plan_assay
from assaywright.assay.plan.product import read_product
from assaywright.assay.plan.setup import PIPETTED, PIPETTED_FLASK, WEIGHED
from assaywright.assay.plan.shelf import read_shelf
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.gum import coverage_factor
from tests.bench.chains import _acid_by_carbonate, _caustic
from tests.bench.chance import Chance
from tests.bench.laboratory import Laboratory
from tests.bench.repeatability import true_repeatability
from tests.bench.sheets import Sheet, assay_diluted, assay_pipetted, assay_weighed
from tests.bench.writing import worksheet_text
from tests.plan.shelves import DAY

SCHEMES = {PIPETTED: "direct, pipetted", WEIGHED: "direct, weighed", PIPETTED_FLASK: "diluted, then aliquots"}
METHOD = "caustic-soda-by-acid"
FREEDOM = 30
DETERMINATIONS = 3


@dataclass(frozen=True)
class Chain:
    """A standardisation and an assay as played, with the product and the shelf that the plan is made from.

    Fields:
        way: of taking the portion.
        files: the worksheets' bytes by path.
        product, shelf: as text.
        certified: the same titrant's concentration as from a certificate, in place of its worksheet.
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
    """Play one chain: hydrochloric acid 0.5 mol/L by sodium carbonate, then caustic soda by it."""
    chance = Chance((seed, crc32(way.encode()), number))
    lab = Laboratory(chance)
    first, acid = _acid_by_carbonate(lab, 0.5, DETERMINATIONS)
    sheet = _assay(way, lab, acid)
    scatter = true_repeatability(SCHEMES[way])
    pooled = {each.path: f"{chance.estimated_standard_deviation(100 * scatter[each.repeatability], FREEDOM):.4f} %, "
              f"{FREEDOM} degrees of freedom" for each in (first, sheet)}
    files = {each.path: each.text(pooled[each.path]).encode() for each in (first, sheet)}
    found = evaluate_worksheet(parse_worksheet(files["first.toml"], "first.toml"), files.__getitem__).result
    estimate = found.estimate
    certified = (f'concentration = "{estimate.value:.6f} mol/L ± {estimate.standard_uncertainty:.3g} mol/L, standard"'
                 '\ncertificate = { id = "C-1" }')
    return Chain(way, files, _product(sheet, pooled["assay.toml"]), _shelf(sheet), certified, sheet.truths[""])


def _assay(way: str, lab: Laboratory, acid: Any) -> Sheet:
    """Assay portions that take about 80 % of a 50 mL burette, as the plan would have them."""
    if way == PIPETTED:
        sample = _caustic(lab, 0.8, thermal="half_H2SO4_0.5_NaOH_0.5")
        return assay_pipetted(lab, "assay.toml", METHOD, sample, acid, 25, DETERMINATIONS)
    if way == WEIGHED:
        sample = _caustic(lab, 5.0, "strong NaOH")
        portion = 40 * 0.5 / sample.solution.concentration * sample.solution.liquid.density_at_20 / 1000
        return assay_weighed(lab, "assay.toml", METHOD, sample, acid, portion, DETERMINATIONS)
    sample = _caustic(lab, 7.8, "strong NaOH")
    return assay_diluted(lab, "assay.toml", METHOD, sample, acid, 25, 250, DETERMINATIONS)


def _product(sheet: Sheet, pooled: str) -> str:
    claims = dict(sheet.tables["sample"])
    unit = sheet.report["unit"]
    thermal = f'thermal = "{claims["thermal"]}"\n' if "thermal" in claims else ""
    return (f'format = "assaywright product 1"\nname = "caustic soda"\nsubstance = "sodium hydroxide"\n'
            f'nominal = "{sheet.truths[""]:.3g} {unit}"\ndensity = "{claims["density"]}"\n{thermal}'
            f'methods = ["{METHOD}"]\n[repeatability]\npooled = "{pooled}"\n')


def _shelf(sheet: Sheet) -> str:
    """Return the shelf of the things that stood on the bench, as a worksheet's tables describe them."""
    lines = worksheet_text({}, {}, [], {}).replace("worksheet 1", "shelf 1") + 'temperature = "21.5 °C"\n'
    for name, claims in sheet.tables.items():
        kind = name.replace('"', "").split(".")[-1]
        if kind in ("burette", "pipette", "flask", "balance", "thermometer", "titrant"):
            lines += worksheet_text({}, {f"[{kind}]": claims}, [], {}).partition("\n")[2]
    return lines


def prediction(chain: Chain) -> float:
    """Return the relative expanded uncertainty that the plan predicts for the way of a chain [1]."""
    product = read_product(chain.product.encode(), "product.toml")
    shelf = read_shelf(chain.shelf.encode(), "shelf.toml")
    plan = plan_assay(product, shelf, DAY, chain.open)
    return next(one.relative_uncertainty for one in plan.options if one.setup.way == chain.way)


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
    for way in SCHEMES:
        for seed in range(1, asked.seeds + 1):
            found = tally(way, range(asked.chains), seed)
            sys.stdout.write(f"{way} | {seed} | {asked.chains} | {found.ratio:.3f} | {found.spread:.3f} | "
                             f"{100 * found.coverage:.1f}\n")
            sys.stdout.flush()
    return 0


if __name__ == "__main__":
    sys.exit(main())
