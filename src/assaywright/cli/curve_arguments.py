"""What the verb ``curve`` takes; importing it costs nothing but argparse."""

import argparse


def add_curve_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what the verb takes."""
    verb.add_argument("titration", metavar="METHOD",
                      help="name of a method (assaywright methods lists them), your own method's FILE.toml, or a "
                           "SYSTEM.toml as docs/curve.md describes it")
    verb.add_argument("-o", dest="output", metavar="FILE", help="draw the curve there, as .svg or .png")
    verb.add_argument("--replace", action="store_true",
                      help="with -o: put it in the place of an earlier one of that name")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
    verb.add_argument("--indicators", action="store_true",
                      help="print every indicator, also those whose error is large or cannot be computed")
    verb.add_argument("--indicator", metavar="NAME",
                      help="draw and explain this one; the method's own or the best when not given")
    verb.add_argument("--against", metavar="METHOD",
                      help="standardisation of the titrant, METHOD or SYSTEM.toml: tells how much of the error cancels")
    verb.add_argument("--nominal", metavar="CONCENTRATION", help="of the titrant of a METHOD, such as \"0.1 mol/L\"")
    verb.add_argument("--limit", metavar="PERCENT", default="0.2",
                      help="titration error that is good enough, in %% of the equivalence volume; 0.2 when not given")
