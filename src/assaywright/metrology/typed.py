"""From text as typed to a quantity: number, unit and stated uncertainty, exactly, or one sentence that says why not.

The grammar, told with examples::

    24.50 mL                                    number and unit
    0.1002 mol/L ± 0.0001 mol/L, k = 2          expanded uncertainty with its coverage factor
    0.1002 mol/L ± 0.0001, standard             standard uncertainty; the unit need not be repeated
    0 mL ± 0.02 mL, rectangular                 half width of a distribution: rectangular or triangular
    99.97 % ± 0.07 %, k = 2, 24 degrees of freedom

The decimal mark is a point unless the worksheet says that it is a comma. Thin and no-break spaces may group digits by
threes; any minus sign, either letter µ, and ``+/-`` for ± are read; 1.2e-3 and 1.2×10⁻³ are the same number.
"""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from assaywright.metrology.quantity import Quantity, StatedUncertainty
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.units import canonical, exact_conversion, kind_of, with_article

LONGEST_TEXT = 200
MOST_DIGITS = 30
GREATEST_EXPONENT = 30
MOST_KINDS_WITH_UNITS = 3
FORMS = ("standard", "rectangular", "triangular")

_MINUS = str.maketrans(dict.fromkeys("−–‐‑﹣-", "-"))
_GROUPING_SPACE = re.compile("(?<=[0-9])[\u00a0\u2007\u2009\u202f](?=[0-9]{3}(?![0-9]))")
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_PLUS_MINUS = re.compile(r"±|\+/?-")
_NUMBER = re.compile(
    r"\s*(?P<sign>[+-]?)\s*(?P<digits>[0-9.,]*[0-9][0-9.,]*)"
    r"(?:[eE](?P<e>[+-]?[0-9]+)|\s*[×x·*]\s*10(?:\^(?P<power>[+-]?[0-9]+)|(?P<raised>[⁻⁺]?[⁰¹²³⁴⁵⁶⁷⁸⁹]+)))?(?P<rest>.*)",
    re.DOTALL,
)
_BETWEEN_PARTS = re.compile(r"[,;](?![0-9])")
_FORM_IN_BRACKETS = re.compile(r"\(\s*(k\b[^()]*|standard|rectangular|triangular)\s*\)")
_COVERAGE = re.compile(r"k\s*=?\s*(.+)", re.DOTALL)
_FREEDOM = re.compile(r"(.+?)\s+degrees?\s+of\s+freedom", re.DOTALL)


@dataclass(frozen=True, slots=True)
class _Typed:
    """A number with its unit, before anything is asked of either."""

    value: Decimal
    unit: str
    has_unit: bool


def shown(text: str) -> str:
    """Return text as it may stand in a one-line sentence: cut short, without line breaks or control characters."""
    line = "".join(letter if letter.isprintable() else " " for letter in text)
    return line if len(line) <= 40 else f"{line[:39]}…"


def _plain(text: str) -> str:
    """Return the text with every dash a hyphen, groups of digits closed up and every space a plain one."""
    if len(text) > LONGEST_TEXT:
        raise Refusal(f'"{shown(text)}" is too long for a quantity', remedy='write it like "24.50 mL"')
    return " ".join(_GROUPING_SPACE.sub("", text.translate(_MINUS)).split())


def read_number(text: str, *, decimal_mark: str = ".") -> Decimal:
    """Return a bare number, exactly as typed.

    Arguments:
        text: the number, without unit.
        decimal_mark: "." or ",".

    Raises:
        Refusal: there is no number, or its meaning is doubtful.

    Example:
        >>> read_number("−0.0120")
        Decimal('-0.0120')
    """
    value, rest = _leading_number(_plain(text), decimal_mark)
    if rest:
        raise Refusal(f'"{shown(text)}" is not a number alone', remedy="write the number without anything after it")
    return value


def read_quantity(text: str, *expected: str, decimal_mark: str = ".") -> Quantity:
    """Return the quantity that a person typed.

    Arguments:
        text: as typed, see the grammar in the module's own text.
        expected: units whose kinds are welcome, the usual one first; none means any kind, and "1" a bare number.
        decimal_mark: "." or ",".

    Returns: the quantity in the unit typed, with the text kept.

    Raises:
        Refusal: no number, doubtful number, unknown unit, unit of another kind, or an uncertainty that is not above
            zero or does not say what it is.

    Example:
        >>> read_quantity("99.97 % ± 0.07 %, k = 2").uncertainty.standard_uncertainty
        0.035
    """
    pieces = _PLUS_MINUS.split(_plain(text))
    if len(pieces) > 2:
        raise Refusal(f'"{shown(text)}" has more than one ±', remedy="state one uncertainty")
    typed = _number_with_unit(pieces[0], decimal_mark)
    _check_kind(typed, expected)
    uncertainty = None
    if len(pieces) == 2:
        uncertainty = _stated(pieces[1], typed.unit, decimal_mark, "")
    return Quantity(typed.value, typed.unit, text, uncertainty)


def read_spread(text: str, *expected: str, decimal_mark: str = ".", form: str = "") -> Quantity:
    """Return an uncertainty or tolerance that stands alone, as a quantity whose value and uncertainty are that figure.

    Arguments:
        text: "0.05 mL, triangular", "0.010 mL, k = 2", "0.05 %, 24 degrees of freedom"; a leading ± is allowed.
        expected: as for :func:`read_quantity`.
        decimal_mark: "." or ",".
        form: what a figure without a form means; empty when it must say.

    Raises:
        Refusal: as for :func:`read_quantity`.

    Example:
        >>> read_spread("0.030 mL, rectangular").uncertainty.form
        'rectangular'
    """
    pieces = _PLUS_MINUS.split(_plain(text))
    if len(pieces) > 2 or (len(pieces) == 2 and pieces[0].strip()):
        raise Refusal(f'"{shown(text)}" has a value before the ±, and only the uncertainty is wanted here',
                      remedy='write it like "0.05 mL, triangular"')
    typed = _number_with_unit(_parts(pieces[-1])[0], decimal_mark)
    _check_kind(typed, expected)
    stated = _stated(pieces[-1], typed.unit, decimal_mark, form)
    return Quantity(typed.value, typed.unit, text, stated)


def _check_kind(typed: _Typed, expected: tuple[str, ...]) -> None:
    """Refuse a unit of a kind that is not expected."""
    if not expected or kind_of(typed.unit) in {kind_of(unit) for unit in expected}:
        return
    if not typed.has_unit:
        raise Refusal(f"the number {typed.value} has no unit",
                      remedy=f'write for instance "{typed.value} {expected[0]}"')
    if expected[0] == "1":
        raise Refusal(f"a number without unit is expected, and {typed.unit} is a unit of {kind_of(typed.unit)}",
                      remedy="leave the unit out")
    if len(expected) == 1:
        exact_conversion(typed.unit, expected[0])
    raise Refusal(f"{_kinds(expected)} is expected, and {typed.unit} is a unit of {kind_of(typed.unit)}",
                  remedy=f"give it in {' or '.join(expected)}")


def _kinds(expected: tuple[str, ...]) -> str:
    """Return the kinds of some units, each kind once with its units where they are few."""
    units: dict[str, list[str]] = {}
    for unit in expected:
        units.setdefault(with_article(kind_of(unit)), []).append(unit)
    if len(expected) > MOST_KINDS_WITH_UNITS:
        return " or ".join(units)
    return " or ".join(f"{kind} in {' or '.join(symbols)}" for kind, symbols in units.items())


def _number_with_unit(text: str, decimal_mark: str) -> _Typed:
    """Return the number and the unit behind it."""
    value, rest = _leading_number(text, decimal_mark)
    if _BETWEEN_PARTS.search(rest):
        raise Refusal(f'"{shown(rest)}" stands after the number without a ±',
                      remedy='write the uncertainty like "24.50 mL ± 0.02 mL, rectangular"')
    if re.match(r"[ ]?[0-9]", rest):
        raise Refusal(f'the number in "{shown(text)}" has a space in it',
                      remedy="write it without the space, or with a decimal mark")
    return _Typed(value, canonical(rest), bool(rest))


def _leading_number(text: str, decimal_mark: str) -> tuple[Decimal, str]:
    """Return the number at the start of the text and what follows it."""
    found = _NUMBER.fullmatch(text)
    if not found:
        raise Refusal(_no_number(text), remedy='give the figure as a number with its unit, like "24.50 mL"')
    exponent = found["e"] or found["power"] or (found["raised"] or "0").translate(_SUPERSCRIPTS)
    digits = _with_point(found["digits"], decimal_mark)
    if len(digits) > MOST_DIGITS or len(exponent) > 4:
        raise Refusal(f'"{shown(text)}" has more digits than any measurement gives', remedy="give the figure as read")
    value = Decimal(f"{found['sign']}{digits}e{exponent}")
    if value and abs(value.adjusted()) > GREATEST_EXPONENT:
        raise Refusal(f'"{shown(text)}" is a number that no measurement gives', remedy="give the figure as read")
    if not value and abs(int(exponent)) > GREATEST_EXPONENT:
        raise Refusal(f'"{shown(text)}" is not a usual way to write zero', remedy="write 0")
    return value, found["rest"].strip()


def _no_number(text: str) -> str:
    """Return the clause that says what stands there instead of a number."""
    if not text.strip():
        return "there is nothing where a number is wanted"
    word = text.strip().lstrip("+-").casefold()
    if word.startswith(("nan", "inf", "∞")):
        return f'"{shown(text.strip())}" is not a finite number'
    return f'"{shown(text)}" does not begin with a number'


def _with_point(digits: str, decimal_mark: str) -> str:
    """Return the digits with a decimal point, or ask which number is meant."""
    other = "," if decimal_mark == "." else "."
    names = {".": "point", ",": "comma"}
    swap = digits.replace(other, decimal_mark)
    if re.fullmatch(rf"[0-9]{{1,3}}{re.escape(other)}[0-9]{{3}}", digits):
        raise Refusal(
            f'the number "{digits}" may mean {swap} or {digits.replace(other, "")}',
            remedy=f'write the one that is meant with a decimal {names[decimal_mark]} or with none, '
                   f'or set decimal_mark = "{other}"',
        )
    if other in digits:
        remedy = (f"leave the {names[other]} out" if decimal_mark in digits or digits.count(other) > 1
                  else f'write {swap}, or set decimal_mark = "{other}" at the top of the file')
        raise Refusal(f'the number "{shown(digits)}" has a {names[other]}, and the decimal mark is a '
                      f"{names[decimal_mark]}", remedy=remedy)
    if digits.count(decimal_mark) > 1:
        raise Refusal(f'the number "{shown(digits)}" has more than one decimal {names[decimal_mark]}',
                      remedy="give the figure as read")
    if digits.startswith(decimal_mark) or digits.endswith(decimal_mark):
        raise Refusal(f'the number "{shown(digits)}" has no digit on one side of its decimal {names[decimal_mark]}',
                      remedy="write a digit on both sides, like 0.5 or 24.0")
    return digits.replace(decimal_mark, ".")


# --- the uncertainty --------------------------------------------------------------------------------------------------


def _parts(text: str) -> list[str]:
    """Return figure, form and degrees of freedom, parted at the commas that are no decimal marks."""
    return [part.strip() for part in _BETWEEN_PARTS.split(_FORM_IN_BRACKETS.sub(r", \1", text))]


def _stated(text: str, unit: str, decimal_mark: str, default_form: str) -> StatedUncertainty:
    """Return the uncertainty behind the ±, in the unit of its quantity."""
    figure, *words = _parts(text)
    typed = _number_with_unit(figure, decimal_mark)
    amount = _in_unit(typed, unit)
    if not amount > 0:
        raise Refusal(f"the uncertainty {shown(figure)} is not above zero",
                      remedy="give the uncertainty that is meant, or leave the ± out")
    form, coverage, freedom = default_form, None, float("inf")
    named = 0
    for word in words:
        if found := _FREEDOM.fullmatch(word):
            freedom = _freedom(found[1], decimal_mark)
        elif word.casefold() in (*FORMS, "standard uncertainty"):
            form, named = word.casefold().split()[0], named + 1
        elif found := _COVERAGE.fullmatch(word):
            form, coverage, named = "expanded", _above_zero(found[1], "the coverage factor", decimal_mark), named + 1
        else:
            raise Refusal(f'"{shown(word)}" does not say what the uncertainty is',
                          remedy="write k = 2, standard, rectangular or triangular")
    if named > 1:
        raise Refusal(f'"{shown(text.strip())}" says twice what the uncertainty is', remedy="leave one of them")
    if not form:
        raise Refusal(f"it is not said what ± {shown(figure)} is: expanded, a standard uncertainty or a half width",
                      remedy="add k = 2 (with its k), standard, rectangular or triangular after a comma")
    return StatedUncertainty(amount, form, coverage, freedom)


def _in_unit(typed: _Typed, unit: str) -> Decimal:
    """Return the amount in the unit of the quantity it belongs to; a difference needs no offset."""
    if not typed.has_unit or typed.unit == unit:
        return typed.value
    if kind_of(typed.unit) != kind_of(unit):
        raise Refusal(f"the uncertainty is in {typed.unit} and the value in {unit}",
                      remedy=f"state the uncertainty in {unit}")
    amount = exact_conversion(typed.unit, unit)[0] * Fraction(typed.value)
    return Decimal(amount.numerator) / Decimal(amount.denominator)


def _freedom(text: str, decimal_mark: str) -> float:
    """Return a number of degrees of freedom: one at least, since fewer tell nothing (JCGM 100:2008, G.3.2)."""
    value, rest = _leading_number(text.strip(), decimal_mark)
    if rest or value < 1:
        raise Refusal(f'the number of degrees of freedom "{shown(text)}" is not 1 or more',
                      remedy='write it like "24 degrees of freedom", or leave it out where it is not known')
    return float(value)


def _above_zero(text: str, name: str, decimal_mark: str) -> Decimal:
    """Return a number that has to be above zero."""
    value, rest = _leading_number(text.strip(), decimal_mark)
    if rest or not value > 0:
        raise Refusal(f'{name} "{shown(text)}" is not a number above zero', remedy="give it like k = 2")
    return value
