"""A table of a worksheet under the hand of its reader: each field asked for by name and kind, nothing left unread."""

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, tzinfo
from decimal import Decimal

from assaywright.assay.reading.dates import read_day, read_moment
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity, read_spread, shown
from assaywright.metrology.units import kind_of

_SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉₊₋", "0123456789+-")
PATHS = ("method", "worksheets", "worksheet", "stored")
_NAME = re.compile(r"[^\W_]+(?:[ _-][^\W_]+)*")


@dataclass(frozen=True, slots=True)
class Conventions:
    """How numbers and local times in one file are to be read."""

    decimal_mark: str = "."
    zone: tzinfo = field(default=UTC)


class Table:
    """One table, with its place for the sentences of refusal.

    Arguments:
        data: the TOML table.
        place: where it stands in the file, in words ("determination 2"); empty at the top.
        known: the fields it may have; any other is refused at once.
        conventions: of the file.
        elsewhere: fields that belong to the top of the file, for a better hint.

    Raises:
        Refusal: a field that is not known, with the nearest that is.
    """

    def __init__(
        self,
        data: Mapping[str, object],
        place: str,
        known: tuple[str, ...],
        conventions: Conventions,
        elsewhere: tuple[str, ...] = (),
    ) -> None:
        self.data = data
        self.place = place
        self.conventions = conventions
        self.elsewhere = elsewhere
        for key in data:
            if key not in known:
                raise self._unknown(key, known)

    def _unknown(self, key: str, known: tuple[str, ...]) -> Refusal:
        near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
        if key in self.elsewhere:
            remedy = "move it to the top of the file, above the first [table]"
        elif near:
            remedy = f'write "{near[0]}" if that is meant'
        else:
            remedy = f"the fields here are {', '.join(known)}"
        return Refusal(f'the field "{shown(key)}" is not known', where=self.place, remedy=remedy)

    def has(self, key: str) -> bool:
        """Whether the field is given."""
        return key in self.data

    def where(self, key: str) -> str:
        """Return the field's place, in words."""
        return f"{self.place}, {key}" if self.place else key

    def refusal(self, key: str, what: str, remedy: str) -> Refusal:
        """Return a refusal of this field."""
        return Refusal(what, where=self.where(key) if key else self.place, remedy=remedy)

    def missing(self, key: str, example: str) -> Refusal:
        """Return the refusal for a field that has to be there."""
        return self.refusal("", f'the field "{key}" is missing', f"add {key} = {example}")

    # --- words ----------------------------------------------------------------------------------------------------

    def text(self, key: str, default: str = "") -> str:
        """Return a name, an identity or a sentence, exactly as typed."""
        if key not in self.data:
            return default
        return self._text_of(self.data[key], key)

    def _text_of(self, value: object, key: str) -> str:
        if not isinstance(value, str):
            reason = ", so that leading zeros and letters stay as they are printed" if _is_number(value) else ""
            raise self.refusal(key, f"{_described(value)} stands where a text is wanted",
                               f'put it in quotation marks, like {key} = "…"{reason}')
        allowed = "\n\t" if key == "note" else ""
        if any(not (letter.isprintable() or letter in allowed) for letter in value.replace("\r\n", "\n")):
            path = ", and a path with / in place of a backslash" if key in PATHS else ""
            raise self.refusal(key, "the text holds a line break or a character that cannot be printed",
                               f"write it on one line{path}")
        return value.strip()

    def needed_text(self, key: str, example: str) -> str:
        """Return a text that has to be there and not empty."""
        if key not in self.data:
            raise self.missing(key, f'"{example}"')
        text = self.text(key)
        if not text:
            raise self.refusal(key, "the text is empty", f'write it, like {key} = "{example}"')
        return text

    def formula(self, key: str) -> str:
        """Return a formula or reaction, with subscript digits on the line."""
        return self.text(key).translate(_SUBSCRIPTS)

    def choice(self, key: str, options: tuple[str, ...], default: str) -> str:
        """Return one of a few words."""
        text = self.text(key, default)
        return text if text == default else self.choice_of(text, key, options)

    def choice_of(self, text: str, key: str, options: tuple[str, ...]) -> str:
        """Return a text that is one of a few words, of this field."""
        if text not in options:
            near = difflib.get_close_matches(text, options, n=1, cutoff=0.4)
            listed = ", ".join(f'"{option}"' for option in options)
            remedy = f'write "{near[0]}" if that is meant; ' if near else ""
            remedy += f"the choices are {listed}"
            raise self.refusal(key, f'"{shown(text)}" is not one of the choices', remedy)
        return text

    def texts(self, key: str) -> tuple[str, ...]:
        """Return a list of texts."""
        value = self.data.get(key, [])
        if not isinstance(value, list):
            raise self.refusal(key, f"{_described(value)} stands where a list is wanted", f'write {key} = ["…", "…"]')
        return tuple(self._text_of(item, key) for item in value)

    def flag(self, key: str, *, default: bool) -> bool:
        """Return true or false."""
        value = self.data.get(key, default)
        if not isinstance(value, bool):
            raise self.refusal(key, f"{_described(value)} is neither true nor false",
                               f"write {key} = true or {key} = false, without quotation marks")
        return value

    def count(self, key: str) -> int | None:
        """Return a whole number above zero, typed without quotation marks or with them."""
        if key not in self.data:
            return None
        value = self.data[key]
        if isinstance(value, str) and re.fullmatch(r"[0-9]{1,6}", value.strip()):
            value = int(value)
        if not isinstance(value, int) or isinstance(value, bool) or not 0 < value < 1_000_000:
            raise self.refusal(key, f"{_described(value)} is not a whole number above zero", f"write {key} = 30")
        return value

    # --- quantities -----------------------------------------------------------------------------------------------

    def quantity(self, key: str, *expected: str, above: str = "", least: str = "", most: str = "") -> Quantity | None:
        """Return a quantity, or None when the field is absent.

        Arguments:
            expected: units whose kinds are welcome, the usual one first.
            above, least, most: bounds in the first of them ("0"); empty means none.
        """
        if key not in self.data:
            return None
        return self.quantity_of(self.data[key], key, *expected, above=above, least=least, most=most)

    def needed_quantity(self, key: str, *expected: str, above: str = "", least: str = "", most: str = "",
                        example: str = "24.50") -> Quantity:
        """Return a quantity that has to be there."""
        found = self.quantity(key, *expected, above=above, least=least, most=most)
        if found is None:
            raise self.missing(key, f'"{example} {expected[0]}"')
        return found

    def quantity_of(self, value: object, key: str, *expected: str, above: str = "", least: str = "",
                    most: str = "") -> Quantity:
        """Return the quantity that a value of this field states."""
        text = self._quoted(value, key, *expected)
        try:
            found = read_quantity(text, *expected, decimal_mark=self.conventions.decimal_mark)
        except Refusal as refusal:
            raise refusal.at(self.where(key)) from None
        self._check_bounds(found, key, expected, above, least, most)
        return found

    def spread(self, key: str, *expected: str, form: str = "") -> Quantity | None:
        """Return an uncertainty or tolerance that stands alone."""
        if key not in self.data:
            return None
        text = self._quoted(self.data[key], key, *expected)
        try:
            return read_spread(text, *expected, decimal_mark=self.conventions.decimal_mark, form=form)
        except Refusal as refusal:
            raise refusal.at(self.where(key)) from None

    def number(self, key: str, *, above: str = "", least: str = "", most: str = "") -> Quantity | None:
        """Return a pure number, or a per cent turned into one by whoever asks."""
        return self.quantity(key, "1", above=above, least=least, most=most)

    def pairs(self, key: str, first: str, second: str) -> tuple[tuple[Quantity, Quantity], ...]:
        """Return a list of pairs of quantities."""
        value = self.data.get(key, [])
        example = f'write {key} = [["… {first}", "… {second}"], …]'
        if not isinstance(value, list) or not all(isinstance(pair, list) and len(pair) == 2 for pair in value):
            raise self.refusal(key, "that is not a list of pairs", example)
        return tuple((self.quantity_of(pair[0], key, first), self.quantity_of(pair[1], key, second)) for pair in value)

    def _quoted(self, value: object, key: str, *expected: str) -> str:
        """Return the text of a quantity; a bare number is refused with the reason."""
        if isinstance(value, str):
            return value
        unit = expected[0] if expected and expected[0] != "1" else ""
        if _is_number(value):
            figure = _described(value).removeprefix("the number ")
            example = f"{figure} {unit}".strip()
            raise self.refusal(key, f"{figure} is a bare number, and 24.5 and 24.50 say different things",
                               f'write it as read, in quotation marks, like {key} = "{example}"')
        example = f"24.50 {unit}".strip()
        raise self.refusal(key, f"{_described(value)} stands where a quantity is wanted", f'write {key} = "{example}"')

    def _check_bounds(self, found: Quantity, key: str, expected: tuple[str, ...], above: str, least: str,
                      most: str) -> None:
        """Refuse a quantity that cannot be."""
        unit = expected[0] if expected and kind_of(expected[0]) == kind_of(found.unit) else found.unit
        value = found.value if found.unit == unit else Decimal(repr(found.to(unit)))
        label = "" if unit == "1" else f" {unit}"
        beyond = ""
        if above and not value > Decimal(above):
            beyond = f"not above {above}{label}"
        elif least and value < Decimal(least):
            beyond = f"below {least}{label}"
        elif most and value > Decimal(most):
            beyond = f"above {most}{label}"
        if beyond:
            raise self.refusal(key, f"{shown(found.text)} is {beyond}, which cannot be", "give the figure as read")

    # --- days -----------------------------------------------------------------------------------------------------

    def day(self, key: str) -> date | None:
        """Return a day."""
        return self._day(key, month_allowed=False)

    def last_day(self, key: str) -> date | None:
        """Return the last day of something's life; a month alone lasts through its last day."""
        return self._day(key, month_allowed=True)

    def _day(self, key: str, *, month_allowed: bool) -> date | None:
        if key not in self.data:
            return None
        try:
            return read_day(self.data[key], month_allowed=month_allowed)
        except Refusal as refusal:
            raise refusal.at(self.where(key)) from None

    def moment(self, key: str) -> date | datetime | None:
        """Return a day, or a time with its zone."""
        if key not in self.data:
            return None
        try:
            return read_moment(self.data[key], self.conventions.zone)
        except Refusal as refusal:
            raise refusal.at(self.where(key)) from None

    # --- tables within --------------------------------------------------------------------------------------------

    def table(self, key: str, known: tuple[str, ...]) -> "Table | None":
        """Return a table within, or None when it is absent."""
        if key not in self.data:
            return None
        return self._within(self.data[key], self.where(key), key, known)

    def tables(self, key: str, known: tuple[str, ...], singular: str) -> tuple["Table", ...]:
        """Return the tables of a list, each placed by its number ("determination 2")."""
        value = self.data.get(key, [])
        if not isinstance(value, list):
            raise self.refusal("", f'"{key}" is {_described(value)} and not a list of tables',
                               f"write [[{key}]] above each")
        return tuple(self._within(item, self.where(f"{singular} {number}"), key, known)
                     for number, item in enumerate(value, start=1))

    def named_tables(self, key: str, known: tuple[str, ...], example: str) -> dict[str, "Table"]:
        """Return the tables of a table by their names; the name is a role ("excess pipette")."""
        value = self.data.get(key, {})
        if not isinstance(value, dict):
            raise self.refusal("", f'"{key}" is {_described(value)} and not a table of tables',
                               f"write [{key}.{example}] above the fields")
        found = {}
        for name, item in value.items():
            if not _NAME.fullmatch(name) or len(name) > 60:
                raise self.refusal(key, f'"{shown(name)}" is not a name for one', f"name it like [{key}.{example}]")
            if not isinstance(item, dict):
                raise self.refusal(key, f'"{name}" stands outside a named table',
                                   f"write [{key}.{example}] above the fields")
            found[name] = self._within(item, f"{key}.{name}", key, known)
        return found

    def _within(self, value: object, place: str, key: str, known: tuple[str, ...]) -> "Table":
        if not isinstance(value, dict):
            raise Refusal(f"{_described(value)} stands where a table is wanted", where=place,
                          remedy=f"write [{key}] above its fields")
        return Table(value, place, known, self.conventions, self.elsewhere)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _described(value: object) -> str:
    """Return what a value is, in words."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"the number {value}" if isinstance(value, float) or abs(value) < 10**15 else "a long number"
    if isinstance(value, str):
        return f'the text "{shown(value)}"'
    names = {"dict": "a table", "list": "a list", "date": "a date", "datetime": "a time", "time": "a time"}
    return names.get(type(value).__name__, "a value")
