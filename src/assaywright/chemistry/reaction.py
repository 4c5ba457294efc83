"""Chemical reactions: read from one line, checked for balance, asked for the ratio of two amounts.

Written form: ``5 C2O4 2- + 2 MnO4- + 16 H+ -> 10 CO2 + 2 Mn2+ + 8 H2O``. Species are parted by a plus sign with a space
on either side, the sides by ``->``, ``→``, ``=`` or ``⇌``; a leading number counts the whole species; a state such as
``(aq)`` is passed over. Charges are written as in :mod:`assaywright.chemistry.formula`.
"""

import re
from dataclasses import dataclass
from fractions import Fraction

from assaywright.chemistry.formula import Formula, parse_formula
from assaywright.metrology.refusal import Refusal

LONGEST = 1000

_ARROW = re.compile(r"\s*(?:<?-+>|<?=+>?|→|⇌|⟶|⇄)\s*")
_PLUS = re.compile(r"\s+\+\s+")
_COEFFICIENT = re.compile(r"\s*(?:(?P<over>\d+)/(?P<under>[1-9]\d*)|(?P<number>\d+(?:\.\d+)?)|(?P<half>½))\s*(?=\S)")
_STATE = re.compile(r"\s*\((?:aq|s|l|g)\)$")


@dataclass(frozen=True, slots=True)
class Term:
    """One species of a reaction with its coefficient."""

    coefficient: Fraction
    species: Formula


@dataclass(frozen=True, slots=True)
class Reaction:
    """A balanced reaction.

    Fields:
        text: as written.
        left, right: what is used up and what is formed.
    """

    text: str
    left: tuple[Term, ...]
    right: tuple[Term, ...]

    def coefficient(self, species: str) -> Fraction:
        """Return the coefficient of a species, on whichever side it stands.

        Raises:
            Refusal: the reaction holds no such species, or holds it on both sides.
        """
        wanted = parse_formula(species)
        found = [term.coefficient for term in self.left + self.right if term.species.is_same_entity(wanted)]
        if len(found) != 1:
            held = ", ".join(term.species.text for term in self.left + self.right)
            raise Refusal(f"the reaction holds {'no ' if not found else 'more than one '}{species}", where=self.text,
                          remedy=f"name one of {held}")
        return found[0]

    def ratio(self, of: str, to: str) -> Fraction:
        """Return the amount of one species per amount of another.

        n(of) / n(to), from the coefficients.

        Arguments:
            of, to: species, as in the reaction.

        Returns: amount ratio [mol/mol], exact.

        Example:
            >>> parse_reaction("5 C2O4 2- + 2 MnO4- + 16 H+ -> 10 CO2 + 2 Mn2+ + 8 H2O").ratio("C2O4 2-", "MnO4-")
            Fraction(5, 2)
        """
        return self.coefficient(of) / self.coefficient(to)


def parse_reaction(text: str) -> Reaction:
    """Read a reaction and check its balance.

    Raises:
        Refusal: not one arrow, a species that cannot be read, or atoms or charge that do not balance; the sentence
            names the element and the surplus.

    Example:
        >>> parse_reaction("H+ + OH- -> H2O").ratio("OH-", "H+")
        Fraction(1, 1)
    """
    sides = _ARROW.split(text.strip()) if len(text) <= LONGEST else []
    if len(sides) != 2 or not all(sides):
        raise Refusal(f"'{text[:60]}' is not two sides parted by one arrow", where="reaction",
                      remedy="write it as H+ + OH- -> H2O")
    left, right = (tuple(_term(part, text) for part in _PLUS.split(side)) for side in sides)
    reaction = Reaction(text, left, right)
    _check_balance(reaction)
    return reaction


def _term(part: str, reaction: str) -> Term:
    written = _STATE.sub("", part.strip())
    found = _COEFFICIENT.match(written)
    coefficient = Fraction(1)
    if found:
        coefficient = Fraction(1, 2) if found["half"] else Fraction(found[0].strip())
        written = written[found.end() :]
    if coefficient <= 0:
        raise Refusal(f"the coefficient of {written} is {coefficient}", where=reaction, remedy="give one above zero")
    try:
        return Term(coefficient, parse_formula(written))
    except Refusal as refusal:
        raise refusal.at(reaction) from None


def _check_balance(reaction: Reaction) -> None:
    surplus: dict[str, Fraction] = {}
    for sign, side in ((1, reaction.left), (-1, reaction.right)):
        for term in side:
            for symbol, count in (*term.species.atoms, ("charge", Fraction(term.species.charge))):
                surplus[symbol] = surplus.get(symbol, Fraction(0)) + sign * term.coefficient * count
    unbalanced = {symbol: amount for symbol, amount in surplus.items() if amount}
    if unbalanced:
        told = ", ".join(_told(symbol, amount) for symbol, amount in unbalanced.items())
        raise Refusal(f"the reaction does not balance in {told}", where=reaction.text, remedy="mend its coefficients")


def _told(symbol: str, surplus: Fraction) -> str:
    if symbol == "charge":
        return f"charge ({abs(surplus)} more {'positive' if surplus > 0 else 'negative'} on the left)"
    return f"{symbol} ({abs(surplus)} more on the {'left' if surplus > 0 else 'right'})"
