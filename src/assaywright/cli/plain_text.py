"""Plain equivalents of the characters that an old terminal lacks: put in before a table is laid out, so that it fits.

A minus sign must never turn into a question mark, nor may a letter.
"""

import sys

TYPE_CHECKING = False  # importing it from typing would cost more than all the rest
if TYPE_CHECKING:
    from collections.abc import Callable

FALLBACK = "assaywright-plain-text"

EQUIVALENTS = {
    "−": "-", "–": "-", "—": "-", "‐": "-", "‑": "-", "×": "x", "±": "+/-", "·": ".", "⋅": ".", "•": "*", "µ": "u",
    "μ": "u", "°": "deg ", "…": "...", "’": "'", "‘": "'", "“": '"', "”": '"', "„": '"', "′": "'", "″": '"',
    "‰": "per mille", "█": "#", "▏": "|", "├": "|", "└": "`", "│": "|", "─": "-", "┌": "+", "┐": "+", "┘": "+",
    "┴": "+", "┬": "+", "┼": "+", "┤": "|", "◇": "*", "≤": "<=", "≥": ">=", "≈": "~", "≠": "!=", "∞": "inf",
    "√": "sqrt", "Δ": "Delta", "Ω": "ohm", "½": "1/2", "¼": "1/4", "¾": "3/4", "→": "->", "⇌": "<=>", "←": "<-",
    "∂": "d", "∑": "sum", "ß": "ss", "§": "section ",
    "\u2009": " ", "\u202f": " ", "\u00a0": " ", "\u2007": " ",
}
SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻ⁿ", "0123456789+-n")
SUBSCRIPTS = str.maketrans("₀₁₂₃₄₅₆₇₈₉₊₋", "0123456789+-")
SCRIPTS = ("GREEK", "LATIN", "CYRILLIC", "HEBREW", "ARMENIAN")


def plain(text: str) -> str:
    """Return text as the standard output stream can show it; as it is where the stream has every character."""
    encoding = getattr(sys.stdout, "encoding", None)
    if not encoding or text.isascii():
        return text
    if _shows(encoding, text):
        return text
    raised = all(_shows(encoding, letter) for letter in text if ord(letter) in SUPERSCRIPTS)
    return _replaced(text, lambda letter: _shows(encoding, letter) and (raised or ord(letter) not in SUPERSCRIPTS))


def equivalent(letter: str) -> str:
    """Return plain characters for one that is lacking: its own equivalent, its letter without marks, or its name."""
    import unicodedata

    if letter in EQUIVALENTS:
        return EQUIVALENTS[letter]
    simple = "".join(one for one in unicodedata.normalize("NFKD", letter.translate(SUBSCRIPTS)) if one.isascii())
    if simple.strip():
        return simple
    if unicodedata.combining(letter):
        return ""
    script, _, rest = unicodedata.name(letter, "").partition(" ")
    kind, _, name = rest.partition("LETTER ")
    if script in SCRIPTS and name:
        word = name.removeprefix("FINAL ").split()[0]
        return word.capitalize() if kind == "CAPITAL " else word.lower()
    return f"(U+{ord(letter):04X})" if letter.isalnum() else "?"


def _replaced(text: str, shows: "Callable[[str], bool]") -> str:
    """Return text with plain equivalents for what is not shown; figures raised one after another share one mark."""
    whole = ""
    raised = False
    for letter in text:
        if shows(letter):
            whole, raised = whole + letter, False
        elif ord(letter) in SUPERSCRIPTS:
            whole, raised = f"{whole}{'' if raised else '^'}{letter.translate(SUPERSCRIPTS)}", True
        else:
            whole, raised = whole + equivalent(letter), False
    return whole


def _shows(encoding: str, text: str) -> bool:
    """Whether an encoding has every character of a text."""
    try:
        text.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def say(sentence: str) -> None:
    """Print one sentence on one line of the standard error stream."""
    if sys.stderr is None:  # closed; what it would say must not stand among the results
        return
    line = "".join(letter if letter.isprintable() else "?" for letter in sentence)
    print(line.removesuffix(".") if line.endswith("?.") else line, file=sys.stderr)


def replace_by_plain_text(problem: UnicodeError) -> tuple[str, int]:
    """Return the plain equivalent of what cannot be encoded, and where to go on."""
    if not isinstance(problem, UnicodeEncodeError):
        raise problem
    lacking = problem.object[problem.start:problem.end]
    return _replaced(lacking, lambda _letter: False), problem.end
