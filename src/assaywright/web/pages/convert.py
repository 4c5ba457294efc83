"""A content in other units: of a lot, or of whatever somebody types; nothing is recorded."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Lot
from assaywright.records.selectors.converting import (
    TEMPERATURE,
    UNITS,
    ConversionShown,
    conversion_asked,
    conversion_shown,
)
from assaywright.records.selectors.production import lot_named
from assaywright.web.forms import asked_for
from assaywright.web.said import in_words

MORE = (
    ("expressed", "Express it as", "another species, such as Na2O"),
    ("given_as", "The content is stated as", "another species than the substance"),
    ("counting", "Species that counts", "of which one is one equivalent"),
    ("temperature", "Temperature of the content", "20 °C; of a content by volume"),
    ("to_temperature", "Temperature wanted", "25 °C; the same when empty"),
    ("nominal", "Nominal content", "for the factor: 0.1 mol/L"),
    ("titrates", "Substance to titrate", "for what each mL answers for: NaCl"),
)


@dataclass(frozen=True)
class ConvertPage:
    """What the page shows: the form, and what was found once a content is known.

    Fields:
        sentence: why nothing was found; ``sent`` says whether the form was, so that it is refused.
        opened: whether something was typed in the part of the form that stands folded.
    """

    lot: Lot | None
    fields: dict[str, str]
    more: tuple[dict[str, str], ...]
    shown: ConversionShown | None
    sentence: str
    opened: bool
    sent: bool
    units: tuple[str, ...] = UNITS


@require_safe
def show(request: HttpRequest) -> HttpResponse:
    """Show a content in other units, with its uncertainty and its working."""
    typed = asked_for(request)
    lot = lot_named(typed.get("lot", ""))
    fields, shown, sentence = conversion_asked(typed, lot), None, ""
    sent = "content" in typed
    if sent or fields["content"]:
        try:
            shown = conversion_shown(fields)
        except Refusal as refusal:
            sentence = in_words(refusal)
    opened = any(typed.get(key, "").strip() not in ("", TEMPERATURE) for key, _, _ in MORE)
    more = tuple({"key": key, "words": words, "hint": hint, "text": fields[key]} for key, words, hint in MORE)
    page = ConvertPage(lot, fields, more, shown, sentence, opened, sent)
    return render(request, "web/convert.html", {"page": page}, status=422 if sentence and sent else 200)
