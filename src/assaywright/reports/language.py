"""A language that documents can be printed in: its words from a catalogue, its way with figures and dates."""

import gettext
import io
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files

from assaywright.assay.wording import MONTHS
from assaywright.metrology.refusal import Refusal

ENGLISH, GERMAN = "en", "de"
LANGUAGES = {ENGLISH: "English", GERMAN: "German"}
DATE = "{day} {month} {year}"

_PLACE = re.compile(r"\{(\w+)(?::([^{}?]+)(\?)?)?\}")
_DECIMAL_POINT = re.compile(r"(?<![\w.])(\d+)\.(\d+)(?![\w.])")
_WRITTEN_DATE = re.compile(rf"(\d{{1,2}}) ({'|'.join(MONTHS)}) (\d{{4}})")
_ISO_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})(?:T(.+))?")


class _NotSaidSo(Exception):
    """The text is none of a group's phrases."""


@dataclass(frozen=True, slots=True)
class Language:
    """One language.

    Fields:
        code: of ISO 639-1.
        say: a fixed text in this language; the same text where the catalogue has none.
        phrases: of each group, with places; see :mod:`assaywright.reports.certificate_phrases`.
    """

    code: str
    say: Callable[[str], str]
    phrases: Mapping[str, tuple[str, ...]] = field(repr=False)

    def figures(self, text: str) -> str:
        """Return a text with the decimal marks of its figures, and its units that hold words, in the language."""
        text = _DECIMAL_POINT.sub(rf"\1{self.say('.')}\2", text)
        for unit in self.phrases.get("unit", ()):
            text = text.replace(unit, self.say(unit))
        return text

    def day(self, text: str) -> str:
        """Return a date, written with its month as a word or as year-month-day, as the language writes it."""
        iso = _ISO_DATE.fullmatch(text)
        if iso:
            year, month, day, time = iso.groups()
            return self._date(int(day), int(month), year) + (f", {time}" if time else "")
        written = _WRITTEN_DATE.fullmatch(text)
        if written is None:
            raise _NotSaidSo(text)
        return self._date(int(written[1]), MONTHS.index(written[2]) + 1, written[3])

    def dates(self, text: str) -> str:
        """Return what somebody typed, with its dates as the language writes them and every other word as it is."""
        return _WRITTEN_DATE.sub(lambda found: self.day(found[0]), text)

    def stated(self, text: str) -> str:
        """Return a quantity as it was typed, with its uncertainty: figures, and the word for a distribution."""
        words = re.compile(rf"\b({'|'.join(self.phrases['distribution'])})\b")
        return words.sub(lambda found: self.say(found[0]), self.figures(text))

    def phrase(self, text: str, group: str) -> str:
        """Return a text put together from the phrases of a group; an empty one stays empty.

        Raises:
            Refusal: the text is none of them, so that nothing is printed half in one language and half in another.
        """
        try:
            return self._phrase(text, group) if text else ""
        except _NotSaidSo:
            raise Refusal(f"there is no {LANGUAGES[self.code]} for ‘{text}’", where="language",
                          remedy="print the document in English") from None

    def phrase_or_typed(self, text: str, group: str) -> str:
        """Return a text put together from the phrases of a group; whatever else somebody typed stays as it is."""
        try:
            return self._phrase(text, group) if text else ""
        except _NotSaidSo:
            return text

    def _phrase(self, text: str, group: str) -> str:
        for template in self.phrases[group]:
            found = _pattern(template).fullmatch(text)
            if found is None:
                continue
            try:
                parts = [(name, self._place(found[name], kind, optional))
                         for name, kind, optional in _PLACE.findall(template)]
            except _NotSaidSo:
                continue
            said = self.say(message(template))
            for name, part in parts:
                said = said.replace(f"{{{name}}}", part)
            return said
        raise _NotSaidSo(text)

    def _place(self, text: str, kind: str, optional: str) -> str:
        """Return what stands in a place of a phrase."""
        plain: dict[str, Callable[[str], str]] = {"": self.figures, "typed": str, "day": self.day,
                                                  "stated": self.stated}
        if kind in plain:
            return plain[kind](text)
        return self.phrase_or_typed(text, kind) if optional else self._phrase(text, kind)

    def _date(self, day: int, month: int, year: str) -> str:
        parts = {"{day}": str(day), "{month}": self.say(MONTHS[month - 1]), "{year}": year}
        return re.sub(r"\{\w+\}", lambda found: parts[found[0]], self.say(DATE))


def message(template: str) -> str:
    """Return a phrase as a catalogue has it: its places by name alone.

    Example:
    >>> message("{lower} to {upper}, {day:day}")
    '{lower} to {upper}, {day}'
    """
    return _PLACE.sub(r"{\1}", template)


def translations(code: str) -> gettext.GNUTranslations:
    """Return the catalogue of a language.

    Raises:
        Refusal: there is none.
    """
    if code not in LANGUAGES or code == ENGLISH:
        raise Refusal(f"documents are not printed in the language '{code}'", where="language",
                      remedy=f"choose one of {', '.join(LANGUAGES)}")
    data = (files("assaywright.reports") / "languages" / f"{code}.mo").read_bytes()
    return gettext.GNUTranslations(io.BytesIO(data))


@cache
def _pattern(template: str) -> re.Pattern[str]:
    """Return the pattern of the texts that a phrase stands for."""
    parts, at = [], 0
    for place in _PLACE.finditer(template):
        parts += [re.escape(template[at: place.start()]), f"(?P<{place[1]}>.+?)"]
        at = place.end()
    return re.compile("".join([*parts, re.escape(template[at:])]), re.DOTALL)
