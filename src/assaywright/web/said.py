"""Sentences of refusals and remarks in the words of pages: worksheets by number, fields by their labels, no files.

The floors below say where something stands in a worksheet file, since they serve files as well. A page has no file:
its worksheets have numbers, and what a file calls a table is a group of fields on a form.
"""

import re

from assaywright.metrology.refusal import Refusal

OTHER_MARK = re.compile(r", or set decimal_mark = \"[.,]\"(?: at the top of the file)?")
FILE = re.compile(r"(?:[\w.-]+/)*(?P<lot>lot-)?(?P<name>[\w.\-]*\w)\.toml\b")
GROUPS = {
    "reagent": "the reagent in excess", "against": "the standard solution that it is set against",
    "titrant": "the titrant", "standard": "the reference material", "sample": "the sample", "medium": "the medium",
    "specification": "the limits of its certificate", "lot": "what its certificate says of it",
    "report": "how the result is stated", "dilution": "the dilution", "air": "the air at the balance",
    "blank": "the blank", "repeatability": "the pooled repeatability", "determination": "the determinations",
    "characteristic": "the characteristics", "vessels": "the equipment", "balances": "the balance",
    "thermometers": "the thermometer", "table": "group of fields",
}
LABELS = {
    "sample_temperature": "temperature of the portion", "excess_temperature": "temperature of the reagent in excess",
    "hydroxide_initial": "initial reading with barium chloride",
    "hydroxide_final": "final reading with barium chloride",
    "titrant_gross": "gross mass of the titrant", "titrant_tare": "tare of the titrant",
    "titrant_net": "net mass of the titrant", "use_before": "use before", "in_force": "which standardisation counts",
    "at_temperature": "at temperature", "decimal_mark": "decimal mark", "less_than": "less than",
    "retained_until": "kept until", "excess_pipette": "pipette of the reagent in excess",
}
TABLE = re.compile(r"(?P<no>no )?(?:(?:the|a) )?(?:table )?"
                   r"\[{1,2}(?P<group>[a-z_]+)(?:\.\"?(?P<role>[a-z ]+)\"?)?\]{1,2}(?: table)?")
SETTING = re.compile(r"\b(?P<key>[a-z_]+) = (?P<value>\"[^\"]*\"|\[[^\]]*\]|\{[^}]*\})")
DESCRIBED = re.compile(r"describe it in a table \[(?:vessels|balances)\.\"?(?P<role>[a-z ]+)\"?\]")
OPTION = re.compile(r"--[a-z][a-z-]*|\bassaywright [a-z-]+|\bFILE\b|\bTOML\b|[\[\]{}]|\b(?!k =)\w+ = ")
KEY = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b")
ELSEWHERE = "correct it on the page of what it concerns, or have whoever looks after the records correct it"


def in_words(problem: Refusal | object) -> str:
    """Return a refusal, or a sentence of one, a place or a remedy, in the words of pages.

    Arguments:
        problem: the refusal, or a text in which places of a worksheet file are named.
    """
    if not isinstance(problem, Refusal):
        return _plain(str(problem))
    remedy = _plain(problem.remedy)
    if OPTION.search(remedy):
        remedy = ELSEWHERE
    return str(Refusal(_plain(problem.what), where=_plain(problem.where), remedy=remedy))


def _plain(text: str) -> str:
    """Return a text with files told by number, tables as groups of fields, and fields by their labels."""
    text = OTHER_MARK.sub("", text)
    text = FILE.sub(lambda found: f"lot {found['name']}" if found["lot"] else found["name"], text)
    text = DESCRIBED.sub(lambda found: f"choose the {found['role']} under Equipment", text)
    text = SETTING.sub(lambda found: f"{_label(found['key'])} as {_value(found['value'])}", text)
    text = TABLE.sub(_group, text)
    return KEY.sub(lambda found: _label(found[0]), text)


def _group(found: re.Match[str]) -> str:
    words = f"the {found['role']}" if found["role"] else GROUPS.get(found["group"], f"“{_label(found['group'])}”")
    return f"no {words.removeprefix('the ')}" if found["no"] else words


def _label(key: str) -> str:
    return LABELS.get(key, key.replace("_", " "))


def _value(text: str) -> str:
    """Return the value of an example as one would type it."""
    quoted = re.findall(r"\"([^\"]*)\"", text)
    return " and ".join(f"“{one}”" for one in quoted) or "a figure with its unit"
