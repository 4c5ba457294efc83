"""The elements and their standard atomic weights, by edition."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Estimate, influence, influence_key
from assaywright.metrology.refusal import Refusal
from assaywright.reference.editions import current, edition
from assaywright.reference.load import by_key, citation


@dataclass(frozen=True, slots=True)
class Element:
    """A chemical element: its symbol, its English name, its atomic number, and whether it is a non-metal."""

    symbol: str
    name: str
    atomic_number: int
    is_non_metal: bool


@dataclass(frozen=True, slots=True)
class AtomicWeight:
    """The standard atomic weight of an element, as one edition gives it.

    Fields:
        symbol: of the element.
        edition: name of the edition.
        value: the value, or the midpoint of the interval [1].
        half_width: the bracket behind the value, or half the interval [1]; a bound, not a standard uncertainty.
        as_printed: the text of the table.
        citation: who published it.
        status: "read" or "recalled".
    """

    symbol: str
    edition: str
    value: float
    half_width: float
    as_printed: str
    citation: str
    status: str

    @property
    def standard_uncertainty(self) -> float:
        """Standard uncertainty [1]: half width over the square root of 3 (JCGM 100:2008, 4.3.7)."""
        return standard_uncertainty_of_half_width(self.half_width)

    @property
    def estimate(self) -> Estimate:
        """The molar mass of the element [g/mol], under the permanent key of this atomic weight."""
        key = influence_key("atomic weight", self.symbol, self.edition, "standard atomic weight")
        return influence(key, self.value, self.standard_uncertainty, "g/mol", distribution="rectangular",
                         label=f"atomic weight of {self.symbol}")


@cache
def elements() -> Mapping[str, Element]:
    """Return all elements by symbol."""
    return MappingProxyType({
        symbol: Element(symbol, row["name"], int(row["atomic_number"]), row["kind"] == "non-metal")
        for symbol, row in by_key("elements").items()
    })


@cache
def atomic_weight(symbol: str, edition_name: str = "") -> AtomicWeight:
    """Return the standard atomic weight of an element.

    Arguments:
        symbol: of the element ("Na").
        edition_name: of the table ("CIAAW 2021"); the one in force when not given.

    Raises:
        Refusal: no such element or edition, or the edition gives no value for it.

    Source: CIAAW, table of standard atomic weights of the edition named.

    Example:
        >>> round(atomic_weight("H", "CIAAW 2021").value, 6)
        1.007975
    """
    book = edition(edition_name) if edition_name else current()
    if symbol not in elements():
        raise Refusal(f"there is no element '{symbol}'", where="atomic weights", remedy="write its symbol, such as Na")
    row = by_key(book.table).get(symbol)
    if row is None:
        raise Refusal(f"{book.name} gives no atomic weight of {elements()[symbol].name}", where="atomic weights",
                      remedy="choose another edition or give the molar mass with its source")
    return AtomicWeight(symbol, book.name, float(row["value"]), float(row["half_width"]), row["as_printed"],
                        citation(row), row["status"])
