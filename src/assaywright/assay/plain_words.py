"""Where something stands in a worksheet file, in the words of people who have no file before them.

Refusals and remarks name tables and fields of a worksheet file. Pages and paper have no file: their worksheets have
numbers, and what a file calls a table is a group of fields.
"""

import re

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
KEY = re.compile(r"\b[a-z]+(?:_[a-z]+)+\b(?!\.(?:csv|xlsx|xml|txt)\b)")  # with an ending it is the name of a file


def plain_words(text: str) -> str:
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
