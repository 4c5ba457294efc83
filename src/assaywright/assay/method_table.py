"""One table of a method file, read key by key; what was not asked for is refused when reading is over."""

from collections.abc import Mapping
from decimal import Decimal
from types import TracebackType
from typing import Any, Self

from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

_TOML_WORDS = {bool: "true or false", dict: "a table", float: "a number", int: "a whole number", list: "a list",
               str: "a text in quotes"}


class MethodTable:
    """A table with its place in the file.

    Used as ``with MethodTable(...) as table``: at the end of the block every key must have been asked for, and one that
    was not is refused with the nearest one that was.

    Arguments:
        content: the table as TOML gives it.
        where: the file and the table's name.
    """

    def __init__(self, content: Mapping[str, Any], where: str) -> None:
        self.content = content
        self.where = where
        self._asked: list[str] = []

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, value: BaseException | None, trace: TracebackType | None
    ) -> None:
        if kind is None:
            self.refuse_unknown_keys()

    def refuse_unknown_keys(self) -> None:
        """Refuse a key that nobody asked for, naming the nearest one that is known."""
        from difflib import get_close_matches

        for key in self.content:
            if key not in self._asked:
                near = get_close_matches(key, self._asked, 1)
                raise Refusal(f"the key '{key}' is not known", where=self.where,
                              remedy=f"did you mean '{near[0]}'?" if near else f"use {', '.join(self._asked)}")

    def has(self, key: str) -> bool:
        """Whether the table holds a key; asking makes the key a known one."""
        self._asked.append(key)
        return key in self.content

    def text(self, key: str, default: str | None = None) -> str:
        """Return a text; one without a default must be there and say something."""
        value: str = self._value(key, str, default)
        if default is None and not value.strip():
            raise self.refusal(key, "is empty", "say something")
        self._check_letters(key, value)
        return value.strip("\n")

    def texts(self, key: str, *, at_least: int = 0) -> tuple[str, ...]:
        """Return a list of texts, none of them empty."""
        values: list[Any] = self._value(key, list, None if at_least else [])
        if len(values) < at_least or not all(isinstance(one, str) and one.strip() for one in values):
            raise self.refusal(key, f"is not a list of {at_least} or more texts", "list texts in quotes")
        for one in values:
            self._check_letters(key, one)
        return tuple(values)

    def choice(self, key: str, choices: tuple[str, ...], default: str | None = None) -> str:
        """Return a text that must be one of a few words."""
        from difflib import get_close_matches

        value = self.text(key, default)
        if value not in choices:
            near = get_close_matches(value, choices, 1)
            remedy = f"did you mean '{near[0]}'?" if near else f"use {', '.join(choices)}"
            raise self.refusal(key, f"is '{value}'", remedy)
        return value

    def whole(self, key: str, default: int | None = None) -> int:
        """Return a count above zero."""
        value: int = self._value(key, int, default)
        if isinstance(value, bool) or value < 1:
            raise self.refusal(key, f"is {value}", "give a whole number above zero")
        return value

    def flag(self, key: str) -> bool:
        """Return true or false."""
        value: bool = self._value(key, bool, None)
        return value

    def quantity(self, key: str, unit: str = "") -> Quantity:
        """Return a number with its unit, written as a text.

        Arguments:
            unit: that it must have; empty for any.
        """
        value = self._quantity(key, self.text(key))
        if unit and value.unit != unit:
            raise self.refusal(key, f"is in {value.unit or 'no unit'}", f"give it in {unit}")
        return value

    def quantities(self, key: str) -> tuple[Quantity, ...]:
        """Return a list of numbers with units, at least one."""
        return tuple(self._quantity(key, text) for text in self.texts(key, at_least=1))

    def figure(self, key: str, default: str | None = None) -> str:
        """Return a plain figure above zero, kept as the text it is."""
        value = self.text(key, default)
        if value and not (value.replace(".", "", 1).isdecimal() and Decimal(value) > 0):
            raise self.refusal(key, f"is '{value}'", "give a plain figure above zero, in quotes")
        return value

    def table(self, key: str) -> "MethodTable":
        """Return a table within this one."""
        return MethodTable(self._value(key, dict, None), f"{self.where}, {key}")

    def tables(self, key: str, *, at_least: int = 0) -> tuple["MethodTable", ...]:
        """Return a list of tables within this one."""
        values: list[Any] = self._value(key, list, None if at_least else [])
        if len(values) < at_least or not all(isinstance(one, dict) for one in values):
            raise self.refusal(key, f"is not a list of {at_least} or more tables", "give tables")
        return tuple(MethodTable(one, f"{self.where}, {key} {n}") for n, one in enumerate(values, start=1))

    def refusal(self, key: str, what: str, remedy: str) -> Refusal:
        """Return a refusal of what a key holds."""
        return Refusal(f"'{key}' {what}", where=self.where, remedy=remedy)

    def _value(self, key: str, wanted: type, default: Any) -> Any:
        self._asked.append(key)
        if key not in self.content:
            near = self._near(key)
            if near:
                raise Refusal(f"the key '{near}' is not known", where=self.where, remedy=f"did you mean '{key}'?")
            if default is None:
                raise Refusal(f"the key '{key}' is missing", where=self.where, remedy=f"give {_TOML_WORDS[wanted]}")
            return default
        value = self.content[key]
        if not isinstance(value, wanted):
            raise self.refusal(key, f"is not {_TOML_WORDS[wanted]}", f"give {_TOML_WORDS[wanted]}")
        return value

    def _check_letters(self, key: str, text: str) -> None:
        """Refuse a character that cannot be printed; lines and tabs may stand in a long text."""
        odd = next((letter for letter in text if not (letter.isprintable() or letter in "\n\r\t")), "")
        if odd:
            raise self.refusal(key, f"holds a character that cannot be printed (U+{ord(odd):04X})", "delete it")

    def _near(self, key: str) -> str:
        """Return a key of the table that is most likely this one misspelt; empty when there is none."""
        from difflib import get_close_matches

        near = get_close_matches(key, [one for one in self.content if one not in self._asked], 1, 0.85)
        return near[0] if near else ""

    def _quantity(self, key: str, text: str) -> Quantity:
        from assaywright.metrology.typed import read_quantity

        try:
            return read_quantity(text)
        except Refusal as refusal:
            raise refusal.at(f"{self.where}, {key}") from None
