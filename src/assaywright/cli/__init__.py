"""The command line: plain verbs, a table for people, JSON for programs."""

from assaywright.cli.entry import main

__all__ = ["main"]
