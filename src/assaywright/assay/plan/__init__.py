"""Plan an assay before anything is weighed: the feasible ways, their predicted uncertainty, and what limits them."""
