"""Equilibrium constants brought to ionic strength 0, or from one ionic strength to another."""

import numpy as np

from assaywright.chemistry.activity import lg_gamma
from assaywright.chemistry.equilibrium.arrays import Array, Number
from assaywright.chemistry.equilibrium.components import Acid, Conditions


def thermodynamic_constants(acid: Acid, conditions: Conditions) -> tuple[Array, ...]:
    """Return the constants of an acid at ionic strength 0 and the temperature asked for, step by step.

    lg K = -pK + lg gamma(H+) + lg gamma(base) - lg gamma(acid)

    with the activity coefficients at the ionic strength at which the pK are stated; with none they are 1.

    Arguments:
        acid: with its pKa.
        conditions: temperature and model of activities.

    Returns: K of each step [1]
    """
    model, strength = conditions.activity, acid.ionic_strength_mol_per_L
    screening = model.screening(strength, conditions.temperature_degC)

    def lg(charge: int) -> Array:
        return np.asarray(lg_gamma(model, charge, screening, strength))

    charges = range(acid.charge, acid.charge - len(acid.pKa), -1)
    pKas = acid.pKa_at(conditions.temperature_degC)
    return tuple(np.asarray(10.0 ** (lg(1) + lg(z - 1) - lg(z) - pKa)) for z, pKa in zip(charges, pKas, strict=True))


def at_ionic_strength(
    lg_K: Number, squares: int, conditions: Conditions, stated_mol_per_L: Number, wanted_mol_per_L: Number
) -> Array:
    """Return lg of a concentration constant at another ionic strength.

    lg K(I) = lg K(I0) + [screening(I) - screening(I0)] sum(nu z²)

    Arguments:
        lg_K: at the stated ionic strength [1].
        squares: sum of z² over the products less that over the reactants.
        conditions: temperature and model of activities.
        stated_mol_per_L: I0 [mol/L].
        wanted_mol_per_L: I [mol/L].

    Returns: lg K at I [1]

    Valid: within the limit of the activity model.

    Source: as of the activity model.
    """
    wanted = conditions.activity.screening(wanted_mol_per_L, conditions.temperature_degC)
    stated = conditions.activity.screening(stated_mol_per_L, conditions.temperature_degC)
    return np.asarray(lg_K + (wanted - stated) * squares)
