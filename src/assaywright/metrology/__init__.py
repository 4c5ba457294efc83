"""Numbers that know how sure they are: estimates, budgets, simulation, replicates, outliers, conformity, rounding."""
