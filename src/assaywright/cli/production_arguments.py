"""The arguments of the verbs ``prepare``, ``adjust`` and ``blend``."""

import argparse
from collections.abc import Callable

Whole = Callable[[str], int]


def add_prepare_arguments(verb: argparse.ArgumentParser, trials: Whole, seed: Whole) -> None:
    """Add what is made, from what, with which steps."""
    verb.add_argument("file", metavar="FILE", nargs="?", help="a preparation; or say all by options")
    verb.add_argument("--of", metavar="SUBSTANCE", nargs="+", help="what is dissolved, by name or formula")
    verb.add_argument("--to", metavar="CONTENT", help='wanted, such as "0.1 mol/L" or "20 %% w/w"')
    verb.add_argument("--volume", metavar="V", help='to be made up to, such as "1 L"')
    verb.add_argument("--mass", metavar="M", help='to be made by mass, in place of a volume, such as "500 kg"')
    verb.add_argument("--from", dest="sources", metavar="CONTENT", action="append", default=[],
                      help='of a solution it is made from, such as "37 %% w/w"; twice for two that are mixed')
    verb.add_argument("--solid", metavar="FORMULA", help="the form that is weighed, where it is a hydrate of SUBSTANCE")
    verb.add_argument("--assay", metavar="A", help='of the solid, such as "98.5 %% ± 0.5 %%, rectangular"')
    verb.add_argument("--water", metavar="W", help='in the solid, lost on drying, such as "0.4 %%"')
    verb.add_argument("--density", metavar="D", action="append", default=[],
                      help="of each solution in the order of --from; the table is asked when not given")
    verb.add_argument("--readability", metavar="R", action="append", default=[],
                      help='step of the instrument, such as "0.01 g" or "0.1 mL"; for each source in turn')
    verb.add_argument("--tolerance", metavar="T", help='of the mark, such as "0.4 mL"')
    verb.add_argument("--reaction", metavar="REACTION", help="for a content in eq/L")
    verb.add_argument("--counting", metavar="SPECIES", help="of the reaction, what is counted, such as H+ or e-")
    verb.add_argument("--temperature", metavar="T", help='at which it is made up, "20 °C" when not given')
    verb.add_argument("--greatest-temperature", metavar="T", help="that the vessel may take")
    verb.add_argument("--responsible", metavar="NAME", help="the qualified person who answers for it")
    verb.add_argument("--monte-carlo", metavar="N", type=trials, default=0, dest="monte_carlo",
                      help="simulate the same model with N trials too")
    _add_common(verb, seed)


def add_adjust_arguments(verb: argparse.ArgumentParser, trials: Whole, seed: Whole) -> None:
    """Add the file and how often to simulate."""
    verb.add_argument("file", metavar="FILE", help="an adjustment: the lot, its assay, its tank, what may be added")
    verb.add_argument("--vessels", "--shelf", dest="vessels", metavar="FILE",
                      help="the shelf that the new assay is planned with; the file's own when not given")
    verb.add_argument("--trials", metavar="N", type=trials, default=100_000,
                      help="of the simulation, 100000 when not given")
    _add_common(verb, seed)


def add_blend_arguments(verb: argparse.ArgumentParser, trials: Whole, seed: Whole) -> None:
    """Add the file and how often to simulate."""
    verb.add_argument("file", metavar="FILE", help="a blend: the lots, their stock and contents, the limits")
    verb.add_argument("--trials", metavar="N", type=trials, default=100_000,
                      help="of the simulation, 100000 when not given")
    _add_common(verb, seed)


def _add_common(verb: argparse.ArgumentParser, seed: Whole) -> None:
    verb.add_argument("--seed", metavar="S", type=seed, default=None, help="seed of the simulation, 0 when not given")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
    verb.add_argument("-o", dest="output", metavar="FILE", help="write the sheet there as PDF, to be signed by hand")
    verb.add_argument("--replace", action="store_true",
                      help="with -o: put it in the place of an earlier one of that name")
