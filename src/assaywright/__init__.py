"""Assaywright: from a burette reading to a certified value with its uncertainty and an unbroken chain to the SI."""

__version__ = "0.1.0"
