"""What is typed is what is seen: no sign that is invisible, or that turns the text around it, goes on record.

Two numbers that look alike and are not, or a note that reads otherwise than it is stored, deceive whoever signs them.
Which signs these are follows Unicode: the general categories Cc, Cf, Cs and Co, and the letters that have no shape
(Unicode Standard, chapter 23, "Default Ignorable Code Points").
"""

import unicodedata
from collections.abc import Iterator, Mapping
from typing import Any

from assaywright.metrology.refusal import Refusal

NOTES = ("note", "notes", "comment")  # free words, pasted from letters: such signs are taken out of them, not refused
LINES = "\n\r\t"
UNSEEN_CATEGORIES = ("Cc", "Cf", "Cs", "Co")
SHAPELESS = frozenset("\u034f\u115f\u1160\u17b4\u17b5\u3164\uffa0\u2028\u2029")
VARIATION_SELECTORS = (range(0x180B, 0x1810), range(0xFE00, 0xFE10), range(0xE0100, 0xE01F0))


def is_unseen(letter: str) -> bool:
    """Return whether a character shows nothing, or changes the order of those around it; a line break is none."""
    if " " <= letter <= "~" or letter in LINES:
        return False
    return (unicodedata.category(letter) in UNSEEN_CATEGORIES or letter in SHAPELESS
            or any(ord(letter) in one for one in VARIATION_SELECTORS))


def seen(text: str) -> str:
    """Return a text without the characters that show nothing."""
    return text if text.isascii() and text.isprintable() else "".join(one for one in text if not is_unseen(one))


def cleaned(payload: Mapping[str, Any]) -> dict[str, Any]:
    """Return what somebody has typed with its notes as they are seen.

    Raises:
        Refusal: another text holds a character that shows nothing.
    """
    return {key: _cleaned(value, key) for key, value in payload.items()}


def check_seen(text: str, where: str) -> None:
    """Refuse a text that holds a character which shows nothing.

    Raises:
        Refusal: it does.
    """
    for letter in _unseen(text):
        name = unicodedata.name(letter, "a control character").lower()
        raise Refusal(f"the text holds a character that nobody sees (U+{ord(letter):04X}, {name})", where=where,
                      remedy="type it anew by hand; what is copied from elsewhere can hold such a character")


def _cleaned(value: Any, key: str) -> Any:
    if isinstance(value, str):
        if key in NOTES:
            return seen(value)
        check_seen(value, key.replace("_", " "))
        return value
    if isinstance(value, Mapping):
        for name in value:
            check_seen(str(name), key.replace("_", " "))
        return cleaned(value)
    return [_cleaned(one, key) for one in value] if isinstance(value, list | tuple) else value


def _unseen(text: str) -> Iterator[str]:
    if text.isascii() and text.isprintable():
        return iter(())
    return (letter for letter in text if is_unseen(letter))
