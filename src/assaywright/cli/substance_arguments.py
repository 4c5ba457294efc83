"""What the verb ``substance`` takes; importing it costs nothing but argparse."""

import argparse


def add_substance_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what the verb takes."""
    verb.add_argument("substance", metavar="SUBSTANCE", nargs="+",
                      help="name (of several words too), formula or registry number; any formula gives its molar mass")
    verb.add_argument("--content", metavar="CONTENT",
                      help="hazards of a solution of it, such as \"10 %% w/w\" or \"0.1 mol/L\"; as supplied when not "
                           "given")
    verb.add_argument("--density", metavar="DENSITY", help="of the solution, such as \"1.05 g/mL\"")
    verb.add_argument("--solvent", metavar="SUBSTANCE", default="water", help="what it is dissolved in, water when not "
                                                                              "given")
    verb.add_argument("--strictest", action="store_true", help="count hazard classes that only some sources give")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
