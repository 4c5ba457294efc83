"""Making a solution: what to measure out, in what order, and what it then holds; a sheet, and nothing recorded."""

from dataclasses import dataclass, field

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from assaywright.assay.prepare.sheet import ProductionSheet
from assaywright.metrology.refusal import Refusal
from assaywright.records.selectors.preparing import DILUENT, SOLUTION, TO_THE_MARK, prepare_asked, prepare_sheet
from assaywright.web.forms import asked_for, today
from assaywright.web.pages.production import HEAD, FieldShown, Row, fields_shown, opened_parts, printed_sheet
from assaywright.web.said import in_words

MADE: tuple[Row, ...] = (
    ("substance", "Substance", "name or formula"), ("content", "Content wanted", "0.5 mol/L"),
    ("amount", "How much is made", "by volume or by mass: 1 L, 200 kg"),
)
OF_MADE: tuple[Row, ...] = (
    ("product_density", "Density of the solution made", "where no table holds it"),
    ("temperature", "Temperature at which it is made up", "20 °C when empty"),
    ("reaction", "Reaction", "for eq/L"),
)
SOURCE: tuple[Row, ...] = (
    ("source", "Name", "hydrochloric acid 37 %"),
    ("source_lot", "Lot, or a lot or solution on record", "content and density are then taken from the records"),
    ("source_content", "Content of a solution, assay of a solid", "36.9 % w/w ± 0.1 % w/w, k = 2"),
    ("readability", "Smallest step of what measures it", "0.01 g on a balance, 0.1 mL by a meter"),
)
OF_SOURCE: tuple[Row, ...] = (
    ("source_density", "Density", "1.184 g/mL; the table’s when empty"),
    ("hydrate", "The form weighed", "a hydrate: Na2CO3·10H2O"), ("water", "Water of a solid, lost on drying", "0.5 %"),
    ("measuring", "How far an amount may be off", "0.02 g, rectangular; one step when empty"),
    ("instrument", "Instrument", ""), ("available", "How much there is", "250 kg"),
)
SECOND: tuple[Row, ...] = (
    ("second", "Name", "of what is measured out besides"), ("second_content", "Content of a second solution", ""),
    ("second_density", "Density", ""), ("second_readability", "Smallest step of what measures it", "0.01 kg"),
    ("second_measuring", "How far an amount may be off", ""), ("second_instrument", "Instrument", ""),
)
VESSEL: tuple[Row, ...] = (
    ("vessel", "Vessel", ""), ("capacity", "It holds", "1 L"),
    ("tolerance", "Tolerance of its mark or gauge", "0.4 mL; 0.1 % when empty"),
)
OF_VESSEL: tuple[Row, ...] = (
    ("gauge", "Smallest step of its gauge", "1 L"), ("greatest_temperature", "Greatest temperature", "50 °C"),
)
FORMS = (("solution", "a solution"), ("solid", "a solid"))
SECONDS = ((TO_THE_MARK, "water to the mark"), (DILUENT, "water measured out"), (SOLUTION, "a second solution"))
KINDS = (("flask", "a flask, filled to its mark"), ("bottle", "a bottle, weighed in"), ("tank", "a tank, by its gauge"))
PARTS = {"made": MADE, "of_made": OF_MADE, "source": SOURCE, "of_source": OF_SOURCE, "second": SECOND,
         "vessel": VESSEL, "of_vessel": OF_VESSEL, "head": HEAD}


@dataclass(frozen=True)
class PreparePage:
    """What the page of a preparation shows: the form, and the sheet once it was sent.

    Fields:
        product: for which it is asked; empty for none.
        groups: the fields by the part of the form that they stand in; ``opened`` of those that stand folded.
    """

    product: str
    fields: dict[str, str]
    sheet: ProductionSheet | None
    sentence: str
    groups: dict[str, list[FieldShown]]
    opened: tuple[str, ...]
    query: str
    forms: tuple[tuple[str, str], ...] = FORMS
    seconds: tuple[tuple[str, str], ...] = SECONDS
    kinds: tuple[tuple[str, str], ...] = field(default=KINDS)


@require_safe
def show(request: HttpRequest) -> HttpResponse:
    """Show what to measure out for a solution, and what comes of it."""
    typed, sheet, sentence = asked_for(request), None, ""
    fields = prepare_asked(typed.get("product", ""), typed, today())
    if "amount" in typed:
        try:
            sheet = prepare_sheet(fields, today())
        except Refusal as refusal:
            sentence = in_words(refusal)
    groups = {name: fields_shown(rows, fields) for name, rows in PARTS.items()}
    opened = opened_parts(request, PARTS)
    page = PreparePage(typed.get("product", ""), fields, sheet, sentence, groups, opened, request.GET.urlencode())
    return render(request, "web/prepare.html", {"page": page}, status=422 if sentence else 200)


@require_safe
def pdf(request: HttpRequest) -> HttpResponse:
    """Send the sheet of a preparation as PDF, to be ticked off and signed by hand."""
    typed = asked_for(request)
    if "amount" not in typed:
        return redirect("prepare")
    sheet = prepare_sheet(prepare_asked(typed.get("product", ""), typed, today()), today())
    return printed_sheet(sheet, f"prepare-{sheet.number}.pdf")
