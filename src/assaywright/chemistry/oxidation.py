"""Whether a reaction moves electrons, as far as formulas alone can tell."""

from fractions import Fraction

from assaywright.chemistry.formula import Formula
from assaywright.chemistry.reaction import Reaction, Term

HYDROGEN, OXYGEN = 1, -2


def moves_electrons(reaction: Reaction) -> bool:
    """Whether an element changes its oxidation number, or hydrogen and oxygen stand otherwise than at +1 and −2.

    Only species with a single element beside hydrogen and oxygen tell its oxidation number; where none does so on both
    sides the answer is no.

    Source: the rules of oxidation numbers, IUPAC Red Book 2005, IR-4.6.1 (common practice beyond it).

    Example:
        >>> from assaywright.chemistry.reaction import parse_reaction
        >>> moves_electrons(parse_reaction("I2 + 2 S2O3 2- -> 2 I- + S4O6 2-"))
        True
    """
    left, right = _numbers(reaction.left), _numbers(reaction.right)
    if any(symbol == "" for symbol in (*left, *right)):
        return True
    return any(left[symbol] != right[symbol] for symbol in left.keys() & right.keys())


def _numbers(side: tuple[Term, ...]) -> dict[str, frozenset[Fraction]]:
    """Return the oxidation numbers of each element on one side; no symbol for hydrogen and oxygen out of rule."""
    found: dict[str, set[Fraction]] = {}
    for term in side:
        symbol, number = _number(term.species)
        if symbol or number:
            found.setdefault(symbol, set()).add(number)
    return {symbol: frozenset(numbers) for symbol, numbers in found.items()}


def _number(species: Formula) -> tuple[str, Fraction]:
    """Return the one element beside hydrogen and oxygen with its oxidation number; zero for none that can be told."""
    others = [(symbol, count) for symbol, count in species.atoms if symbol not in ("H", "O")]
    left_over = species.charge - HYDROGEN * species.count("H") - OXYGEN * species.count("O")
    if not species.atoms or len(others) > 1:
        return "", Fraction(0)
    if not others:
        return "", Fraction(left_over)
    return others[0][0], left_over / others[0][1]
