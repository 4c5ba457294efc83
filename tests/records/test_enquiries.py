"""Enquiries: taken down, answered, an answer corrected by a further one; by whom, and what cannot be."""

import pytest

from assaywright.metrology.refusal import Refusal

pytestmark = pytest.mark.usefixtures("laboratory")
ASKED = {"asked_by": "Fell and Arden", "received": "2026-11-20", "by": "ines"}
CANNOT_BE = (
    ({"about": "none"}, "there is no lot none"), ({"certificate": "C-none"}, "there is no certificate"),
    ({"asked_by": " "}, "the customer is missing"), ({"received": "2027-01-01"}, "has not come yet"),
    ({"characteristic": "colour of the sky"}, "has no characteristic"), ({"fields": {}}, "nothing where a number"),
    ({"fields": {"found": "0.0987"}}, "has no unit"), ({"fields": {"found": "0 % w/w"}}, "a content of 0"),
    ({"fields": {"found": "30 % w/w", "coverage_factor": "2"}}, "no uncertainty"),
    ({"fields": {"found": "30 % w/w", "temperature": "81"}}, "no temperature at which one titrates"),
    ({"fields": {"found": "30 % w/w", "taken": "3 mol/L"}}, "amount concentration"),
    ({"fields": {"found": "30 % w/w", "blank": "perhaps"}}, "is no answer"),
)


def opened(**said):
    from assaywright.actions.enquiries import enquiry_open

    return enquiry_open(**{"about": "0941", "fields": {"found": "30.30 % w/w"}, **ASKED, **said})


def test_an_enquiry_is_answered_and_the_answer_corrected_with_nothing_overwritten():
    from assaywright.actions.enquiries import enquiry_reply, enquiry_withdraw
    from assaywright.records.check import check_records
    from assaywright.records.models import Enquiry

    number = opened(act="11111111-0000-0000-0000-000000000001").subject
    assert opened(act="11111111-0000-0000-0000-000000000001").subject == number, "sent twice, stored once"
    assert opened().subject != number
    seen = Enquiry.objects.get(pk=number).version
    enquiry_reply(identity=number, reply="Please run a blank.", by="jonas", on="2026-11-23", expected=seen)
    with pytest.raises(Refusal, match="changed by somebody else"):
        enquiry_reply(identity=number, reply="Something else.", by="maren", expected=seen)
    enquiry_reply(identity=number, reply="The blank is not needed.", by="maren", on="2026-11-25")
    row = Enquiry.objects.get(pk=number)
    assert (row.state, row.answered, row.content["characteristic"]) == ("answered", "2026-11-25", "acetic acid")
    assert [(one["text"], one["by"], one["on"]) for one in row.content["replies"]] == [
        ("Please run a blank.", "jonas", "2026-11-23"), ("The blank is not needed.", "maren", "2026-11-25")]
    with pytest.raises(Refusal, match="a further one"):
        enquiry_withdraw(identity=number, reason="asked by mistake", by="ines")
    found = check_records()
    assert (found.faults, found.tables) == ([], True)


def test_whoever_works_takes_one_down_and_only_somebody_in_charge_answers_it():
    from assaywright.actions.enquiries import enquiry_reply, enquiry_withdraw

    with pytest.raises(Refusal, match="may not do this"):
        enquiry_reply(identity=opened().subject, reply="Please run a blank.", by="ines")
    withdrawn = opened().subject
    enquiry_withdraw(identity=withdrawn, reason="taken down twice", by="ines")
    with pytest.raises(Refusal, match="was withdrawn"):
        enquiry_reply(identity=withdrawn, reply="Please run a blank.", by="jonas")


def test_what_cannot_be_is_refused_in_a_sentence():
    for said, told in CANNOT_BE:
        with pytest.raises(Refusal, match=told):
            opened(**said)
