"""The command line: plain verbs, a table for people, JSON for programs."""
