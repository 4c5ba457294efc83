"""Solve random systems and count those that break a law: ``python -m tests.chemistry.equilibrium.robustness``.

A hundred thousand systems are shared out equally over acids and bases, complexes, precipitates and redox couples. A
system fails when its answer is not finite, or breaks one of its laws by more than 1e-10 (balances by the sum of their
terms, mass action and Nernst's law by the decimal logarithm or the volt).
"""

import sys
import time

import numpy as np

from tests.chemistry.equilibrium import laws, random_systems

KINDS = {
    "acid-base": (random_systems.acid_base, laws.acid_base_breach),
    "complexation": (random_systems.complexation, laws.complexation_breach),
    "precipitation": (random_systems.precipitation, laws.precipitation_breach),
    "redox": (random_systems.redox, laws.redox_breach),
}
GREATEST_BREACH = 1e-10


def breaches(kind, systems, at_once, seed):
    """Return the breach of every one of so many systems of a kind, in draws of ``at_once`` of one structure."""
    draw, breach = KINDS[kind]
    chance = np.random.default_rng([seed, list(KINDS).index(kind)])
    return np.concatenate([breach(*draw(chance, at_once)) for _ in range(systems // at_once)])


def failures(found):
    """Return how many systems break a law, or have no answer."""
    return int(np.sum(~(found <= GREATEST_BREACH)))


def main(systems=100_000, seed=20):
    failed = 0
    for kind in KINDS:
        start = time.process_time()
        found = breaches(kind, systems // len(KINDS), 50, seed)
        failed += failures(found)
        sys.stdout.write(f"{kind:14s} {found.size:7d} systems, {failures(found)} failed, worst breach "
                         f"{np.max(found):.1e}, {time.process_time() - start:.0f} s\n")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(*(int(one) for one in sys.argv[1:])))
