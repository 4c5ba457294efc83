"""Random systems of the four kinds, many at once: each draw has one structure and as many sets of numbers as asked."""

from itertools import pairwise

import numpy as np

from assaywright.chemistry.activity import DAVIES, IDEAL, Davies
from assaywright.chemistry.equilibrium import (
    Acid,
    Conditions,
    Couple,
    HeldAcid,
    Ion,
    Medium,
    Metal,
    RedoxForm,
    Salt,
    SideReaction,
    Solution,
    StrongIon,
)

LEAST_MOL_PER_L, MOST_MOL_PER_L = 1e-8, 5.0
LOWEST_PKA, HIGHEST_PKA = -3.0, 14.0
MODELS = (IDEAL, DAVIES, Davies(salting_out_L_per_mol=0.1))


def amounts(chance, count):
    """Return concentrations spread evenly over their logarithm [mol/L]."""
    return 10.0 ** chance.uniform(np.log10(LEAST_MOL_PER_L), np.log10(MOST_MOL_PER_L), count)


def conditions(chance):
    return Conditions(float(chance.uniform(5.0, 50.0)), MODELS[chance.integers(len(MODELS))])


def acid(chance, name, count, charges=(-1, 3)):
    steps = int(chance.integers(1, 5))
    pKa = np.sort(chance.uniform(LOWEST_PKA, HIGHEST_PKA, (steps, count)), axis=0)
    return Acid(name, tuple(pKa), int(chance.integers(*charges)))


def acid_base(chance, count):
    """Return solution, conditions and, in one of four, a gas that supplies an acid."""
    acids = [(acid(chance, f"acid {k}", count), amounts(chance, count)) for k in range(chance.integers(0, 6))]
    ions = [(StrongIon(f"ion {z}", z), amounts(chance, count) * (chance.random(count) < 0.8)) for z in (1, -1, 2, -2)]
    gas = Acid("gas", (chance.uniform(3.0, 9.0, count), chance.uniform(9.0, HIGHEST_PKA, count)))
    held = HeldAcid(gas, 10.0 ** chance.uniform(-8.0, -2.0, count)) if chance.random() < 0.25 else None
    return Solution((*acids, *ions)), conditions(chance), held


def complexation(chance, count):
    """Return metals with totals, ligand with total, and medium."""
    ligand = acid(chance, "ligand", count, charges=(0, 3))
    metals = tuple((_metal(chance, f"metal {k}", count), amounts(chance, count)) for k in range(chance.integers(1, 5)))
    auxiliary = (("ammonia", 10.0 ** chance.uniform(-6.0, 0.5, count)),)
    medium = Medium(chance.uniform(0.0, 14.0, count), auxiliary, chance.uniform(0.0, 1.0, count), conditions(chance))
    return metals, (ligand, amounts(chance, count)), medium


def _metal(chance, name, count):
    sides = tuple(
        SideReaction(of, tuple(np.cumsum(chance.uniform(0.0, most, (chance.integers(1, 5), count)), axis=0)), charge)
        for of, most, charge in (("hydroxide", 6.0, -1), ("ammonia", 3.0, 0)) if chance.random() < 0.6
    )
    return Metal(name, int(chance.integers(1, 5)), chance.uniform(1.0, 30.0, count), sides,
                 chance.uniform(0.0, 6.0, count) if chance.random() < 0.3 else None,
                 chance.uniform(0.0, 6.0, count) if chance.random() < 0.3 else None)


def precipitation(chance, count):
    """Return ions with totals, salts, the common ion's name, and conditions."""
    z = int(chance.integers(1, 4))
    ions = [(Ion("common", z, chance.uniform(1e-6, 1.0, count)), amounts(chance, count)),
            (Ion("spectator", 1), amounts(chance, count))]
    salts = []
    for k in range(chance.integers(1, 5)):
        other = int(chance.integers(1, 4))
        shared = int(np.gcd(z, other))
        ions.append((Ion(f"ion {k}", -other, chance.uniform(1e-6, 1.0, count)), amounts(chance, count)))
        salts.append(Salt(f"salt {k}", f"ion {k}", chance.uniform(-1.0, 35.0, count), other // shared, z // shared,
                          float(chance.uniform(-60.0, 120.0))))
    return tuple(ions), tuple(salts), "common", conditions(chance)


def redox(chance, count):
    """Return forms with what is put in, couples, pH and temperature."""
    forms, couples = [], []
    for k in range(chance.integers(2, 5)):
        names = [f"element {k}, form {j}" for j in range(chance.integers(2, 6))]
        forms += [(RedoxForm(name), amounts(chance, count)) for name in names]
        couples += [
            Couple(oxidised, reduced, int(chance.integers(1, 7)), chance.uniform(-2.0, 2.5, count),
                   int(chance.integers(0, 15)), int(chance.integers(1, 4)), int(chance.integers(1, 4)))
            for oxidised, reduced in pairwise(names)
        ]
    return tuple(forms), tuple(couples), chance.uniform(-0.5, 14.0, count), float(chance.uniform(5.0, 50.0))
