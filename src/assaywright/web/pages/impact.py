"""What if an instrument was wrong: from day to day, by how much; what was found with it, and would have been found."""

from dataclasses import dataclass
from datetime import date

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.assay.as_if import IndicationError, units_of
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_number
from assaywright.records.models import Instrument
from assaywright.records.selectors.impact import Affected, Impact, impact_of
from assaywright.records.spreadsheet import csv_bytes
from assaywright.web.access import missing
from assaywright.web.said import in_words

ASKED = ("from", "to", "error", "unit")
LONGEST = 40
BLANK_LEFT = "blank left as it was"
OF_BURETTE = ("of each volume delivered in a determination; a blank is left as it was, unless the error is in %, or "
              "the blank is one of a back titration, which takes as much")
OF_WHAT = {
    "balance": "of each net mass (what is alike in both readings of a weighing cancels)",
    "thermometer": "of each temperature", "burette": OF_BURETTE, "piston burette": OF_BURETTE,
}
COLUMNS = ("worksheet", "day", "kind", "lot or solution", "measurand", "on record", "as computed now",
           "with the readings put right", "shift, relative / %", "decision", "decision then",
           "distance to the limit used up / %", "certificates in force", "how", "remark")


@dataclass(frozen=True)
class ImpactPage:
    """The form, and what follows from what it says.

    Fields:
        asked: what was typed, by field.
        units: in which the error can be stated; ``of_what`` says of what.
        said: the error in words; ``found`` is None until something is asked.
    """

    instrument: Instrument
    asked: dict[str, str]
    units: tuple[str, ...]
    of_what: str
    said: str
    found: Impact | None
    sentence: str
    csv: str


@require_safe
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show what would have been found had the instrument been right; nothing on record is changed."""
    found = Instrument.objects.filter(pk=identity.replace("\0", "")).first()
    if found is None:
        return missing(request, f"There is no instrument {identity[:60]}. Look for it in the list of the equipment.")
    units = units_of(found.kind)
    asked = {name: " ".join(request.GET.get(name, "").split())[:LONGEST] for name in ASKED}
    impact, sentence, said = None, "", ""
    if any(name in request.GET for name in ASKED[:3]):
        try:
            error = _error(found, asked)
            impact, said = impact_of(error), _said(error)
        except Refusal as refusal:
            sentence = in_words(refusal)
    if impact is not None and request.GET.get("as") == "csv":
        return _file(impact)
    query = request.GET.copy()
    query["as"] = "csv"
    of_what = OF_WHAT.get(found.kind, "of its volume: as stated, less what it truly holds or delivers")
    page = ImpactPage(found, asked, units, of_what, said, impact, sentence, query.urlencode())
    return render(request, "web/equipment.impact.html", {"page": page}, status=422 if sentence else 200)


def _error(instrument: Instrument, asked: dict[str, str]) -> IndicationError:
    """Return the error that was typed.

    Raises:
        Refusal: a day or a figure that is none, or an error that cannot be.
    """
    mark = "," if "," in asked["error"] and "." not in asked["error"] else "."
    amount = read_number(asked["error"], decimal_mark=mark) if asked["error"] else None
    return IndicationError(
        instrument.identity, instrument.kind,
        Refusal.unless(amount, "the error is missing", where="error", remedy="say by how much it was wrong"),
        asked["unit"] or units_of(instrument.kind)[0], _day(asked["from"], "from"), _day(asked["to"], "to"))


def _day(text: str, name: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Refusal(f"“{text}” is no day" if text else "the day is missing", where=name,
                      remedy="write a day like 2026-11-03") from None


def _said(error: IndicationError) -> str:
    more = "more" if error.amount > 0 else "less"
    return f"showed {abs(error.amount):f} {error.unit} {more} than was true"


def _file(impact: Impact) -> HttpResponse:
    rows = [_row(one, how) for how, lines in (("used it", impact.used), ("rests on such a standardisation",
                                                                        impact.resting)) for one in lines]
    answer = HttpResponse(csv_bytes(list(COLUMNS), rows), content_type="text/csv; charset=utf-8")
    answer.headers["Content-Disposition"] = 'attachment; filename="what-if-it-was-wrong.csv"'
    return answer


def _row(one: Affected, how: str) -> list[str]:
    eaten = "" if one.eaten is None else f"{100 * one.eaten:.3g}"
    remark = one.trouble or (BLANK_LEFT if one.blank_left else "")
    return [one.worksheet, one.day, one.kind, one.about, one.measurand, one.on_record, one.before, one.after,
            f"{one.shift_percent:.6g}", *one.decisions, eaten, " ".join(one.certificates), how, remark]
