"""The working: a model's evaluation written out line by line, for a second person with a pocket calculator.

Every line is computed, in decimal, from the figures as printed on the lines above it, and its own value is carried on
as printed. So whoever keys in the printed figures gets the printed figures, to the last digit.
"""

from dataclasses import dataclass
from decimal import Context, Decimal, InvalidOperation, localcontext
from typing import Any

from assaywright.metrology.model import Model

CARRIED_DIGITS = 12
ATOM = 9  # rank of what needs no brackets: a symbol or a number
_CONTEXT = Context(prec=30)


@dataclass(frozen=True, slots=True)
class Given:
    """An input as the working lists it.

    Fields:
        symbol, label, value, unit: as printed.
        uncertainty: standard uncertainty as printed, or why there is none.
        source: where it was taken from.
    """

    symbol: str
    label: str
    value: str
    unit: str
    uncertainty: str
    source: str


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the working.

    Fields:
        symbol: what is computed.
        label: in words.
        formula: with symbols.
        figures: the same with numbers put in.
        value, unit: as printed and as carried on.
        source: clause or table of the law applied.
    """

    symbol: str
    label: str
    formula: str
    figures: str
    value: str
    unit: str
    source: str


@dataclass(frozen=True, slots=True)
class Working:
    """A whole written-out calculation: what was given, then line by line."""

    title: str
    given: tuple[Given, ...]
    lines: tuple[Line, ...]


def plain_figure(value: Decimal) -> str:
    """Return a decimal in plain notation, with a true minus sign and no superfluous zeros after the point."""
    text = format(value, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return text.replace("-", "−") if text not in ("-0", "") else "0"


def carried(value: Decimal) -> Decimal:
    """Return a value rounded to the digits that a line prints and carries on, half to even."""
    return Context(prec=CARRIED_DIGITS).plus(value)


def _figure_of(number: float) -> Decimal:
    """Return the decimal that is printed for an input: the shortest that identifies it, to the carried digits."""
    return carried(Decimal(repr(float(number))))


class Figure:
    """A number that remembers how it was come by, as symbols and as figures."""

    __slots__ = ("figures", "formula", "nil", "rank", "value")

    def __init__(self, value: Decimal, formula: str, figures: str, rank: int = ATOM, *, nil: bool = False) -> None:
        self.value = value
        self.formula = formula
        self.figures = figures
        self.rank = rank
        self.nil = nil

    @classmethod
    def of(cls, number: "Figure | float") -> "Figure":
        """Return a figure for a bare number in an equation."""
        if isinstance(number, Figure):
            return number
        value = _figure_of(number)
        text = plain_figure(value)
        return cls(value, text, text)

    def _joined(self, sign: str, other: "Figure", value: Decimal, rank: int) -> "Figure":
        right_rank = rank + (sign in "−/")
        texts = [
            f"{_bracketed(a, self.rank, rank)} {sign} {_bracketed(b, other.rank, right_rank)}"
            for a, b in ((self.formula, other.formula), (self.figures, other.figures))
        ]
        return Figure(value, texts[0], texts[1], rank)

    def __add__(self, other: Any) -> "Figure":
        right = Figure.of(other)
        if self.nil or right.nil:
            return right if self.nil else self
        return self._joined("+", right, _CONTEXT.add(self.value, right.value), 1)

    def __radd__(self, other: Any) -> "Figure":
        return Figure.of(other) + self

    def __sub__(self, other: Any) -> "Figure":
        right = Figure.of(other)
        if right.nil:
            return self
        return self._joined("−", right, _CONTEXT.subtract(self.value, right.value), 1)

    def __rsub__(self, other: Any) -> "Figure":
        return Figure.of(other) - self

    def __mul__(self, other: Any) -> "Figure":
        right = Figure.of(other)
        if self.nil or right.nil:
            return self if self.nil else right
        return self._joined("×", right, _CONTEXT.multiply(self.value, right.value), 3)

    def __rmul__(self, other: Any) -> "Figure":
        return Figure.of(other) * self

    def __truediv__(self, other: Any) -> "Figure":
        right = Figure.of(other)
        return self._joined("/", right, _CONTEXT.divide(self.value, right.value), 3)

    def __rtruediv__(self, other: Any) -> "Figure":
        return Figure.of(other) / self

    def __neg__(self) -> "Figure":
        return Figure.of(0) - self

    def __pow__(self, power: int) -> "Figure":
        value = _CONTEXT.power(self.value, Decimal(power))
        return Figure(
            value,
            f"{_bracketed(self.formula, self.rank, 6)}^{power}",
            f"{_bracketed(self.figures, self.rank, 6)}^{power}",
            5,
        )


def _bracketed(text: str, rank: int, needed: int) -> str:
    return f"({text})" if rank < needed or (needed > 1 and text.startswith("−")) else text


def _typed_figure(text: str, value: Decimal) -> str:
    """Return the number as typed, with its trailing zeros, if the text begins with just that number."""
    first = text.replace("−", "-").replace(",", ".").split(" ")[0]
    try:
        typed = Decimal(first)
    except InvalidOperation:
        return ""
    return format(typed, "f").replace("-", "−") if typed == value else ""


class WritingMeans:
    """Evaluate with figures; every step becomes a line."""

    def __init__(self) -> None:
        self.lines: list[Line] = []

    def _applied(self, name: str, argument: Any, value: Decimal) -> Figure:
        figure = Figure.of(argument)
        return Figure(value, f"{name}({figure.formula})", f"{name}({figure.figures})", ATOM - 1)

    def exp(self, value: Any) -> Figure:
        """Return e to the power of a dimensionless value."""
        return self._applied("exp", value, _CONTEXT.exp(Figure.of(value).value))

    def log10(self, value: Any) -> Figure:
        """Return the decimal logarithm of a dimensionless value."""
        return self._applied("log10", value, _CONTEXT.log10(Figure.of(value).value))

    def sqrt(self, value: Any) -> Figure:
        """Return the square root."""
        return self._applied("sqrt", value, _CONTEXT.sqrt(Figure.of(value).value))

    def second_order(self, factor: Any) -> Figure:
        """Return the factor as it is."""
        return Figure.of(factor)

    def step(self, symbol: str, label: str, value: Any, unit: str, source: str = "") -> Figure:
        """Write a line and return its value as printed; a step that changes nothing needs no line."""
        figure = Figure.of(value)
        if figure.rank == ATOM and symbol != "y":
            return figure
        printed = carried(figure.value)
        text = plain_figure(printed)
        self.lines.append(Line(symbol, label, figure.formula, figure.figures, text, unit, source))
        return Figure(printed, symbol, text)


def write_working(model: Model, title: str = "") -> Working:
    """Return the model's working.

    An input shows its number as typed, else the shortest decimal that identifies it. An open error, whose estimate is
    zero and which nobody typed, is left out of the lines: it changes no figure and stands in the budget.
    """
    means = WritingMeans()
    given: list[Given] = []
    values: dict[str, Figure] = {}
    for name, item in model.inputs.items():
        value = _figure_of(item.estimate.value)
        text = _typed_figure(item.text, value) or plain_figure(value)
        values[name] = Figure(value, item.symbol, text, nil=value == 0 and not item.text)
        if values[name].nil and not item.estimate.contributions:
            continue
        uncertainty = item.estimate.standard_uncertainty
        shown = f"{uncertainty:.2g}" if uncertainty else "exact here"
        given.append(Given(item.symbol, item.label, item.text or text, item.estimate.unit, shown, item.source))
    with localcontext(_CONTEXT):
        outcome = Figure.of(model.equation(values, means))
    if not means.lines or means.lines[-1].value != plain_figure(carried(outcome.value)):
        means.step(model.symbol, model.label, outcome, model.unit)
    return Working(title, tuple(given), tuple(means.lines))
