"""What the verb ``buffer`` takes; importing it costs nothing but argparse."""

import argparse


def add_buffer_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what the verb takes: a standard buffer, a recipe, or a pH measured between two buffers."""
    verb.add_argument("name", metavar="NAME", nargs="?",
                      help="a standard buffer (phthalate, phosphate, borax ...): its pH; without anything, the list")
    verb.add_argument("--acid", metavar="SUBSTANCE", help="recipe: the acid form, or a weak acid or base")
    verb.add_argument("--base", metavar="SUBSTANCE", help="recipe: the other form, or a strong base or acid")
    verb.add_argument("--pH", dest="pH", metavar="PH", help="recipe: the pH wanted, at the temperature")
    verb.add_argument("--strength", metavar="C", help="recipe: of the buffering substance, such as \"0.05 mol/L\"")
    verb.add_argument("--ionic-strength", dest="ionic_strength", metavar="I",
                      help="recipe: reached by adding potassium chloride")
    verb.add_argument("--volume", metavar="V", default="1 L", help="recipe: how much to make, 1 L when not given")
    verb.add_argument("--between", metavar="BUFFER:READING", action="append", default=[],
                      help="measured pH: twice, such as \"phosphate: 10.0 mV\" or \"7.01 ± 0.02, k = 2: 9.2 mV\"")
    verb.add_argument("--reading", metavar="READING", help="measured pH: in the sample, such as \"-58.0 mV\"")
    verb.add_argument("--temperature", metavar="T", default="25 °C", help="25 °C when not given")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
