"""Acts of every kind, as people would do them one after the other; their events are what tests/frozen keeps.

Run ``python -m tests.records.story`` once a kind of event is new, or has a new schema: it adds the samples that are
missing, and a whole set of records for a version that has none. What is frozen already is left alone.
"""

import json
import os
import sqlite3
import sys
import tempfile
from pathlib import Path

FROZEN = Path(__file__).resolve().parents[1] / "frozen"
HISTORY = """
format = "assaywright history 1"
source = "Assay book 2019"
decimal_mark = ","
dates = "day-month-year"
separator = ";"
[columns]
lot = "Batch"
performed = "Day"
value = "Content"
[fixed]
unit = "mol/L"
"""


def perform(files):
    """Do acts of every kind.

    Arguments:
        files: of the demonstration laboratory, by name.
    """
    people()
    import_laboratory(files)
    equipment()
    the_line()
    out_of_specification()
    what_goes_out()
    reopened_and_void()
    what_comes_in()
    what_customers_ask()
    what_comes_back()


def people():
    from assaywright.actions.passwords import link_made, password_chosen
    from assaywright.actions.people import COMMAND, person_add, person_change_roles, person_leave
    from assaywright.records.passwords import LINK

    person_add(identity="maren", name="Maren Tolliver", by=COMMAND,
               roles=["administrator", "laboratory management", "authorised signatory"])
    person_add(identity="jonas", name="Jonas Feld", roles=["reviewer"], by="maren")
    person_add(identity="ines", name="Ines Okafor", roles=["analyst"], by="maren")
    person_add(identity="tomas", name="Tomas Rehn", roles=["analyst"], by="maren")
    person_add(identity="runa", name="Runa Eklund", roles=["reviewer"], by="maren")
    person_add(identity="ada", name="Ada Lindqvist", roles=["analyst"], by="maren", function="trainee")
    person_change_roles(identity="tomas", roles=["analyst", "reviewer"], by="maren", reason="trained in reviewing")
    person_add(identity="oskar", name="Oskar Brandt", roles=["administrator"], by="maren")
    link_made(identity="jonas", by="oskar")
    password_chosen(identity="jonas", how=LINK)
    person_leave(identity="ada", by="maren", reason="end of the traineeship")


def import_laboratory(files):
    from assaywright.actions.characteristics import characteristic_check
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.records.investigated import unchecked

    bring = WorksheetImport(files.__getitem__, "runa")
    for name in sorted(name for name in files if name.startswith("lots/")):
        number = bring.lot(name)
        if unchecked(number):
            characteristic_check(identity=number, by="jonas")


def equipment():
    from assaywright.actions.equipment import (
        instrument_calibrate,
        instrument_withdraw,
        material_receive,
        material_withdraw,
        method_adopt,
    )
    from assaywright.actions.second_look import instrument_check, material_check
    from assaywright.actions.solutions import solution_discard, solution_prepare, solution_specify, solution_verify
    from assaywright.records.models import Instrument, Material

    method_adopt(name="naoh-by-khp", by="maren")
    burette = Instrument.objects.filter(kind="burette").first()
    calibration = instrument_calibrate(
        identity=burette.pk, by="ines", reason="calibrated as every year",
        table={**burette.content, "certificate": {"id": "C-26-801", "issued": {"date": "2026-10-20"}, "due": "2027-10",
                                                  "traceable_to": "SI, through the kilogram"}})
    instrument_check(identity=burette.pk, entry=calibration.number, by="jonas")
    thermometer = Instrument.objects.filter(kind="thermometer").first()
    material = Material.objects.first()
    received = material_receive(identity="RM-SPARE", table=material.content, by="ines")
    material_check(identity="RM-SPARE", entry=received.number, by="jonas")
    material_withdraw(identity="RM-SPARE", by="ines", reason="the bottle broke")
    solution_prepare(identity="T-999", by="ines", prepared="2026-11-02", volume="2 L",
                     table={"name": "sodium hydroxide", "formula": "NaOH", "nominal": "0.1 mol/L",
                            "use_before": "2027-05", "concentration": "0.1001 mol/L ± 0.0002 mol/L, k = 2",
                            "certificate": {"id": "C-99"}})
    solution_verify(identity="T-999", found="0.1002 mol/L", limit_percent="0.3", by="ines")
    solution_specify(identity="T-999", by="maren", table={
        "maker": "Tarn Hollow Reagents", "storage": "tightly closed", "hazards": ["H290", "H315", "H319"],
        "limits": {"name": "amount concentration of NaOH", "lower": "0.099 mol/L", "upper": "0.101 mol/L"}})
    solution_discard(identity="T-999", by="ines", reason="used up today")
    if thermometer is not None:
        instrument_withdraw(identity=thermometer.pk, by="ines", reason="the column has parted")


def the_line():
    """A lot is made, sampled, assayed, corrected, sent back, sent again and reviewed."""
    from assaywright.actions import assays, bench, characteristics, lots
    from assaywright.records.models import Assay, Determination, Lot, Product

    lots.lot_make(identity="0951", quantity="20 L", by="ines",
                  table={**Lot.objects.get(pk="0941").content, "certificate_number": "TH-26-0951-1"})
    lots.lot_sample(identity="0951", taken="2026-11-02", where="tank 4, outlet", retained_until="2028-11-02", by="ines")
    lots.bottle_open(identity="0951-1", of="0951", opened="2026-11-03", by="ines")
    entered = next(one["name"] for one in Product.objects.get(pk=Lot.objects.get(pk="0941").product).content[
        "characteristics"] if not one.get("method"))
    from assaywright.records.models import EnteredCharacteristic

    characteristics.characteristic_enter(
        identity="0951", by="ines", table=EnteredCharacteristic.objects.filter(lot="0941", name=entered).last().content)
    characteristics.characteristic_check(identity="0951", by="jonas")
    lots.lot_amend(identity="0951", fields={"quantity": "20 × 1 L"}, by="ines", reason="filled into bottles")
    old = Assay.objects.get(pk="WS-26-0903")
    heading = {**old.content, "id": "WS-26-0951", "sample": {**old.content["sample"], "lot": "0951"}}
    rests_on = json.loads(old.rests_on)
    assays.assay_begin(heading=heading, about="0951", rests_on=rests_on, by="ines")
    bench.bench_check(identity="WS-26-0951", checks=["goggles and gloves", "burette rinsed, no bubbles"], by="ines")
    bench.reading_keep(identity="WS-26-0951", place=1, name="final", text="24.52", by="ines")
    bench.question_confirm(identity="WS-26-0951", place=1, name="final", text="24.52", code="far", by="ines",
                           question="24.52 mL is far from what is expected: is it so?")
    for row in Determination.objects.filter(assay=old.pk).order_by("place"):
        assays.determination_record(identity="WS-26-0951", fields=row.content, by="ines")
    first = Determination.objects.get(assay="WS-26-0951", place=1)
    assays.determination_correct(identity="WS-26-0951", place=1, fields=first.content, by="ines",
                                 reason="the thermometer was read again")
    assays.determination_exclude(identity="WS-26-0951", place=2, by="ines", reason="a bubble in the tip")
    assays.determination_readmit(identity="WS-26-0951", place=2, by="ines", reason="it was in the other burette")
    assays.assay_amend(identity="WS-26-0951", heading=heading, rests_on=rests_on, by="ines", reason="sample named anew")
    assays.assay_send(identity="WS-26-0951", by="ines")
    assays.assay_return(identity="WS-26-0951", by="jonas", reason="say which flask was used")
    assays.assay_send(identity="WS-26-0951", by="ines")
    assays.assay_review(identity="WS-26-0951", by="jonas",
                        worksheet_sha256=assays.sha256_of(Assay.objects.get(pk="WS-26-0951")))


def out_of_specification():
    from assaywright.actions import investigations, lots, products, respecification
    from assaywright.actions.signatures import signature_refuse
    from assaywright.records.models import Product

    lots.lot_hold(identity="0942", by="ines", reason="the first result lies below the limit")
    investigations.retest_authorise(
        identity="0942", checks={"was the burette clean?": "yes, no drops on the wall"},
        plan="three determinations of the retained sample by Tomas Rehn", by="maren")
    investigations.investigation_conclude(identity="0942", verdict=investigations.FIRST_STANDS, by="maren",
                                          conclusion="the cause lies in the lot; no retest was titrated")
    lots.lot_reject(identity="0942", by="maren", reason="below the limit")
    product = Product.objects.first()
    products.product_revise(name=product.pk, definition=product.content, by="maren", reason="reviewed as every year")
    respecification.lot_respecify(identity="0941", by="jonas", reason="the edition that is reviewed every year")
    signature_refuse(subject="WS-26-0903", meaning="reviewed", by="jonas")


def what_goes_out():
    from assaywright.actions import assays, lots
    from assaywright.actions.accreditation import accreditation_state
    from assaywright.actions.certificates import certificate_amend, certificate_issue, certificate_withdraw
    from assaywright.records.models import Assay, Certificate

    for number in ("WS-26-0871", "WS-26-0874", "WS-26-0878", "WS-26-0903"):
        assays.assay_send(identity=number, by="ines")
        assays.assay_review(identity=number, by="jonas",
                            worksheet_sha256=assays.sha256_of(Assay.objects.get(pk=number)))
    accreditation_state(identity="TH-ACC-0001", scope="assay of acetic acid by titration", since="2026-01-01",
                        covers=[{"method": "acetic-acid-by-naoh", "product": "acetic acid 30 % w/w"}], by="maren")
    irregular()
    lots.lot_release(identity="0941", by="maren")
    certificate_issue(lot="0941", by="maren")
    lots.lot_amend(identity="0941", fields={"storage": "tightly closed, 10 °C to 25 °C"}, by="maren",
                   reason="the storage temperature was mistyped")
    certificate_amend(number=Certificate.objects.get(lot="0941").pk, changed="the storage temperature", by="maren")
    certificate_withdraw(number=Certificate.objects.get(lot="0941", superseded_by="").pk, by="maren",
                         reason="the storage temperature was right at first")


def irregular():
    """Determinations that lie too far apart are accepted by somebody who has not titrated them."""
    from assaywright.actions import assays
    from assaywright.actions.irregularities import remark_accept
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    assays.assay_send(identity="WS-26-0912", by="tomas")
    held = [one for one in evaluate_assay(Assay.objects.get(pk="WS-26-0912")).remarks if one.holds]
    for one in held:
        remark_accept(subject="WS-26-0912", kind=one.kind, where=one.where, what=one.what, by="maren",
                      reason="a coarse powder; the range is that of its portions and stands in the uncertainty")


def reopened_and_void():
    """A result is looked at again after the certificate went out; a worksheet begun by mistake is declared void."""
    from assaywright.actions import assays, reopening
    from assaywright.records.models import Assay

    reopening.assay_reopen(identity="WS-26-0903", by="maren", reason="the balance was found out of order")
    old = Assay.objects.get(pk="WS-26-0951")
    heading = {**old.content, "id": "WS-26-0952", "sample": {**old.content["sample"], "lot": "0952"}}
    assays.assay_begin(heading=heading, about="0952", rests_on=json.loads(old.rests_on), by="ines")
    reopening.assay_void(identity="WS-26-0952", by="ines", reason="begun for a lot that there is not")
    a_standardisation_comes_out_otherwise()


def a_standardisation_comes_out_otherwise():
    """What rests on it comes back to be signed anew."""
    from decimal import Decimal

    from assaywright.actions import assays, reopening
    from assaywright.records.models import Assay, Determination

    reopening.assay_reopen(identity="WS-26-0878", by="maren", reason="the protocol of the burette was found")
    for row in Determination.objects.filter(assay="WS-26-0878").order_by("place"):
        final = Decimal(row.content["final"].removesuffix(" mL")) + Decimal("0.20")
        assays.determination_correct(identity="WS-26-0878", place=row.place, by="ines",
                                     fields={**row.content, "final": f"{final} mL"}, reason="read from the protocol")
    assays.assay_send(identity="WS-26-0878", by="ines")
    assays.assay_review(identity="WS-26-0878", by="jonas",
                        worksheet_sha256=assays.sha256_of(Assay.objects.get(pk="WS-26-0878")))


def what_comes_in():
    from assaywright.actions.files import file_attach
    from assaywright.actions.history import history_import
    from assaywright.records.history import read_mapping

    file_attach(subject="0941", name="label.txt", data=b"acetic acid 30 % w/w, lot 0941", by="ines")
    history_import(data=b"Batch;Day;Content\n0801;03.04.2019;1,0024\n", name="old.csv", by="maren",
                   mapping=read_mapping(HISTORY.encode(), "columns.toml"))


def what_customers_ask():
    from assaywright.actions.enquiries import enquiry_open, enquiry_reply, enquiry_withdraw

    told = {"found": "30.30 % w/w", "uncertainty": "0.10 % w/w", "coverage_factor": "2", "titrant": "0.5 mol/L caustic",
            "indicator": "phenolphthalein", "temperature": "27 °C", "taken": "2.5 g", "blank": "none"}
    first = enquiry_open(about="0941", asked_by="Fell and Arden, the laboratory", received="2026-11-20", fields=told,
                         by="ines")
    enquiry_reply(identity=first.subject, reply="Please run a blank, and tell us what it takes.", by="jonas",
                  on="2026-11-23")
    second = enquiry_open(about="T-0918", asked_by="Fell and Arden, the laboratory", received="2026-11-24", by="ines",
                          fields={"found": "0.4990 mol/L"})
    enquiry_withdraw(identity=second.subject, by="ines", reason="taken down twice")


def what_comes_back():
    from assaywright.actions import lots

    lots.lot_recall(identity="0941", by="maren", reason="a wrong label on one of its bottles")


# --- freezing ---------------------------------------------------------------------------------------------------------


def sample_file(kind, schema):
    return FROZEN / "events" / f"{kind}.schema-{schema}.json"


def missing_samples():
    from assaywright.records.catalogue import EVENTS

    return [kind for kind, known in EVENTS.items() if not sample_file(kind, known.schema).exists()]


def freeze():
    """Perform the story in a folder of its own, and keep of it what is not kept yet."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ.update(ASSAYWRIGHT_FOLDER=folder, DJANGO_SETTINGS_MODULE="assaywright.web.settings")
        os.environ.pop("ASSAYWRIGHT_DATABASE", None)
        import django

        django.setup()
        from django.core.management import call_command
        from django.db import connection

        from assaywright import __version__
        from assaywright.cli.demo_story import laboratory
        from assaywright.records.catalogue import EVENTS
        from assaywright.records.models import Event

        call_command("migrate", verbosity=0)
        perform(laboratory())
        for kind, known in EVENTS.items():
            event = Event.objects.filter(kind=kind, schema=known.schema).order_by("number").first()
            target = sample_file(kind, known.schema)
            if event is not None and not target.exists():
                target.parent.mkdir(parents=True, exist_ok=True)
                kept = {**event.fields(), "previous": event.previous, "digest": event.digest}
                target.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")
        connection.close()
        dump = FROZEN / f"records-{__version__}.sql"
        if not dump.exists():
            with sqlite3.connect(Path(folder) / "records.sqlite3") as source:
                lines = "\n".join(source.iterdump())
            dump.write_text(lines + "\n", encoding="utf-8", newline="\n")
    sys.stdout.write(f"no sample yet of {', '.join(missing_samples()) or 'no kind'}\n")


if __name__ == "__main__":
    freeze()
