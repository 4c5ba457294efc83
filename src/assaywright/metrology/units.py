"""The units of the trade: each with its kind and its exact factor to the kind's base unit.

Units of different kinds are never turned into one another here. Equivalents per litre are not moles per litre (the
reaction decides), a mass fraction is not a mass concentration (the density decides), and a bare per cent is neither.

Source: factors follow from the SI prefixes and from the definitions of litre, minute, hour, day and degree Celsius
(SI Brochure, 9th edition, tables 7 and 8 and clause 2.3.1); 1 % w/v is 1 g in 100 mL (common practice, no source).
"""

import difflib
import re
from dataclasses import dataclass
from fractions import Fraction

from assaywright.metrology.refusal import Refusal


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit.

    Fields:
        symbol: as the program prints it.
        kind: what kind of quantity it measures.
        factor, offset: base value = factor × value + offset, exactly.
        spellings: other ways it is typed.
    """

    symbol: str
    kind: str
    factor: Fraction
    offset: Fraction = Fraction(0)
    spellings: tuple[str, ...] = ()


def _unit(symbol: str, kind: str, factor: str, *spellings: str, offset: str = "0") -> Unit:
    return Unit(symbol, kind, Fraction(factor), Fraction(offset), spellings)


UNITS = (
    _unit("mL", "volume", "1", "ml", "cm3"),
    _unit("L", "volume", "1000", "l", "dm3"),
    _unit("µL", "volume", "1/1000", "uL", "ul", "µl"),
    _unit("g", "mass", "1"),
    _unit("mg", "mass", "1/1000"),
    _unit("kg", "mass", "1000"),
    _unit("µg", "mass", "1/1000000", "ug"),
    _unit("K", "temperature", "1"),
    _unit("°C", "temperature", "1", "degC", "° C", "deg C", offset="273.15"),
    _unit("g/mL", "density", "1000", "g/ml", "g/cm3", "kg/L", "kg/l", "kg/dm3"),
    _unit("kg/m3", "density", "1"),
    _unit("mol/L", "amount concentration", "1", "mol/l", "mol/dm3", "M"),
    _unit("mmol/L", "amount concentration", "1/1000", "mmol/l", "mmol/dm3", "mM"),
    _unit("eq/L", "equivalent concentration", "1", "eq/l", "Eq/L", "N"),
    _unit("meq/L", "equivalent concentration", "1/1000", "meq/l", "mEq/L", "mN"),
    _unit("g/L", "mass concentration", "1", "g/l", "g/dm3"),
    _unit("mg/L", "mass concentration", "1/1000", "mg/l", "mg/dm3"),
    _unit("mg/mL", "mass concentration", "1", "mg/ml", "mg/cm3"),
    _unit("% w/v", "mass concentration", "10", "%w/v", "% (w/v)", "% m/v", "%m/v", "% (m/v)"),
    _unit("% w/w", "mass fraction", "1/100", "%w/w", "% (w/w)", "% m/m", "%m/m", "% (m/m)"),
    _unit("g/kg", "mass fraction", "1/1000"),
    _unit("mg/kg", "mass fraction", "1/1000000"),
    _unit("mol/kg", "amount content", "1"),
    _unit("mmol/kg", "amount content", "1/1000"),
    _unit("1", "ratio", "1"),
    _unit("%", "ratio", "1/100"),
    _unit("Pa", "pressure", "1"),
    _unit("hPa", "pressure", "100", "mbar"),
    _unit("kPa", "pressure", "1000"),
    _unit("/K", "expansion coefficient", "1", "1/K", "/°C", "1/°C"),
    _unit("g/mol", "molar mass", "1"),
    _unit("s", "time", "1"),
    _unit("min", "time", "60"),
    _unit("h", "time", "3600", "hour", "hours"),
    _unit("day", "time", "86400", "d", "days"),
)

_BY_SYMBOL = {unit.symbol: unit for unit in UNITS}
_BY_SPELLING = {spelling: unit for unit in UNITS for spelling in unit.spellings} | _BY_SYMBOL

_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁻⁺", "0123456789-+")
_SAME_LETTER = str.maketrans({"μ": "µ", "℃": "°C", "º": "°", "˚": "°", "−": "-", "％": "%", "∕": "/", "⁄": "/"})
_NEGATIVE_POWER = re.compile(r"[ ·⋅]?\b(mol|mL|ml|dm|cm|m|L|l|kg|K)-(1|3)$")


def canonical(text: str) -> str:
    """Return the symbol under which the program knows a unit, from any of its usual spellings.

    Arguments:
        text: the unit as typed; empty for a pure number.

    Raises:
        Refusal: no unit is written so.

    Example:
        >>> canonical("mol·L⁻¹"), canonical("N"), canonical("ml")
        ('mol/L', 'eq/L', 'mL')
    """
    plain = " ".join(text.translate(_SAME_LETTER).translate(_SUPERSCRIPTS).split())
    if not plain:
        return "1"
    slashed = _NEGATIVE_POWER.sub(lambda found: f"/{found[1]}{found[2] if found[2] != '1' else ''}", plain)
    for spelling in (plain, slashed):
        if spelling in _BY_SPELLING:
            return _BY_SPELLING[spelling].symbol
    near = difflib.get_close_matches(plain, _BY_SYMBOL, n=1, cutoff=0.5)
    remedy = f"write '{near[0]}' if that is meant" if near else "use a unit such as mL, g, mg, mol/L, eq/L, % w/v or °C"
    raise Refusal(f"the unit '{plain[:40]}' is not known", remedy=remedy)


def unit_named(symbol: str) -> Unit:
    """Return the unit of a canonical symbol.

    Raises:
        Refusal: there is no such unit.
    """
    found = _BY_SYMBOL.get(symbol)
    return found if found is not None else _BY_SYMBOL[canonical(symbol)]


def kind_of(symbol: str) -> str:
    """Return the kind of quantity that a unit measures ("volume", "mass fraction")."""
    return unit_named(symbol).kind


def units_of(kind: str) -> tuple[str, ...]:
    """Return the symbols of all units of a kind."""
    return tuple(unit.symbol for unit in UNITS if unit.kind == kind)


def with_article(kind: str) -> str:
    """Return the kind's name with its article ("a volume", "an amount concentration")."""
    return f"{'an' if kind[0] in 'aeiou' else 'a'} {kind}"


def exact_conversion(source: str, target: str) -> tuple[Fraction, Fraction]:
    """Return factor and offset between two units of one kind, exactly; see :func:`conversion`."""
    first, second = unit_named(source), unit_named(target)
    if {first.kind, second.kind} == {"amount concentration", "equivalent concentration"}:
        raise Refusal(
            f"{with_article(second.kind)} in {second.symbol} is expected, and {first.symbol} is a unit of {first.kind}",
            remedy="name the reaction, for its equivalents per mole part the one from the other",
        )
    if first.kind != second.kind:
        raise Refusal(
            f"{with_article(second.kind)} in {second.symbol} is expected, and {first.symbol} is a unit of {first.kind}",
            remedy=f"give {with_article(second.kind)}, in {' or '.join(units_of(second.kind))}",
        )
    return first.factor / second.factor, (first.offset - second.offset) / second.factor


def conversion(source: str, target: str) -> tuple[float, float]:
    """Return factor and offset that turn a number in one unit into the number in another of the same kind.

    y = factor × x + offset

    Arguments:
        source, target: canonical unit symbols.

    Returns: factor [target per source] and offset [target], which is zero but for temperatures.

    Raises:
        Refusal: the units are of different kinds; the sentence says which kind was expected.

    Example:
        >>> conversion("L", "mL")
        (1000.0, 0.0)
    """
    factor, offset = exact_conversion(source, target)
    return float(factor), float(offset)
