"""The equipment: vessels, balances, thermometers with calibrations; reference materials with their certificates."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from assaywright.actions import equipment as acts
from assaywright.actions.equipment import SentFile
from assaywright.actions.names import in_one_form
from assaywright.actions.second_look import instrument_check, material_check
from assaywright.records.certificate_files.table_file import instrument_file
from assaywright.records.files import read
from assaywright.records.models import Attachment, Event, Instrument, Material
from assaywright.records.selectors.equipment import (
    InstrumentLine,
    InstrumentShown,
    MaterialLine,
    MaterialShown,
    instrument_lines,
    instrument_shown,
    material_lines,
    material_shown,
    what_asks_first,
)
from assaywright.records.selectors.history import Happened, history
from assaywright.records.selectors.listed import Column, Filter, Listed, values_of
from assaywright.web.access import missing
from assaywright.web.certificate_reading import CHOICES, Reading, asks, filling, material_reading, reading_of
from assaywright.web.equipment_forms import KINDS, MATERIAL, VESSEL, Filled, filled, material_table, table_of
from assaywright.web.forms import act_of, chosen_act, fresh_act, shown_again, tried, typed, version_of
from assaywright.web.listing import Listing, exported, listing
from assaywright.web.pages.assays import sent_file

OF_MATERIALS = "material-"  # before the names in the address that are about the second list
INSTRUMENTS = Listed(
    "instruments", Instrument,
    (Column("number", "Number", "identity"), Column("kind", "Kind", "kind"),
     Column("size", "Nominal, readability or uncertainty"), Column("state", "Calibration", "state"),
     Column("due", "Valid through", "due")),
    (Filter("kind", "Kind", "kind", options=lambda: values_of(Instrument, "kind")),
     Filter("state", "State", "state", options=lambda: values_of(Instrument, "state"))),
    "state", period="due", period_words="Valid through", first=lambda: what_asks_first("due", "kind", "identity"))
MATERIALS = Listed(
    "reference materials", Material,
    (Column("number", "Number", "identity"), Column("name", "Material", "name"), Column("content", "Certified content"),
     Column("state", "State", "state"), Column("use_before", "Use before the end of", "use_before")),
    (Filter("name", "Material", "name", options=lambda: values_of(Material, "name")),
     Filter("state", "State", "state", options=lambda: values_of(Material, "state"))),
    "state", period="use_before", period_words="Use before",
    first=lambda: what_asks_first("use_before", "name", "identity"))


@dataclass(frozen=True)
class EquipmentPage:
    """What the list shows."""

    of_instruments: Listing
    instruments: list[InstrumentLine]
    of_materials: Listing
    materials: list[MaterialLine]


@dataclass(frozen=True)
class NewPage:
    """The form for an instrument or a reference material; first of all, which kind."""

    kinds: tuple[str, ...]
    kind: str
    fields: tuple[Filled, ...]
    act: str
    sentence: str
    typed: dict[str, str] = field(default_factory=dict)
    reading: Reading | None = None
    choices: tuple[tuple[str, str], ...] = ()
    asking: bool = False


@dataclass(frozen=True)
class InstrumentPage:
    """One instrument, and the forms that change what is known of it."""

    shown: InstrumentShown
    history: list[Happened]
    fields: tuple[Filled, ...]
    act: str
    sentence: str
    reason: str
    typed: dict[str, str]
    reading: Reading | None = None
    choices: tuple[tuple[str, str], ...] = ()
    asking: bool = False


@dataclass(frozen=True)
class MaterialPage:
    """One reference material."""

    shown: MaterialShown
    history: list[Happened]
    act: str
    sentence: str
    reason: str


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    for listed, prefix in ((INSTRUMENTS, ""), (MATERIALS, OF_MATERIALS)):
        if (file := exported(request, listed, prefix)) is not None:
            return file
    instruments, materials = listing(request, INSTRUMENTS), listing(request, MATERIALS, OF_MATERIALS)
    page = EquipmentPage(instruments, instrument_lines(instruments.rows), materials, material_lines(materials.rows))
    return render(request, "web/equipment.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    """Register an instrument: first its kind, then what is to be stated of it."""
    kind = (request.POST or request.GET).get("kind", "")
    if kind not in KINDS:
        return render(request, "web/equipment.new.html", {"page": NewPage(tuple(KINDS), "", (), "", "")})
    form = filling(request, typed(request), lambda file, fresh: reading_of(
        file, kind, "", typed(request), None, fresh=fresh))
    fields, sentence = form.fields, form.sentence
    if request.method == "POST" and not sentence and not asks(request):
        identity = in_one_form(fields.get("id", ""))
        sentence = tried(lambda: acts.instrument_register(
            identity=identity, kind=kind, table=table_of(kind, fields, {}), by=request.user.get_username(),
            act=act_of(request, "register"), file=form.file))
        if not sentence:
            return redirect("equipment.show", identity)
    page = NewPage((), kind, filled(KINDS[kind], fields), fields.get("act") or fresh_act(), sentence,
                   shown_again(fields), form.reading, CHOICES if KINDS[kind] is VESSEL else (), asks(request))
    return render(request, "web/equipment.new.html", {"page": page}, status=422 if sentence else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, identity: str) -> HttpResponse:
    """Show an instrument; enter a calibration of it, or withdraw it."""
    found = Instrument.objects.filter(pk=identity.replace("\0", "")).first()
    if found is None:
        return missing(request, f"There is no instrument {identity[:60]}. Look for it in the list of the equipment.")
    form = filling(request, typed(request), lambda file, fresh: reading_of(
        file, found.kind, identity, typed(request), found.content, fresh=fresh))
    fields, sentence = form.fields, form.sentence
    if request.method == "POST" and not sentence and not asks(request):
        sentence = chosen_act(request, lambda: _instrument_acts(request, found, fields, form.file))
        if not sentence:
            return redirect("equipment.show", identity)
    calibrating = (sentence or asks(request)) and fields.get("do") == "calibrate"
    kind = KINDS.get(found.kind, VESSEL)
    page = InstrumentPage(
        instrument_shown(found), history(identity, of="instrument"),
        filled(kind[1:], fields if calibrating else found.content), fresh_act(), sentence, fields.get("reason", ""),
        shown_again(fields), form.reading, CHOICES if kind is VESSEL else (), asks(request))
    return render(request, "web/equipment.show.html", {"page": page}, status=422 if sentence else 200)


def _instrument_acts(
    request: HttpRequest, found: Instrument, fields: dict[str, str], file: SentFile | None
) -> dict[str, Callable[[], object]]:
    by = request.user.get_username()
    return {
        "calibrate": lambda: acts.instrument_calibrate(
            identity=found.identity, by=by, expected=version_of(request), act=act_of(request, "calibrate"),
            reason=fields.get("calibrate_reason", ""), correction=fields.get("correction") == "yes", file=file,
            table=table_of(found.kind, {"id": found.identity, **fields}, found.content)),
        "check": lambda: instrument_check(
            identity=found.identity, entry=_entry(fields), by=by, act=act_of(request, "check", _entry(fields))),
        "withdraw": lambda: acts.instrument_withdraw(
            identity=found.identity, by=by, reason=fields.get("reason", ""), act=act_of(request, "withdraw")),
    }


@require_http_methods(["GET", "HEAD", "POST"])
def material_new(request: HttpRequest) -> HttpResponse:
    """Receive a reference material with its certificate."""
    form = filling(request, typed(request), lambda file, fresh: material_reading(file, typed(request), fresh=fresh))
    fields, sentence = form.fields, form.sentence
    if request.method == "POST" and not sentence and not asks(request):
        identity = in_one_form(fields.get("number", ""))
        sentence = tried(lambda: acts.material_receive(
            identity=identity, table=material_table(fields), by=request.user.get_username(),
            act=act_of(request, "receive"), file=form.file))
        if not sentence:
            return redirect("equipment.material", identity)
    page = NewPage((), "reference material", filled(MATERIAL, fields), fields.get("act") or fresh_act(), sentence,
                   shown_again(fields), form.reading, asking=asks(request))
    return render(request, "web/equipment.material.new.html", {"page": page}, status=422 if sentence else 200)


@require_http_methods(["GET", "HEAD", "POST"])
def material(request: HttpRequest, identity: str) -> HttpResponse:
    """Show a reference material; withdraw it."""
    found = Material.objects.filter(pk=identity.replace("\0", "")).first()
    if found is None:
        return missing(request, f"There is no reference material {identity[:60]}. Look for it in the list.")
    fields, sentence = typed(request), ""
    if request.method == "POST":
        sentence = tried(lambda: _material_act(request, identity, fields))
        if not sentence:
            return redirect("equipment.material", identity)
    page = MaterialPage(material_shown(found), history(identity, of="material"), fresh_act(), sentence,
                        fields.get("reason", ""))
    return render(request, "web/equipment.material.html", {"page": page}, status=422 if sentence else 200)


def _material_act(request: HttpRequest, identity: str, fields: dict[str, str]) -> None:
    by = request.user.get_username()
    if fields.get("do") == "check":
        material_check(identity=identity, entry=_entry(fields), by=by,
                       act=act_of(request, "check", _entry(fields)))
    else:
        acts.material_withdraw(identity=identity, by=by, reason=fields.get("reason", ""),
                               act=act_of(request, "withdraw"))


@require_safe
def file(request: HttpRequest, number: int) -> HttpResponse:
    """Send the file from which a certificate was read, as it was chosen.

    Arguments:
        number: of the event that entered it.
    """
    kinds = ("instrument.registered", "instrument.calibrated", "material.received")
    found = Attachment.objects.filter(pk__in=Event.objects.filter(number=number, kind__in=kinds).values("number"))
    kept = found.first()
    if kept is None:
        return missing(request, "No certificate's file was kept there. Look for it on the page of the instrument.")
    return sent_file(read(kept.sha256), kept.name, "application/octet-stream")


@require_safe
def table(request: HttpRequest, identity: str) -> HttpResponse:
    """Send an instrument's table as a file that another laboratory's records, or these, read again."""
    found = Instrument.objects.filter(pk=identity.replace("\0", "")).first()
    if found is None:
        return missing(request, f"There is no instrument {identity[:60]}. Look for it in the list of the equipment.")
    return sent_file(instrument_file(found.kind, found.content), f"{identity}.toml", "application/toml")


def _entry(fields: dict[str, str]) -> int:
    """Return the number of the event that a form is about; 0, which is none's, for anything else."""
    text = fields.get("entry", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0
