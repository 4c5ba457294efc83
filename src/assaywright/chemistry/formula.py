"""Chemical formulas: what a formula counts, its charge, and its molar mass with the uncertainty that it shares.

Written form: ``C8H5KO4``, ``Ca(OH)2``, ``Na2B4O7·10H2O`` (also ``*`` or ``.``), ``2C10H15NO·H2SO4`` (a number before a
part counts that part), ``CaSO4·0.5H2O``; subscript digits are read.

Charge: after a space, a caret or in superscript it is beyond doubt: ``SO4 2-``, ``SO4^2-``, ``SO₄²⁻``,
``[Fe(CN)6]4-``, ``HPO4(2-)``. Written straight on: ``H+``, ``OH-``, ``Fe2+`` (a single metal: the digit is the charge),
``MnO4-``, ``NH4+`` (several elements: the digit is the subscript, the charge is one). ``SO42-``, ``I3-`` and ``S2-``
can be read in two ways and are refused.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from assaywright.metrology.estimate import Estimate, combine
from assaywright.metrology.refusal import Refusal
from assaywright.reference.elements import atomic_weight, elements

LONGEST = 200
GREATEST_COUNT = 9999

_PLAIN = str.maketrans("₀₁₂₃₄₅₆₇₈₉−–—⋅•∙*․", "0123456789---·····")
_RAISED = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻", "0123456789+-")
_VULGAR = {"½": Fraction(1, 2), "¼": Fraction(1, 4), "¾": Fraction(3, 4), "⅓": Fraction(1, 3), "⅔": Fraction(2, 3)}
_CLOSING = {"(": ")", "[": "]", "{": "}"}
_SURE_CHARGE = (
    re.compile(r"(?P<raised>[⁰¹²³⁴⁵⁶⁷⁸⁹]*[⁺⁻])$"),
    re.compile(r"\s*\^\s*\(?(?P<number>\d*)(?P<sign>[+-])\)?$"),
    re.compile(r"\s*\^?(?P<sign>[+-])(?P<number>\d+)$"),
    re.compile(r"\((?P<number>\d*)(?P<sign>[+-])\)$"),
    re.compile(r"\s+(?P<number>\d*)(?P<sign>[+-])$"),
    re.compile(r"(?<=[\]}])(?P<number>\d*)(?P<sign>[+-])$"),
    re.compile(r"(?<!\d)(?P<signs>[+]+|[-]+)$"),
)
_ATTACHED_CHARGE = re.compile(r"(?P<number>\d+)(?P<sign>[+-])$")
_PART_COUNT = re.compile(r"\s*(?:(?P<over>\d+)\s*/\s*(?P<under>\d+)|(?P<number>\d+(?:\.\d+)?)|(?P<vulgar>[½¼¾⅓⅔]))\s*")


@dataclass(frozen=True, slots=True)
class Formula:
    """What a formula counts.

    Fields:
        text: the formula as written.
        atoms: pairs of element symbol and count, in the order of first appearance.
        charge: charge number.
    """

    text: str
    atoms: tuple[tuple[str, Fraction], ...]
    charge: int

    @property
    def hill(self) -> str:
        """The composition in the Hill order: carbon, hydrogen, then the rest by the alphabet."""
        first = ("C", "H") if any(symbol == "C" for symbol, _ in self.atoms) else ()
        ordered = sorted(self.atoms, key=lambda pair: (first.index(pair[0]) if pair[0] in first else 2, pair[0]))
        return "".join(f"{symbol}{count if count != 1 else ''}" for symbol, count in ordered)

    def count(self, symbol: str) -> Fraction:
        """Return how many atoms of an element the formula counts."""
        return dict(self.atoms).get(symbol, Fraction(0))

    def is_same_entity(self, other: "Formula") -> bool:
        """Whether two formulas count the same atoms and carry the same charge."""
        return dict(self.atoms) == dict(other.atoms) and self.charge == other.charge


@cache
def parse_formula(text: str) -> Formula:
    """Read a formula.

    Arguments:
        text: the formula, in one of the written forms this module lists.

    Raises:
        Refusal: an unknown element, a bracket without its fellow, a charge that can be read in two ways; the sentence
            names the character at which reading stopped.

    Example:
        >>> parse_formula("Na2B4O7·10H2O").hill
        'B4H20Na2O17'
        >>> parse_formula("SO4 2-").charge
        -2
    """
    plain = text.translate(_PLAIN).rstrip()
    if not plain.strip() or len(plain) > LONGEST:
        raise Refusal(f"a formula of {len(plain.strip())} characters", where="formula",
                      remedy=f"write one of 1 to {LONGEST} characters")
    if plain.strip() in {"e-", "e⁻"}:
        return Formula(text, (), -1)
    end, charge = _charge(text, plain)
    reader = _Reader(text, plain[:end])
    return Formula(text, tuple(reader.read().items()), charge)


def molar_mass(formula: Formula | str, edition: str = "") -> Estimate:
    """Return the molar mass of a formula, with one contribution per element.

    M = sum(n_i A_i) M_u, with M_u = 1 g/mol; atoms of one element share one atomic weight, so their contributions add.

    Arguments:
        formula: or its text.
        edition: of the atomic weights ("CIAAW 2021"); the one in force when not given.

    Returns: molar mass [g/mol]. The mass of electrons gained or lost (0.00055 g/mol each) is left out.

    Raises:
        Refusal: the formula cannot be read, counts no atoms, or an element has no standard atomic weight.

    Source: CIAAW, standard atomic weights; JCGM 100:2008, 4.3.7, for an interval read as a rectangular distribution.

    Example:
        >>> round(molar_mass("C8H5KO4", "QUAM 2012 A2").value, 4)
        204.2212
    """
    counted = parse_formula(formula) if isinstance(formula, str) else formula
    if not counted.atoms:
        raise Refusal(f"'{counted.text}' counts no atoms", where="molar mass", remedy="name a substance")
    return _molar_mass(counted.atoms, edition)


@cache
def _molar_mass(atoms: tuple[tuple[str, Fraction], ...], edition: str) -> Estimate:
    return combine("g/mol", ((float(count), atomic_weight(symbol, edition).estimate) for symbol, count in atoms))


def _charge(text: str, plain: str) -> tuple[int, int]:
    """Return where the formula ends and its charge number."""
    for pattern in _SURE_CHARGE:
        found = pattern.search(plain)
        if found:
            return found.start(), _charge_number(found.groupdict())
    found = _ATTACHED_CHARGE.search(plain)
    if not found:
        return len(plain), 0
    number, sign = found["number"], found["sign"]
    core = plain[: found.start()]
    element = elements().get(core.strip())
    if element is not None and not element.is_non_metal:
        return found.start(), _charge_number(found.groupdict())
    if element is None and len(number) == 1:
        return found.end() - 1, 1 if sign == "+" else -1
    readings = (
        (f"{core}{number}^{sign}", f"{core}^{number}{sign}") if element is not None
        else (f"{core}{number[:-1]}^{number[-1]}{sign}", f"{core}{number}^{sign}")
    )
    raise Refusal(f"the charge of '{text}' can be read in two ways at character {found.start() + 1}", where="formula",
                  remedy=f"write {readings[0]} or {readings[1]}")


def _charge_number(groups: dict[str, str]) -> int:
    if groups.get("raised"):
        raised = groups["raised"].translate(_RAISED)
        groups = {"number": raised[:-1], "sign": raised[-1]}
    if groups.get("signs"):
        groups = {"number": str(len(groups["signs"])), "sign": groups["signs"][0]}
    size = int(groups["number"] or "1")
    return size if groups["sign"] == "+" else -size


class _Reader:
    """Reads the parts of one formula from left to right."""

    def __init__(self, text: str, plain: str) -> None:
        self.text = text
        self.plain = plain
        self.at = 0

    def read(self) -> dict[str, Fraction]:
        """Return the count of each element over all parts."""
        total: dict[str, Fraction] = {}
        while True:
            _add(total, self._part().items())
            if self.at >= len(self.plain):
                return total
            if self.plain[self.at] not in "·.":
                raise self._refusal("an unexpected character")
            self.at += 1

    def _part(self) -> dict[str, Fraction]:
        factor = self._part_count()
        atoms = self._groups("")
        if not atoms:
            raise self._refusal("no element")
        while self.plain[self.at : self.at + 1].isspace():
            self.at += 1
        return {symbol: factor * count for symbol, count in atoms.items()}

    def _part_count(self) -> Fraction:
        found = _PART_COUNT.match(self.plain, self.at)
        if not found:
            while self.plain[self.at : self.at + 1].isspace():
                self.at += 1
            return Fraction(1)
        if found["vulgar"]:
            factor = _VULGAR[found["vulgar"]]
        elif found["over"]:
            factor = Fraction(int(found["over"]), int(found["under"]) or 1) if int(found["under"]) else Fraction(0)
        else:
            factor = Fraction(found["number"])
        if not 0 < factor <= GREATEST_COUNT:
            raise self._refusal("a count that cannot be")
        self.at = found.end()
        return factor

    def _groups(self, closing: str) -> dict[str, Fraction]:
        atoms: dict[str, Fraction] = {}
        while self.at < len(self.plain):
            character = self.plain[self.at]
            if character in _CLOSING:
                opened = self.at
                self.at += 1
                inner = self._groups(_CLOSING[character])
                if self.plain[self.at : self.at + 1] != _CLOSING[character] or not inner:
                    self.at = opened
                    raise self._refusal("a bracket that is empty or not closed")
                self.at += 1
                factor = self._count()
                _add(atoms, ((symbol, factor * count) for symbol, count in inner.items()))
            elif "A" <= character <= "Z":
                symbol = self._symbol()
                _add(atoms, ((symbol, self._count()),))
            else:
                break
        if closing == "" and self.plain[self.at : self.at + 1] in {")", "]", "}"}:
            raise self._refusal("a closing bracket without its opening one")
        return atoms

    def _symbol(self) -> str:
        known = elements()
        for length in (2, 1):
            symbol = self.plain[self.at : self.at + length]
            if len(symbol) == length and symbol in known:
                self.at += length
                return symbol
        raise self._refusal("no element of that symbol")

    def _count(self) -> int:
        start = self.at
        while "0" <= self.plain[self.at : self.at + 1] <= "9":
            self.at += 1
        if start == self.at:
            return 1
        count = int(self.plain[start : self.at])
        if not 0 < count <= GREATEST_COUNT:
            self.at = start
            raise self._refusal("a count that cannot be")
        return count

    def _refusal(self, what: str) -> Refusal:
        seen = f"'{self.text[self.at]}'" if self.at < len(self.plain) else "the end"
        return Refusal(f"'{self.text}' has {what} at character {self.at + 1}, {seen}", where="formula",
                       remedy="write symbols with their capitals, counts, brackets and a dot before water, "
                              "as in Na2B4O7·10H2O")


def _add(total: dict[str, Fraction], atoms: Iterable[tuple[str, int | Fraction]]) -> None:
    for symbol, count in atoms:
        total[symbol] = total.get(symbol, Fraction(0)) + count
