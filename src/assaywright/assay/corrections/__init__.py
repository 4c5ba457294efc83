"""Corrections, one law a file: what turns a reading into a quantity."""
