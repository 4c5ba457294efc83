"""How matter behaves: formulas, reactions, the density of water, air and solutions."""
