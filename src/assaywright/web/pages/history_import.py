"""An old history brought in from a spreadsheet: looked at, its columns told, what would be read seen, then recorded."""

import hashlib
from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from assaywright.actions.equipment import IN_CHARGE
from assaywright.actions.history import history_import
from assaywright.metrology.refusal import Refusal
from assaywright.records.history import FIELDS, FORMAT, LookedAt, Mapping, look_at, mapping_of, read_history
from assaywright.web.access import only
from assaywright.web.chosen_file import carried_file, carried_text, chosen_file
from assaywright.web.forms import act_of, fresh_act, shown_again, today, tried, typed
from assaywright.web.said import in_words

FILE, WORDS, MOST_BYTES = "history_file", "spreadsheet", 3_000_000
LOOK, TRY = "look", "try"  # steps, in the address to which the form is sent
SHOWN = 10
MOST_SENTENCES = 50
DECIMAL_MARKS = {"point": ".", "comma": ","}
THOUSANDS = {"nothing": "", "point": ".", "comma": ",", "space": " ", "apostrophe": "'"}
SEPARATORS = {"semicolon": ";", "comma": ",", "tab": "\t"}
ENCODINGS = {"UTF-8": "utf-8", "Windows": "cp1252"}
DATES = ("year-month-day", "day-month-year", "month-day-year")
NEEDED = (("source", "name of the history"), ("decimal_mark", "decimal mark"), ("dates", "order of dates"))
OF_ONE_FILE = ("separator", "encoding", "sheet", "seen")
CALLED = {
    "lot": ("lot", "batch", "lot no.", "batch no.", "lot number", "batch number"), "product": ("product", "material"),
    "performed": ("performed", "day", "date", "date of analysis"), "value": ("value", "result", "content", "found"),
    "unit": ("unit",), "uncertainty": ("uncertainty", "expanded uncertainty"), "method": ("method",),
    "analyst": ("analyst", "by", "name"), "remark": ("remark", "remarks", "comment", "note"),
}


@dataclass(frozen=True)
class Column:
    """One of our fields: its words, the column chosen for it, and what is the same in every row instead."""

    key: str
    words: str
    heading: str
    fixed: str


@dataclass(frozen=True)
class Seen:
    """What would be read.

    Fields:
        number: of rows that can be read.
        first: a few of them, each by field.
        troubles: sentences about rows that cannot, the first of them; ``others`` are more.
        mark: of the file and the settings; only what was seen is recorded.
    """

    number: int
    first: tuple[dict[str, Any], ...]
    troubles: tuple[str, ...]
    others: int
    mark: str


@dataclass(frozen=True)
class ImportPage:
    """What the page shows: the file, how it is read, and what would be read."""

    act: str
    sentence: str = ""
    name: str = ""
    carried: str = ""
    looked: LookedAt | None = None
    columns: tuple[Column, ...] = ()
    seen: Seen | None = None
    typed: dict[str, str] = field(default_factory=dict)
    marks: tuple[str, ...] = tuple(DECIMAL_MARKS)
    thousands: tuple[str, ...] = tuple(THOUSANDS)
    separators: tuple[str, ...] = tuple(SEPARATORS)
    encodings: tuple[str, ...] = tuple(ENCODINGS)
    dates: tuple[str, ...] = DATES


@require_http_methods(["GET", "HEAD", "POST"])
@only(*IN_CHARGE)
def show(request: HttpRequest) -> HttpResponse:
    """Look at a spreadsheet, show what would be read of it, or record that."""
    if request.method != "POST":
        return render(request, "web/history.import.html", {"page": ImportPage(fresh_act())})
    fields, found, sentence = typed(request), None, ""
    try:
        found = _file(request)
    except Refusal as refusal:
        sentence = in_words(refusal)
        found = _left(request)
    if found is None:
        page = ImportPage(fresh_act(), sentence or "Choose a spreadsheet first.", typed=shown_again(fields))
        return render(request, "web/history.import.html", {"page": page}, status=422)
    if FILE in request.FILES:  # how another file is read, it shows itself
        fields = {name: text for name, text in fields.items()
                  if name not in OF_ONE_FILE and not name.startswith("column_")}
    return _answer(request, fields, found, sentence)


def _answer(request: HttpRequest, fields: dict[str, str], found: tuple[str, bytes], sentence: str) -> HttpResponse:
    looked, seen = None, None
    try:
        looked = look_at(
            found[1], found[0], sheet=fields.get("sheet", ""), header_row=_header_row(fields),
            separator=SEPARATORS.get(fields.get("separator", ""), ""),
            encoding=ENCODINGS.get(fields.get("encoding", ""), ""))
        fields = _as_it_shows(fields, looked)
        if not sentence and _step(request) != LOOK:
            mapping = _mapping(fields, looked)
            seen = _seen(found, mapping)
            if _step(request) == "" and not seen.troubles:
                if fields.get("seen") == seen.mark:
                    sentence = _record(request, found, mapping)
                    if not sentence:
                        return redirect(f"/history?source={_quoted(mapping.source)}")
                else:
                    sentence = "Not recorded: the file or the settings are other than those you have looked at."
    except Refusal as refusal:
        sentence = sentence or in_words(refusal)
    page = ImportPage(fresh_act(), sentence, found[0], carried_text(found[1]), looked, _columns(fields, looked), seen,
                      shown_again(fields))
    return render(request, "web/history.import.html", {"page": page}, status=422 if sentence else 200)


def _step(request: HttpRequest) -> str:
    return next((step for step in (LOOK, TRY) if request.GET.get(step) == "yes"), "")


def _file(request: HttpRequest) -> tuple[str, bytes] | None:
    """Return the file that has just been chosen, else the one that the form carries along."""
    if FILE in request.FILES:
        return chosen_file(request, FILE, WORDS, MOST_BYTES)
    return carried_file(request, WORDS)


def _left(request: HttpRequest) -> tuple[str, bytes] | None:
    """Return the file that was looked at before, where the one chosen now is refused."""
    try:
        return carried_file(request, WORDS)
    except Refusal:
        return None


def _header_row(fields: dict[str, str]) -> int:
    text = fields.get("header_row", "").strip() or "1"
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:4]) <= 100 or len(text) > 3:
        raise Refusal(f"{text[:20]} is no row that headings stand in", where="row with the headings",
                      remedy="write its number, 1 to 100")
    return int(text)


def _as_it_shows(fields: dict[str, str], looked: LookedAt) -> dict[str, str]:
    """Return the fields with what the file itself shows, where nothing was said; a column only by its very heading."""
    shows = {"separator": _named(SEPARATORS, looked.separator), "encoding": _named(ENCODINGS, looked.encoding),
             "sheet": looked.sheet}
    if not any(name.startswith("column_") for name in fields):
        known = [heading for heading in looked.headings if looked.headings.count(heading) == 1]
        shows |= {f"column_{key}": next((one for one in known if one.casefold() in words), "")
                  for key, words in CALLED.items()}
    return {**fields, **{name: text for name, text in shows.items() if not fields.get(name)}}


def _named(words: dict[str, str], mark: str) -> str:
    return next((name for name, one in words.items() if one == mark), "")


def _columns(fields: dict[str, str], looked: LookedAt | None) -> tuple[Column, ...]:
    if looked is None:
        return ()
    return tuple(Column(key, "day" if key == "performed" else key, fields.get(f"column_{key}", ""),
                        fields.get(f"fixed_{key}", "")) for key in FIELDS)


def _mapping(fields: dict[str, str], looked: LookedAt) -> Mapping:
    """Return how the spreadsheet is to be read, from the form.

    Raises:
        Refusal: something is not said, is said twice, or means nothing.
    """
    for name, words in NEEDED:
        if not fields.get(name, "").strip():
            raise Refusal("it is not said", where=words, remedy="say it; nothing of it is guessed")
    if looked.sheets and not looked.sheet:
        raise Refusal("the workbook has several sheets", where="sheet", remedy="choose one")
    columns = {key: text for key in FIELDS if (text := fields.get(f"column_{key}", ""))}
    fixed = {key: text for key in FIELDS if (text := fields.get(f"fixed_{key}", "").strip())}
    for key in ("value", "unit"):
        if key not in {*columns, *fixed}:
            raise Refusal(f"no column is chosen for the {key}, and nothing is said for every row", where=key,
                          remedy="choose its column")
    if twice := sorted(columns.keys() & fixed.keys()):
        raise Refusal(f"a column is chosen for the {twice[0]}, and one for every row is said as well", where=twice[0],
                      remedy="leave one of them out")
    return mapping_of({
        "format": FORMAT, "source": " ".join(fields["source"].split()), "dates": fields["dates"],
        "decimal_mark": _one_of(DECIMAL_MARKS, fields, "decimal_mark"),
        "thousands": _one_of(THOUSANDS, fields, "thousands", "nothing"), "columns": columns, "fixed": fixed,
        "separator": _one_of(SEPARATORS, fields, "separator", "comma"),
        "encoding": _one_of(ENCODINGS, fields, "encoding", "UTF-8"), "sheet": looked.sheet,
        "header_row": _header_row(fields)})


def _one_of(words: dict[str, str], fields: dict[str, str], name: str, usual: str = "") -> str:
    chosen = fields.get(name) or usual
    if chosen not in words:
        raise Refusal(f"'{chosen[:40]}' is none of the choices", where=name.replace("_", " "),
                      remedy=f"choose among {', '.join(words)}")
    return words[chosen]


def _seen(found: tuple[str, bytes], mapping: Mapping) -> Seen:
    read = read_history(found[1], found[0], mapping, today=today())
    mark = hashlib.sha256(found[1] + repr(mapping).encode()).hexdigest()
    return Seen(len(read.rows), tuple(read.rows[:SHOWN]), tuple(map(in_words, read.troubles[:MOST_SENTENCES])),
                max(0, len(read.troubles) - MOST_SENTENCES), mark)


def _record(request: HttpRequest, found: tuple[str, bytes], mapping: Mapping) -> str:
    return tried(lambda: history_import(data=found[1], name=found[0], mapping=mapping,
                                        by=request.user.get_username(), act=act_of(request, "import")))


def _quoted(text: str) -> str:
    from urllib.parse import quote

    return quote(text)
