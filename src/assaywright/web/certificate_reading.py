"""A certificate's file on the pages of the equipment: chosen, read into the form's fields, carried along, and kept.

The file is read when it is chosen, and travels with the form in a hidden field until the form is sent; nothing is kept
of one that is not.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest

from assaywright.actions.equipment import SentFile, demand_issued
from assaywright.metrology.refusal import Refusal
from assaywright.records.certificate_files.read import (
    MOST_BYTES,
    OURS,
    FileRead,
    read_calibration_file,
    read_material_certificate,
)
from assaywright.records.certificate_files.stated import SIGNS
from assaywright.records.instruments import changes_of, read_instrument
from assaywright.web.chosen_file import carried_file, carried_text, chosen_file
from assaywright.web.equipment_forms import KINDS, MATERIAL, VESSEL, WITHIN, Asked, filled, table_of
from assaywright.web.said import in_words

CHOSEN, STATES, AGAINST = "certificate_file", "column_states", "against_heading"
ASKED = "read"  # in the address to which the form is sent by the button that reads the file
READ_AS, READ_AGAINST = "file_states", "file_against"  # how the column of the file that is carried along was read
OF_FILE = ("corrections", "calibration_uncertainty", "linearity", "uncertainty", "certificate", "issued", "due")
WORDS = "certificate's file"
Read = Callable[[SentFile, bool], tuple["Reading", dict[str, str]]]
CHOICES = tuple(SIGNS.items())


@dataclass(frozen=True)
class Change:
    """What a form states otherwise than the records."""

    what: str
    before: str
    now: str


@dataclass(frozen=True)
class Reading:
    """A file from which a form is filled.

    Fields:
        found: what was read.
        carried: the file itself, for the form's hidden field.
        states: what the person said that its column states.
        against_heading: whether the person said that the column's heading means the other.
        changes: the form against what is in force; empty for something new.
        compared: whether there is something in force to compare it with.
    """

    found: FileRead
    carried: str
    states: str
    changes: tuple[Change, ...] = ()
    compared: bool = False
    against_heading: bool = False


def asks(request: HttpRequest) -> bool:
    """Return whether a form asks for its file to be read, instead of being sent."""
    return request.method == "POST" and request.GET.get(ASKED) == "yes"


@dataclass(frozen=True)
class Filling:
    """A form that may be filled from a file.

    Fields:
        file: chosen or carried along; None where there is none.
        reading: what was read from it.
        fields: of the form, the file's in place of those typed where it has just been read.
        sentence: why it was not read; empty otherwise.
    """

    file: SentFile | None
    reading: Reading | None
    fields: dict[str, str]
    sentence: str = ""


def filling(request: HttpRequest, fields: dict[str, str], read: Read) -> Filling:
    """Return how a form is filled: from the file that is chosen, or from the one that it carries along.

    Where the chosen one is refused, the one that was read before stays.

    Arguments:
        read: reads a file, told whether it has just been chosen.
    """
    sentence = ""
    for find, fresh in ((_chosen, True), (_carried, False)):
        if fresh and not asks(request):
            continue
        try:
            file = find(request, fields)
            if file is not None:
                return Filling(file, *read(file, fresh), sentence)
        except Refusal as refusal:
            sentence = sentence or in_words(refusal)
    return Filling(None, None, fields, sentence)


def _chosen(request: HttpRequest, fields: Mapping[str, str]) -> SentFile | None:
    return SentFile(*chosen_file(request, CHOSEN, WORDS, MOST_BYTES), fields.get(STATES, ""),
                    fields.get(AGAINST) == "yes")


def _carried(request: HttpRequest, fields: Mapping[str, str]) -> SentFile | None:
    found = carried_file(request, WORDS)
    return SentFile(*found, fields.get(READ_AS, ""), fields.get(READ_AGAINST) == "yes") if found else None


def reading_of(
    file: SentFile, kind: str, identity: str, fields: Mapping[str, str], before: Mapping[str, Any] | None,
    *, fresh: bool,
) -> tuple[Reading, dict[str, str]]:
    """Return what an instrument's form is filled with from a file, and its fields.

    Arguments:
        fields: as typed; what the file does not state stays as it is.
        before: what is on record; None for a new instrument.
        fresh: whether the file has just been chosen, so that its fields go before what is typed.

    Raises:
        Refusal: what the file states is not unambiguous.
    """
    found = read_calibration_file(file.data, file.name, kind=kind, identity=identity, sign=file.column_states,
                                  against_heading=file.against_heading)
    asked = KINDS.get(kind, VESSEL)
    now = _with(asked, found, fields) if fresh else dict(fields)
    if identity:
        now["id"] = identity
    if fresh:
        _can_be(kind, table_of(kind, now, before or {}), file.name)
    changes = () if before is None else tuple(Change(*one) for one in changes_of(before, table_of(kind, now, before)))
    return Reading(found, carried_text(file.data), file.column_states, changes, before is not None,
                   file.against_heading), now


def _can_be(kind: str, table: dict[str, Any], name: str) -> None:
    """Refuse at once what the form would be refused for, where it is of the file and not of what is not typed yet."""
    try:
        demand_issued(read_instrument(kind, table).certificate)
    except Refusal as refusal:
        if any(refusal.where.endswith(key) for key in OF_FILE):
            raise Refusal(refusal.what, where=f"{name[:60]}: {refusal.where}", remedy=refusal.remedy) from None


def material_reading(file: SentFile, fields: Mapping[str, str], *, fresh: bool) -> tuple[Reading, dict[str, str]]:
    """Return what the form of a reference material is filled with from a file, and its fields.

    Raises:
        Refusal: what the file states is not unambiguous.
    """
    found = read_material_certificate(file.data, file.name)
    return Reading(found, carried_text(file.data), ""), _with(MATERIAL, found, fields) if fresh else dict(fields)


def _with(asked: tuple[Asked, ...], found: FileRead, fields: Mapping[str, str]) -> dict[str, str]:
    """Return a form's fields with the file's in place of those typed; of a certificate, its own alone or none."""
    whole = found.what == OURS
    filling = {one.asked.key: one.text for one in filled(asked, found.table)
               if one.text or whole or (one.asked.key.startswith(WITHIN) and "certificate" in found.table)}
    kept = filling.pop("number", "") or fields.get("number", "")
    return {**fields, **filling, **({"number": kept} if kept else {})}

