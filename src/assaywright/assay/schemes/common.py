"""What all schemes share: the titrant that counts, and the portion taken."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from assaywright.assay.terms import Scope, Term


@dataclass(frozen=True, slots=True)
class Measured:
    """One measurand of a worksheet: its value by one determination.

    Fields:
        name: in words.
        unit: of the result.
        terms: one for each determination that counts, giving its own value [unit].
        species: formula it is expressed as.
    """

    name: str
    unit: str
    terms: tuple[Term, ...]
    species: str = ""


@dataclass(frozen=True, slots=True)
class Titrant:
    """The titrant as delivered.

    Fields:
        by_mass: delivered by mass [g] and so in mol/kg; else by volume [mL] and in mol/L.
        concentration: name of the input for its concentration; empty when that is what is sought.
        equivalents: of one mole.
        blank: term for the blank [mL or g], or None.
        endpoint: name of the input for the titration error [mL or g]; empty when none is modelled.
    """

    by_mass: bool
    concentration: str
    equivalents: int
    blank: Term | None = None
    endpoint: str = ""

    @property
    def unit(self) -> str:
        """Unit in which the titrant is measured out."""
        return "g" if self.by_mass else "mL"


def net_titrant(delivered: Term, titrant: Titrant, tag: str, *, turn: Term | None = None) -> Term:
    """Return the term for the titrant that reacted with the analyte: V = V_delivered - V_blank - dV_endpoint.

    Arguments:
        turn: titration error that follows from this titration's own curve [mL]; None where there is none.

    A positive titration error is an endpoint beyond the equivalence point; it is subtracted. The sign of the blank is
    that of a direct titration, whose blank consumes titrant.

    Source: USP General Chapter <541>, blank corrections; IUPAC definition of the titration error.
    """
    if titrant.blank is None and not titrant.endpoint and turn is None:
        return delivered
    blank, endpoint = titrant.blank, titrant.endpoint

    def term(scope: Scope) -> Any:
        volume = delivered(scope)
        if blank is not None:
            volume = volume - blank(scope)
        if endpoint:
            volume = volume - scope.x[endpoint]
        if turn is not None:
            volume = volume - turn(scope)
        return scope.m.step(f"V_net{tag}", "titrant that reacted with the analyte", volume, titrant.unit)

    return term


def per_equivalents(value: Any, equivalents: int) -> Any:
    """Return a value divided by a number of equivalents, left as it is when that number is one."""
    return value / equivalents if equivalents != 1 else value


def times_equivalents(value: Any, equivalents: int) -> Any:
    """Return a value times a number of equivalents, left as it is when that number is one."""
    return value * equivalents if equivalents != 1 else value


def mean_equation(measured: Measured, repeatability: str) -> Callable[[Any, Any], Any]:
    """Return the equation of a measurand: the mean of its determinations plus the open effect of repeatability.

    y = (w_1 + ... + w_n)/n + dw

    Systematic inputs stand in every w_i under one name, so they enter once, after the mean.

    Arguments:
        repeatability: name of the input for the repeatability of the mean, estimate 0; empty when it enters elsewhere.
    """

    def equation(x: Any, m: Any) -> Any:
        scope = Scope(x, m)
        total: Any = None
        for term in measured.terms:
            value = term(scope)
            total = value if total is None else total + value
        number = len(measured.terms)
        if number > 1:
            total = m.step("w_m", f"mean of the {number} determinations", total / number, measured.unit)
        if repeatability:
            total = total + x[repeatability]
        return m.step("y", measured.name, total, measured.unit)

    return equation
