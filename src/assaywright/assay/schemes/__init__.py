"""The few shapes of arithmetic that all titrimetric assays share."""
