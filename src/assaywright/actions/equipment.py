"""Instruments, reference materials and methods: registered, calibrated, received, withdrawn, adopted."""

from dataclasses import dataclass
from typing import Any

from assaywright.actions.names import number
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.actions.repeated import repeatable
from assaywright.assay.observations import Certificate
from assaywright.metrology.refusal import Refusal
from assaywright.records import days
from assaywright.records.files import keep
from assaywright.records.instruments import certificate_of, changes_of, read_instrument, read_material
from assaywright.records.log import append
from assaywright.records.models import Calibration, Event, Instrument, Material, MethodEdition
from assaywright.records.models.equipment import IN_USE
from assaywright.records.models.people import ANALYST, MANAGEMENT, REVIEWER, SIGNATORY

WORKERS = (ANALYST, REVIEWER, SIGNATORY, MANAGEMENT)
IN_CHARGE = (REVIEWER, SIGNATORY, MANAGEMENT)


@dataclass(frozen=True, slots=True)
class SentFile:
    """A certificate's file from which a form was filled: its name, what it holds, and how its column was read.

    Fields:
        against_heading: whether the person said that the column's heading means the other.
    """

    name: str
    data: bytes
    column_states: str = ""
    against_heading: bool = False

    def kept(self) -> dict[str, Any]:
        """Keep it under its hash, and return what an event says of it."""
        said = {"name": self.name[:200], "sha256": keep(self.data), "size": len(self.data)}
        how = {"column_states": self.column_states, "against_heading": self.against_heading}
        return {"file": {**said, **{key: value for key, value in how.items() if value}}}


@repeatable
def instrument_register(
    *, identity: str, kind: str, table: dict[str, Any], by: str, act: str = "", file: SentFile | None = None,
) -> Event:
    """Register a vessel, balance or thermometer, with the table that a worksheet states of it.

    Where it states a certificate, whatever rests on it carries a remark until somebody else in charge has compared the
    entry with that, as with any later calibration.

    Arguments:
        file: from which the form was filled; it is kept.

    Raises:
        Refusal: the number is taken, the table is not one, its certificate is of a day still to come, or ``by`` may
            not.
    """
    demand(by, *WORKERS)
    identity = number(identity, "the number", "number", among=Instrument)
    table = {**table, "id": identity}
    if Instrument.objects.filter(pk=identity).exists():
        raise Refusal(f"{identity} is registered already", where="number", remedy="enter its new calibration there")
    demand_issued(read_instrument(kind, table).certificate)
    return append("instrument.registered", subject=identity, by=by, act=act,
                  payload={"kind": kind, "table": table, **({"to_be_checked": True} if "certificate" in table else {}),
                           **(file.kept() if file else {})})


@repeatable
def instrument_calibrate(
    *, identity: str, table: dict[str, Any], by: str, reason: str, correction: bool = False,
    expected: int | None = None, act: str = "", file: SentFile | None = None,
) -> Event:
    """Enter a calibration: the instrument's whole table as it holds from now on.

    What is other than before is told in the event. Until somebody else in charge has compared the entry with the
    certificate, whatever rests on it carries a remark.

    Arguments:
        reason: why it is entered: a new calibration, or what was wrong.
        correction: whether it corrects how the certificate in force was entered; without it a certificate has to have
            a number that is not on record of this instrument yet.
        file: from which the form was filled; it is kept.

    Raises:
        Refusal: no such instrument, the table is not one or of another number, its certificate is on record already or
            of a day still to come, nothing is other, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    instrument = _instrument(identity)
    if table.get("id") not in (None, identity):
        raise Refusal(f"the number {table['id']} is stated for the calibration of {identity}", where="number",
                      remedy="enter it on the page of that instrument")
    demand_issued(read_instrument(instrument.kind, table).certificate)
    reason = needed(reason, "the reason", "reason")
    changes = changes_of(instrument.content, table)
    if not changes:
        raise Refusal(f"nothing differs from what is on record of {identity}", where="calibration",
                      remedy="enter what the new certificate says")
    _new_certificate(identity, table, correction=correction)
    corrected = {"correction_of": certificate_of(instrument.content) or "an entry without a number"}
    return append("instrument.calibrated", subject=identity, by=by, act=act, expected=expected, seen=instrument.version,
                  reason=reason, payload={"kind": instrument.kind, "table": table, "changes": changes,
                                          "to_be_checked": True, **(corrected if correction else {}),
                                          **(file.kept() if file else {})})


def demand_issued(certificate: Certificate | None) -> None:
    """Refuse a certificate that is not issued yet: it would be in force before anybody has calibrated.

    Raises:
        Refusal: its day of issue is after the laboratory's day.
    """
    if certificate and certificate.issued and certificate.issued > days.today():
        raise Refusal(f"the day of issue {certificate.issued} is still to come", where="certificate",
                      remedy="write the day on which it was issued")


def _new_certificate(identity: str, table: dict[str, Any], *, correction: bool) -> None:
    certificate = certificate_of(table)
    known = Calibration.objects.filter(instrument=identity, certificate=certificate)
    if certificate and known.exists() and not correction:
        raise Refusal(f"the certificate {certificate} of {identity} is on record already", where="certificate",
                      remedy="write the new certificate's number, or say that this corrects how it was entered")


@repeatable
def instrument_withdraw(*, identity: str, by: str, reason: str, act: str = "") -> Event:
    """Withdraw an instrument from use.

    Raises:
        Refusal: no such instrument in use, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    _instrument(identity)
    return append("instrument.withdrawn", subject=identity, by=by, act=act, payload={},
                  reason=needed(reason, "the reason", "reason"))


@repeatable
def material_receive(
    *, identity: str, table: dict[str, Any], by: str, act: str = "", file: SentFile | None = None,
) -> Event:
    """Receive a reference material with its certificate; the file from which its form was filled is kept.

    Until somebody else in charge has compared the entry with the certificate, whatever rests on it carries a remark.

    Raises:
        Refusal: the number is taken, a worksheet would refuse the table, its certificate is of a day still to come, its
            name is known for another formula than the one stated, or ``by`` may not.
    """
    from assaywright.assay.materials import known_otherwise

    demand(by, *WORKERS)
    identity = number(identity, "the number", "number", among=Material)
    if Material.objects.filter(pk=identity).exists():
        raise Refusal(f"the reference material {identity} is there already", where="number",
                      remedy="give a new delivery its own number")
    material = read_material(table)
    demand_issued(material.certificate)
    if known := known_otherwise(material.name, material.formula):
        raise Refusal(f"{material.name} is {known}, and the formula {material.formula} is stated", where="formula",
                      remedy="correct the name or the formula to what the certificate says")
    return append("material.received", subject=identity, by=by, act=act,
                  payload={"table": table, "to_be_checked": True, **(file.kept() if file else {})})


@repeatable
def material_withdraw(*, identity: str, by: str, reason: str, act: str = "") -> Event:
    """Withdraw a reference material.

    Raises:
        Refusal: no such material in use, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    found = Material.objects.filter(pk=identity, state=IN_USE).first()
    Refusal.unless(found, f"there is no reference material {identity} in use", where="number",
                   remedy="choose one from the list")
    return append("material.withdrawn", subject=identity, by=by, act=act, payload={},
                  reason=needed(reason, "the reason", "reason"))


@repeatable
def method_adopt(*, name: str, by: str, text: str = "", act: str = "") -> Event:
    """Adopt a method: one that the program holds, or a laboratory's own as the text of its file.

    Raises:
        Refusal: the method is refused on reading, this edition is adopted already, or ``by`` may not.
    """
    from assaywright.assay.method import load_method, parse_method

    demand(by, *IN_CHARGE)
    method = parse_method(text, f"{name}.toml") if text else load_method(name)
    if MethodEdition.objects.filter(name=name, sha256=method.sha256).exists():
        raise Refusal(f"the method {name}, edition {method.edition}, is adopted already", where="method",
                      remedy="give a changed method a new edition")
    return append("method.adopted", subject=name, by=by, act=act,
                  payload={"edition": method.edition, "sha256": method.sha256, "text": text})


def _instrument(identity: str) -> Instrument:
    found = Instrument.objects.filter(pk=identity, state=IN_USE).first()
    return Refusal.unless(found, f"there is no instrument {identity} in use", where="number",
                          remedy="choose one from the list")
