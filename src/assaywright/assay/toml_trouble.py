"""Why a text is not TOML, in the words of the bench, with the remedy that fits what stands in the line."""

import re
from collections.abc import Callable

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown

Told = tuple[str, str]

QUOTE_IT = 'put quotation marks round quantities, names and identities, like final = "24.50 mL"'
CLOSE_IT = 'end the text with a quotation mark on the same line, like final = "24.50 mL"'

_PLACE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)")
_FIELD = re.compile(r"(?P<key>[\w-]+)\s*=\s*(?P<value>.*)")
_CHARACTER = re.compile(r"(?:illegal|invalid) character '(?P<letter>.*)'", re.IGNORECASE)
_CURLY = re.compile("[“”„‟«»‘’‚]")
_DAY = re.compile(r"[0-9]{1,2}[./-][0-9]{1,2}[./-][0-9]{2,4}")
_OPEN_LITERAL = re.compile(r"=\s*'[^']*$")


def not_toml(message: str, text: str, path: str) -> Refusal:
    """Return the refusal for text that is not TOML; it names the line, what is wrong with it, and what to do.

    Arguments:
        message: what the reader of TOML says, with its place.
        text: the whole text.
        path: the file, for the sentence.
    """
    found = _PLACE.search(message)
    what = _PLACE.sub("", message)
    number = _line_number(found[1] if found else None, what, text)
    if number is None:
        line, where = "", "at its end"
    else:
        line = text.splitlines()[number - 1].strip()
        where = f"at line {number} ({shown(line)})"
    told, remedy = _told(what, line)
    return Refusal(f"the file is not TOML {where}: {told}", where=path, remedy=remedy)


def _line_number(stated: str | None, what: str, text: str) -> int | None:
    """Return the line that is wrong; a text in single quotation marks that is never closed is looked for."""
    lines = text.splitlines()
    if stated is not None:
        return min(int(stated), len(lines))
    if what == 'Expected "\'"':
        return next((n for n, line in enumerate(lines, start=1) if _OPEN_LITERAL.search(line)), None)
    return None


def _told(what: str, line: str) -> Told:
    """Return what is wrong and the remedy."""
    character = _CHARACTER.search(what)
    if character and character["letter"] not in ("\\n", "\\r"):
        return _odd_character(character["letter"])
    if what.startswith("Unescaped '\\'") or what == "Invalid hex value":
        return ("a backslash within quotation marks begins a code, and that is no code",
                'write a path with /, like "../methods/ours.toml", or put it in single quotation marks')
    for beginning, told in _BY_MESSAGE.items():
        if what.startswith(beginning):
            return told
    return _of_line(what, line)


def _odd_character(letter: str) -> Told:
    return (f"there is a character that cannot be printed ({letter})",
            "delete it; it often comes along with text copied from elsewhere")


TWICE = "keep the one that is meant"
ONE_HEADING = ("put all of its fields under one heading; only [[determination]] and its like, in double brackets, may "
               "stand several times")
CLOSE_NAME = ("close it, like [titrant] or [[determination]]; a name with a space in it stands in quotation marks, "
              'like [vessels."excess pipette"]')
BRACES = "end it with } on the same line, part its fields by commas and quote its texts"

_BY_MESSAGE: dict[str, Told] = {
    "Cannot overwrite a value": ("a field is given twice", TWICE),
    "Duplicate inline table key": ("a field is given twice", TWICE),
    "Cannot declare": ("a table is opened twice", ONE_HEADING),
    "Cannot mutate": ("a table is opened twice", ONE_HEADING),
    "Cannot redefine": ("a table is opened twice", ONE_HEADING),
    "Unterminated string": ("a text is not closed with a quotation mark", CLOSE_IT),
    "Illegal character": ("a text is not closed with a quotation mark", CLOSE_IT),
    'Expected "\'"': ("a text is not closed with a quotation mark", CLOSE_IT),
    "Unclosed array": ("a list is not closed with ]", "end the list with ], and part its members by commas"),
    "Unclosed inline table": ("what stands in braces is not closed with }", BRACES),
    "Expected ']": ("the name of a table is not closed", CLOSE_NAME),
    "Invalid date": ("that is no day or time that there is", "write a day like 2026-11-30"),
}


# --- what the line itself tells ---------------------------------------------------------------------------------------


def _of_line(what: str, line: str) -> Told:
    """Return what is wrong with a line whose message says little."""
    if _CURLY.search(line) and '"' not in line:
        return ("the quotation marks are not straight ones", 'type straight ones, like analyst = "…"')
    if "=" not in what and (field := _FIELD.match(line)):
        return next((told for look in _LOOKS if (told := look(field["key"], field["value"]))), (_small(what), QUOTE_IT))
    if "after a key" in what or what in ("Invalid statement", "Invalid initial character for a key part"):
        return ("the line is neither a field nor a table nor a comment",
                'write a field like final = "24.50 mL", with an equals sign, and begin a comment with #')
    return _small(what), QUOTE_IT


def _nothing(key: str, value: str) -> Told | None:
    if value and not value.startswith("#"):
        return None
    return "invalid value: nothing stands behind the =", f'write it like {key} = "…", or take the line out'


def _outside(key: str, value: str) -> Told | None:
    """Tell of something behind the closing quotation mark."""
    if not value.startswith('"'):
        return None
    return ("something stands outside the quotation marks",
            f'put the whole value between one pair of them, like {key} = "…"')


def _bare(key: str, value: str) -> Told | None:
    """Tell of a value without quotation marks, and show it with them."""
    if value[0] in "[{'":
        return None
    if _DAY.match(value):
        return "that is not how a day is written", f"write it like {key} = 2026-11-30"
    plain = value.partition(" #")[0].strip().replace('"', "")
    if not plain or len(plain) > 40 or not plain.isprintable():
        return "invalid value", QUOTE_IT
    return "the value stands without quotation marks", f'write {key} = "{plain}"'


_LOOKS: tuple[Callable[[str, str], Told | None], ...] = (_nothing, _outside, _bare)


def _small(what: str) -> str:
    plain = "".join(letter if letter.isprintable() else " " for letter in what)
    return shown(plain[:1].lower() + plain[1:]) if len(plain) > 80 else plain[:1].lower() + plain[1:]
