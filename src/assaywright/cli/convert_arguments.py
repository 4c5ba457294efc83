"""What the verb ``convert`` takes; importing it costs nothing but argparse."""

import argparse


def add_convert_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what the verb takes."""
    verb.add_argument("content", metavar="CONTENT",
                      help="the content with its unit, such as \"20 %% w/v\" or \"0.1002 mol/L ± 0.0002 mol/L, k = 2\"")
    verb.add_argument("--of", required=True, metavar="SUBSTANCE", help="name or formula of what is dissolved")
    verb.add_argument("--to", metavar="UNIT", help="the unit wanted; a table of all units when not given")
    verb.add_argument("--as", dest="expressed", metavar="SPECIES", help="express the result as this species (Na2O)")
    verb.add_argument("--given-as", dest="given_as", metavar="SPECIES",
                      help="the species that CONTENT is expressed as; SUBSTANCE itself when not given")
    verb.add_argument("--density", metavar="DENSITY", help="measured on the solution, such as \"1.219 g/mL\"")
    verb.add_argument("--reaction", metavar="REACTION",
                      help="for eq/L (N), for species and for --titrates; such as \"OH- + H+ -> H2O\"")
    verb.add_argument("--counting", metavar="SPECIES", default="",
                      help="the species in REACTION of which one is one equivalent")
    verb.add_argument("--temperature", metavar="T", default="20 °C",
                      help="at which contents by volume hold, 20 °C when not given")
    verb.add_argument("--to-temperature", dest="to_temperature", metavar="T",
                      help="at which the result by volume is to hold; T of --temperature when not given")
    verb.add_argument("--nominal", metavar="CONTENT", help="print the factor against this nominal content")
    verb.add_argument("--titrates", metavar="SUBSTANCE", help="print what each mL answers for, by REACTION")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
