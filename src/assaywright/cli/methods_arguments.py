"""The arguments of the verb ``methods``."""

import argparse


def add_methods_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what the verb takes."""
    verb.add_argument("name", metavar="NAME", nargs="?",
                      help="show this method, or your own FILE.toml: cautions, steps, figures")
    verb.add_argument("--folder", metavar="DIR", help="the laboratory's own methods, every .toml in DIR")
    verb.add_argument("--check", action="store_true",
                      help="check reactions, equivalents, endpoints; exit status 1 where an endpoint is not feasible")
    verb.add_argument("--limit", metavar="PERCENT",
                      help="with --check: how much of the titre an endpoint may miss, 0.2 when not given")
    verb.add_argument("--json", action="store_true", help="with --check: print JSON for programs in place of tables")
