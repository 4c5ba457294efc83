"""How far a solved system is from the laws it must obey, worked out from the answer alone, not by the solver's sums."""

import numpy as np

from assaywright.chemistry.activity import debye_hueckel_slope
from assaywright.chemistry.equilibrium import (
    Acid,
    lg_conditional_constant,
    solve_acid_base,
    solve_complexation,
    solve_precipitation,
    solve_redox,
)
from assaywright.chemistry.temperature import nernst_slope_V, pk_clarke_glew1966, pkw_bandura_lvov2006

UNDERFLOW = 1e-250


def lg_gammas(conditions, strength):
    """Return lg gamma of charges 0 to 6 by the equation of Davies, written out once more."""
    model = conditions.activity
    held = np.minimum(strength, model.limit_mol_per_L)
    if np.isinf(model.limit_mol_per_L):
        return [np.zeros_like(held)] * 7
    single = debye_hueckel_slope(conditions.temperature_degC) * (np.sqrt(held) / (1 + np.sqrt(held)) - 0.3 * held)
    return [model.salting_out_L_per_mol * held] + [-z * z * single for z in range(1, 7)]


def acid_base_breach(solution, conditions, held):
    """Return the largest of: charge left over by the sum of charges; breach of mass action, of water, of I."""
    state = solve_acid_base(solution, conditions, held)
    gamma = lg_gammas(conditions, state.ionic_strength_mol_per_L)
    H, OH = state.hydrogen_mol_per_L, state.hydroxide_mol_per_L
    charge, size, square = H - OH, H + OH, H + OH
    breaches = [np.abs(np.log10(H) + gamma[1] + state.pH)]
    water = np.log10(H) + np.log10(OH) + 2 * gamma[1] - np.log10(state.water_activity)
    breaches.append(np.abs(water + pkw_bandura_lvov2006(conditions.temperature_degC)))
    families = [(one, total, state.fractions[one.name]) for one, total in solution if isinstance(one, Acid)]
    if held is not None:
        own = state.fractions[held.acid.name]
        families.append((held.acid, held.activity_mol_per_L / 10.0 ** gamma[0] / own[0], own))
    for one, total, own in families:
        breaches.append(np.abs(sum(own) - 1.0))
        for lost, (here, after) in enumerate(zip(own, (*own[1:], None), strict=True)):
            z = one.charge - lost
            form = total * here
            charge, size, square = charge + z * form, size + abs(z) * form, square + z * z * form
            if after is not None:
                seen = (here > UNDERFLOW) & (after > UNDERFLOW)
                with np.errstate(divide="ignore"):
                    lg_K = np.log10(after) + gamma[abs(z - 1)] - np.log10(here) - gamma[abs(z)] - state.pH
                breaches.append(np.where(seen, np.abs(lg_K + one.pKa[lost]), 0.0))
    for one, total in solution:
        if not isinstance(one, Acid):
            charge = charge + one.charge * total
            size, square = size + abs(one.charge) * total, square + one.charge**2 * total
    breaches += [np.abs(charge) / size, np.abs(0.5 * square / state.ionic_strength_mol_per_L - 1.0)]
    return np.max(np.broadcast_arrays(*breaches), axis=0)


def complexation_breach(metals, ligand, medium):
    """Return the largest of: ligand left over by the sum of its terms, breach of a conditional constant."""
    state = solve_complexation(metals, ligand, medium)
    free = 10.0**state.lg_ligand
    taken, breaches = free, []
    for metal, total in metals:
        product = 10.0 ** lg_conditional_constant(metal, ligand[0], medium) * free
        left = state.not_chelated[metal.name]
        taken = taken + total * product / (1 + product)
        breaches.append(np.abs(left * (1 + product) / total - 1.0))
    breaches.append(np.abs(ligand[1] - taken) / (ligand[1] + taken))
    return np.max(breaches, axis=0)


def precipitation_breach(ions, salts, common, conditions):
    """Return the largest of: balance of each ion by its total, supersaturation, a solid that isn't saturated, I."""
    state = solve_precipitation(ions, salts, common, conditions)
    gamma = lg_gammas(conditions, state.ionic_strength_mol_per_L)
    named = {ion.name: (ion, total) for ion, total in ions}
    main, total = named.pop(common)
    dissolved = state.free[common] / main.free_fraction
    breaches, whole, square = [], dissolved, main.charge**2 * dissolved
    for salt in salts:
        ion, amount = named.pop(salt.counter_ion)
        solid = state.precipitated[salt.name]
        here = state.free[ion.name] / ion.free_fraction
        breaches.append(np.abs(here + salt.counter_count * solid - amount) / amount)
        pKsp = pk_clarke_glew1966(salt.pKsp, salt.enthalpy_kJ_per_mol, conditions.temperature_degC)
        lg_product = salt.common_count * (np.log10(state.free[common]) + gamma[abs(main.charge)])
        lg_product = lg_product + salt.counter_count * (np.log10(state.free[ion.name]) + gamma[abs(ion.charge)])
        over = lg_product + pKsp
        breaches.append(np.where(solid > 1e-13 * amount, np.abs(over), np.maximum(over, 0.0)))
        whole, square = whole + salt.common_count * solid, square + ion.charge**2 * here
    square = square + sum(ion.charge**2 * amount for ion, amount in named.values())
    breaches += [np.abs(total - whole) / (total + whole), np.abs(0.5 * square / state.ionic_strength_mol_per_L - 1.0)]
    return np.max(breaches, axis=0)


def redox_breach(forms, couples, pH, temperature_degC):
    """Return the largest of: electrons left over by the sum of their terms, atoms lost, breach of Nernst's law."""
    state = solve_redox(forms, couples, pH, temperature_degC)
    added = {form.name: amount for form, amount in forms}
    weights = {}
    for couple in couples:  # atoms and electrons of each form, counted along the chain
        atoms, electrons = weights.setdefault(couple.oxidised, (1.0, 0.0))
        a, b = couple.oxidised_count, couple.reduced_count
        weights[couple.reduced] = (a * atoms / b, (a * electrons + couple.electrons) / b)
    before = sum(weights[name][1] * amount for name, amount in added.items())
    after = sum(weights[name][1] * amount for name, amount in state.concentrations.items())
    breaches = [np.abs(after - before) / (after + before)]
    for chain in {name.split(",")[0] for name in weights}:
        own = [name for name in weights if name.split(",")[0] == chain]
        put_in = sum(weights[name][0] * added[name] for name in own)
        breaches.append(np.abs(sum(weights[name][0] * state.concentrations[name] for name in own) / put_in - 1.0))
    for couple in couples:
        oxidised, reduced = state.concentrations[couple.oxidised], state.concentrations[couple.reduced]
        seen = (oxidised > UNDERFLOW) & (reduced > UNDERFLOW)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = couple.oxidised_count * np.log10(oxidised) - couple.reduced_count * np.log10(reduced)
        slope = nernst_slope_V(temperature_degC) / couple.electrons
        law = couple.potential_V + slope * (ratio - couple.protons * pH)
        breaches.append(np.where(seen, np.abs(law - state.potential_V), 0.0))
    return np.max(breaches, axis=0)
