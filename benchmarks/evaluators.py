"""Speed of the evaluators, as ratios against a named reference measured in the same run.

Run with ``python benchmarks/evaluators.py``; it prints each ratio with its aim and exits with 1 when one is missed.
References: the bare GTC arithmetic of the same model; NumPy drawing the same random inputs; GTC one result at a time.
"""

import json
import math
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from statistics import median

import GTC
import numpy as np

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.batch import BatchInput, batch_inputs, evaluate_batch
from assaywright.metrology.gum import UncertainMeans, evaluate_gum
from assaywright.metrology.model import Model
from assaywright.metrology.monte_carlo import simulate

WORKSHEET = """
format = "assaywright worksheet 1"
kind = "standardisation"
id = "ST-BENCHMARK"
method = "naoh-by-khp"
performed = 2026-10-12
analyst = "Ines Okafor"
[titrant]
name = "sodium hydroxide 0.1 mol/L"
formula = "NaOH"
nominal = "0.1 mol/L"
[standard]
name = "potassium hydrogen phthalate"
content = "99.97 % ± 0.07 %, k = 2"
certificate = { id = "RM-7", issued = 2026-01-02, traceable_to = "SI" }
basis = "dried"
dried = "2 h at 110 °C"
[vessels.burette]
kind = "burette"
id = "B-07"
nominal = "50 mL"
class = "A"
standard = "ISO 385"
[balances.balance]
id = "BAL-2"
linearity = "0.15 mg, rectangular"
certificate = { id = "C-2", issued = 2026-03-01, due = 2027-03-01 }
[thermometers.thermometer]
id = "T-1"
uncertainty = "0.3 °C, k = 2"
[[determination]]
gross = "60.9450 g"
tare = "60.1562 g"
initial = "0.00 mL"
final = "38.62 mL"
temperature = "22.0 °C"
[[determination]]
gross = "60.9512 g"
tare = "60.1562 g"
initial = "0.00 mL"
final = "38.93 mL"
temperature = "22.0 °C"
[[determination]]
gross = "60.9302 g"
tare = "60.1562 g"
initial = "0.00 mL"
final = "37.90 mL"
temperature = "22.1 °C"
"""


def nothing_to_open(path: str) -> bytes:
    """The worksheet above names no other file."""
    raise FileNotFoundError(path)


def the_model() -> Model:
    """Return the measurement model of the worksheet."""
    return evaluate_worksheet(parse_worksheet(WORKSHEET.encode(), "benchmark.toml"), nothing_to_open).models[0]


def in_turn(first: Callable[[], object], second: Callable[[], object], runs: int) -> float:
    """Return the median ratio of two durations, measured in turn so that a drifting machine disturbs both alike."""
    ratios = []
    for _ in range(runs):
        took = []
        for function in (first, second):
            start = time.perf_counter()
            function()
            took.append(time.perf_counter() - start)
        ratios.append(took[0] / took[1])
    return median(ratios)


def bare_arithmetic(model: Model) -> tuple[float, float]:
    """Evaluate the model's equation on GTC's own uncertain numbers, without keys, budget or anything else."""
    values = {
        name: GTC.ureal(given.estimate.value, given.estimate.standard_uncertainty)
        if given.estimate.contributions
        else given.estimate.value
        for name, given in model.inputs.items()
    }
    outcome = model.equation(values, UncertainMeans())
    return float(outcome.u), float(outcome.df)


def whole_evaluation() -> object:
    """Parse nothing, evaluate everything: result, budget, statistics, remarks, decision, chain."""
    return evaluate_worksheet(PARSED, nothing_to_open).budget


PARSED = parse_worksheet(WORKSHEET.encode(), "benchmark.toml")


def draw_inputs(model: Model, trials: int) -> None:
    """Draw every influence of the model so many times with NumPy's default generator, and do nothing else with it."""
    parts = {part.key: part for given in model.inputs.values() for part in given.estimate.contributions}
    generator = np.random.default_rng(1)
    for part in parts.values():
        if part.distribution == "rectangular":
            generator.uniform(-1.0, 1.0, trials)
        elif part.distribution == "triangular":
            generator.triangular(-1.0, 0.0, 1.0, trials)
        elif math.isinf(part.degrees_of_freedom):
            generator.standard_normal(trials)
        else:
            generator.standard_t(part.degrees_of_freedom, trials)


def batch_against_single(model: Model, count: int, singles: int) -> float:
    """Return how many times faster a batch of results is than as many GTC evaluations, those timed and scaled."""
    reading = next(name for name in model.inputs if name.startswith("R_f"))
    readings = np.linspace(30.0, 45.0, count)
    start = time.perf_counter()
    evaluate_batch(model.equation, batch_inputs(model) | {reading: BatchInput(readings)}, count)
    batch = time.perf_counter() - start
    start = time.perf_counter()
    for _ in range(singles):
        evaluate_gum(model)
    return (time.perf_counter() - start) / singles * count / batch


def peak_of_ten_million() -> float:
    """Return the peak memory of a simulation of 10^7 trials in a process of its own [MB]."""
    done = subprocess.run([sys.executable, __file__, "--ten-million"], capture_output=True, text=True, check=True)
    return float(json.loads(done.stdout)["peak_MB"])


def main() -> int:
    """Print each figure with its aim; return 1 when an aim is missed."""
    model = the_model()
    if "--ten-million" in sys.argv:
        simulate(model, 10_000_000, 1)
        print(json.dumps({"peak_MB": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024}))
        return 0
    figures = [
        (
            "whole evaluation with budget / bare GTC arithmetic of the same model",
            in_turn(whole_evaluation, lambda: bare_arithmetic(model), 60),
            "<",
            5.0,
        ),
        (
            "propagation with keys and sensitivities / bare GTC arithmetic",
            in_turn(lambda: evaluate_gum(model), lambda: bare_arithmetic(model), 60),
            "<",
            5.0,
        ),
        (
            "10^6 Monte Carlo trials / NumPy drawing as many inputs",
            in_turn(lambda: simulate(model, 1_000_000, 1), lambda: draw_inputs(model, 1_000_000), 7),
            "<",
            1.5,
        ),
        ("peak memory of 10^7 trials [MB]", peak_of_ten_million(), "<", 500.0),
        (
            "200 000 results, GTC one by one (500 timed and scaled) / batch",
            batch_against_single(model, 200_000, 500),
            ">",
            100.0,
        ),
    ]
    missed = 0
    for words, figure, sense, aim in figures:
        met = figure < aim if sense == "<" else figure > aim
        missed += not met
        print(f"{words:75s} {figure:9.2f}   aim {sense} {aim:g}   {'met' if met else 'MISSED'}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
