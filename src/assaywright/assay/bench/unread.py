"""Texts that were left in a field for a figure and are none: said at once, since no determination is made of them."""

from collections.abc import Iterator, Mapping

from assaywright.assay.asked import Asked
from assaywright.assay.bench.asking import Question
from assaywright.assay.bench.figures import fahrenheit, figure
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity, shown
from assaywright.metrology.units import kind_of, with_article


def unread(asked: Asked, left: Mapping[str, str], decimal_mark: str = ".") -> Iterator[Question]:
    """Yield what is said of fields that hold no figure, or one of another kind.

    Arguments:
        asked: what the method asks for.
        left: texts of the fields that are typed out, by their names on the page ("final", "final 2"); a field that is
            still being typed is not among them.
        decimal_mark: of texts that a worksheet holds; a point is read besides.

    Yields: named as the page names the fields
    """
    units = {one.name: one.unit for one in asked.readings if one.unit}
    for name, text in left.items():
        unit = units.get(name.split(" ")[0])
        if not unit or not text.strip() or figure(text, unit, decimal_mark) is not None or fahrenheit(text) is not None:
            continue
        yield Question(name, "no-figure", _what(text.strip(), unit, decimal_mark),
                       _remedy(text.strip(), unit, decimal_mark), impossible=True)


def _what(text: str, unit: str, decimal_mark: str) -> str:
    """Return the sentence: that it is no figure, or one of another kind than the field's."""
    try:
        kind = kind_of(read_quantity(text, decimal_mark=decimal_mark).unit)
    except Refusal:
        kind = ""
    if kind and kind != kind_of("1"):
        return f"“{shown(text)}” is {with_article(kind)}, and {with_article(kind_of(unit))} is read here."
    return f"“{shown(text)}” is no figure."


def _remedy(text: str, unit: str, decimal_mark: str) -> str:
    """Return what to type instead: the same with the other mark where that alone is amiss."""
    other = text.replace(",", ".") if decimal_mark == "." else text
    if other != text and figure(other, unit, decimal_mark) is not None:
        return f"type it with a decimal point, in {unit}"
    return f"type the figure alone; the field is in {unit}"
