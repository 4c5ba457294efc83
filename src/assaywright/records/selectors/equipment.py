"""Vessels, balances, thermometers with their calibrations, and reference materials with their certificates."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Case, Q, When

from assaywright.records import days
from assaywright.records.certificate_files.entered import how_read, typed_over
from assaywright.records.models import Attachment, Calibration, Event, Instrument, Material, Person
from assaywright.records.models.equipment import IN_USE
from assaywright.records.toml_text import day_text
from assaywright.records.unchecked import CHECKED, Entry, unchecked

MONTH = len("2026-11")
SOON = timedelta(days=30)
CURRENT, DUE_SOON, OVERDUE, NONE_STATED = "calibrated", "due soon", "overdue", "no calibration stated"
BY_CLASS = "tolerance of its class"
WORDS = {
    "nominal": "nominal volume", "class": "class", "standard": "standard", "tolerance": "tolerance",
    "tolerance_form": "form of the tolerance", "calibration_uncertainty": "uncertainty of the corrections",
    "scale_correlation": "correlation along the scale", "reference_temperature": "reference temperature",
    "material": "material", "graduation": "graduation", "use": "adjusted", "readability": "readability",
    "linearity": "linearity", "repeatability": "repeatability", "minimum_weight": "minimum weight",
    "adjusted": "adjusted in", "uncertainty": "uncertainty", "name": "name", "formula": "formula",
    "content": "certified content", "basis": "basis", "dried": "dried", "weighed_as": "content stated for weighing",
    "density": "density", "minimum_sample": "minimum sample", "use_before": "use before the end of", "lot": "lot",
}
APART = ("id", "kind", "certificate", "corrections")


@dataclass(frozen=True)
class InstrumentLine:
    """An instrument as the list shows it; ``standing`` says how its calibration stands today."""

    instrument: Instrument
    size: str
    standing: str


@dataclass(frozen=True)
class MaterialLine:
    """A reference material as the list shows it."""

    material: Material
    content: str
    expired: bool


@dataclass(frozen=True)
class CalibrationShown:
    """One calibration, with what it said; ``entered`` tells by whom, why, and who has compared it since.

    Fields:
        file: from which it was read, if it was.
        typed_over: what was entered other than that file states, in sentences.
    """

    calibration: Calibration
    entered: str
    traceable_to: str
    corrections: tuple[tuple[str, str], ...]
    others: tuple[tuple[str, str], ...]
    file: Attachment | None
    typed_over: tuple[str, ...]


@dataclass(frozen=True)
class ToCompare:
    """An entry that waits for a second person, with all that is to be compared with the certificate.

    Fields:
        entry: what waits.
        facts: what it says of the certificate and of the instrument or material, in words.
        file: from which it was read, if it was.
        how: the column of that file was said to be read.
        typed_over: what was entered other than that file states, in sentences.
    """

    entry: Entry
    facts: tuple[tuple[str, str], ...]
    corrections: tuple[tuple[str, str], ...]
    file: Attachment | None
    how: str
    typed_over: tuple[str, ...]


@dataclass(frozen=True)
class InstrumentShown:
    """What an instrument's page says."""

    instrument: Instrument
    facts: tuple[tuple[str, str], ...]
    certificate: tuple[tuple[str, str], ...]
    corrections: tuple[tuple[str, str], ...]
    standing: str
    in_use: bool
    calibrations: tuple[CalibrationShown, ...]
    unchecked: tuple[ToCompare, ...]


@dataclass(frozen=True)
class MaterialShown:
    """What a reference material's page says."""

    material: Material
    facts: tuple[tuple[str, str], ...]
    certificate: tuple[tuple[str, str], ...]
    expired: bool
    in_use: bool
    unchecked: tuple[ToCompare, ...]
    file: Attachment | None


def instrument_lines(rows: Iterable[Instrument]) -> list[InstrumentLine]:
    """Return instruments as the list shows them, in their order."""
    return [InstrumentLine(one, _size(one.content), _standing(one)) for one in rows]


def material_lines(rows: Iterable[Material]) -> list[MaterialLine]:
    """Return reference materials as the list shows them, in their order."""
    return [MaterialLine(one, str(one.content.get("content", "")), days.expired(one.use_before)) for one in rows]


def what_asks_first(name: str, *then: str) -> tuple[Any, ...]:
    """Return the order of a list of equipment: what is in use first, of that what is past its date, then due soon.

    Arguments:
        name: of the field with the last day or month.
        then: fields by which what is alike is ordered.
    """
    day, soon = days.today().isoformat(), (days.today() + SOON).isoformat()
    past = Q(**{f"{name}__lt": day}) & ~Q(**{f"{name}__in": ("", day[:MONTH])})
    urgency = Case(When(past, then=0), When(Q(**{f"{name}__lte": soon}) & ~Q(**{name: ""}), then=1), default=2)
    return Case(When(state=IN_USE, then=0), default=1), urgency, *then


def instrument_shown(instrument: Instrument) -> InstrumentShown:
    """Return what an instrument's page says."""
    table = instrument.content
    calibrations = Calibration.objects.filter(instrument=instrument.identity).order_by("-id")
    return InstrumentShown(
        instrument, _facts(table), _certificate(table), _corrections(table), _standing(instrument),
        instrument.state == IN_USE, tuple(_calibration(one) for one in calibrations),
        _to_compare(instrument.identity, is_material=False))


def material_shown(material: Material) -> MaterialShown:
    """Return what a reference material's page says."""
    table = material.content
    return MaterialShown(material, _facts(table), _certificate(table), days.expired(material.use_before),
                         material.state == IN_USE,
                         _to_compare(material.identity, is_material=True),
                         Attachment.objects.filter(pk__in=Event.objects.filter(
                             subject=material.identity, kind="material.received").values("number")).first())


def _to_compare(identity: str, *, is_material: bool) -> tuple[ToCompare, ...]:
    return tuple(_with_figures(one) for one in unchecked(identity) if one.is_material == is_material)


def _with_figures(entry: Entry) -> ToCompare:
    event, table = Event.objects.get(number=entry.number), entry.table
    return ToCompare(entry, (*_certificate(table), *_facts(table)), _corrections(table),
                     Attachment.objects.filter(pk=entry.number).first(), how_read(json.loads(event.payload)),
                     typed_over(event))


def standing(due: str, on: date | None = None) -> str:
    """Return how a calibration stands on a day, today when not given: it holds through the day on which it is due."""
    if not due:
        return NONE_STATED
    if days.expired(due):
        return OVERDUE
    last = date.fromisoformat(due if len(due) > len("2026-11") else f"{due}-28")
    return DUE_SOON if last - (on or days.today()) <= SOON else CURRENT


def _standing(instrument: Instrument) -> str:
    """Return how an instrument stands; glass without a certificate rests on the tolerance of its class."""
    return standing(instrument.due) if instrument.due or not instrument.content.get("class") else BY_CLASS


def _size(table: dict[str, Any]) -> str:
    return str(table.get("nominal") or table.get("readability") or table.get("uncertainty") or "")


def _facts(table: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    known = [key for key in (*WORDS, *(key for key in table if key not in WORDS)) if key not in APART]
    return tuple((WORDS.get(key, key), day_text(table[key])) for key in known if table.get(key))


def _certificate(table: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    inner = table.get("certificate") or {}
    words = {"id": "certificate", "issued": "issued", "due": "valid through", "traceable_to": "traceable to"}
    return tuple((said, day_text(inner[key])) for key, said in words.items() if inner.get(key))


def _corrections(table: Mapping[str, Any]) -> tuple[tuple[str, str], ...]:
    return tuple((str(at), str(correction)) for at, correction in table.get("corrections") or ())


def _calibration(one: Calibration) -> CalibrationShown:
    table = one.content
    others = tuple((WORDS.get(key, key), str(table[key])) for key in
                   ("calibration_uncertainty", "linearity", "repeatability", "uncertainty") if key in table)
    traceable = str((table.get("certificate") or {}).get("traceable_to", ""))
    return CalibrationShown(one, _entered(one), traceable, _corrections(table), others,
                            Attachment.objects.filter(pk=one.id).first(), typed_over(Event.objects.get(number=one.id)))


def _entered(one: Calibration) -> str:
    """Return who entered a calibration and why, whether it corrects an earlier entry, and who has compared it."""
    names = dict(Person.objects.values_list("identity", "name"))
    event = Event.objects.get(number=one.id)
    payload = json.loads(event.payload)
    told = [f"Entered by {names.get(event.by, event.by)}{f', because: {event.reason}' if event.reason else ''}."]
    if corrected := payload.get("correction_of"):
        told.append(f"Correction of {corrected}.")
    checks = Event.objects.filter(subject=one.instrument, kind__in=CHECKED).order_by("number")
    told += [f"Compared with the certificate by {names.get(check.by, check.by)}." for check in checks
             if json.loads(check.payload).get("entry") == one.id]
    return " ".join(told)
