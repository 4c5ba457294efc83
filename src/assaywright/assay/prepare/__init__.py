"""Making a solution: from a solid, a concentrate or stocks, with its uncertainty, its heat and its cautions."""
