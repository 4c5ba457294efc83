"""Work that went on record over three days after it says that it was done is asked about, and told on certificates.

That observations are recorded at the time they are made: ISO/IEC 17025:2017, 7.5.1 (from memory).
"""

import pytest

from tests.records.test_acts import heading, issued

pytestmark = pytest.mark.usefixtures("laboratory")


def remarks(number):
    from assaywright.records.models import Assay
    from assaywright.records.selectors.assays import outcome_of

    return [one.what for one in outcome_of(Assay.objects.get(pk=number))[0].remarks if one.kind == "recorded-late"]


def begun(number, lot, performed):
    from assaywright.actions.assays import assay_begin, determination_record
    from assaywright.actions.lots import lot_make
    from assaywright.records.models import Determination

    lot_make(identity=lot, by="ines", table={"product": "acetic acid 30 % w/w"})
    assay_begin(heading={**heading(number, lot), "performed": performed}, about=lot, rests_on=["WS-26-0878"], by="ines")
    determination_record(identity=number, by="ines", fields=Determination.objects.filter(
        assay="WS-26-0903").order_by("place").first().content, own=True)


def test_both_days_are_named_after_more_than_three_and_nothing_is_asked_up_to_them():
    from datetime import timedelta

    from assaywright.records import days

    today = days.today()
    begun("WS-26-0990", "0990", (today - timedelta(days=3)).isoformat())
    begun("WS-26-0991", "0991", (today - timedelta(days=4)).isoformat())
    assert remarks("WS-26-0990") == []
    said, = remarks("WS-26-0991")
    assert str((today - timedelta(days=4)).day) in said
    assert str(today.year) in said


def test_a_certificate_says_when_it_was_recorded():
    from assaywright.assay.wording import written_date
    from assaywright.records import days
    from assaywright.records.files import read
    from assaywright.records.models import Certificate
    from assaywright.reports.attached import attached_document

    issued()
    document = attached_document(read(Certificate.objects.get(lot="0941").pdf_sha256))
    assayed = next(one["text"] for one in document["identification"] if one["label"] == "Assayed")
    assert assayed.endswith(f", recorded on {written_date(days.today())}")
