"""By whose doing somebody has a password: on record without its content, and shown with each signature.

That nobody can sign in another's name unseen: common practice, no source.
"""

import json

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, events, reviewed_all

pytestmark = pytest.mark.usefixtures("laboratory")


def by_link(maker):
    act("passwords.link_made", identity="jonas", by=maker)
    act("passwords.password_chosen", identity="jonas", how="by link")


def test_who_made_a_link_does_not_release_what_was_signed_behind_it_and_the_signature_says_so():
    from assaywright.records.selectors.assays import signed_by

    by_link("maren")
    act("passwords.password_chosen", identity="jonas", how="own change, the old password was asked for")
    reviewed_all()
    made, chosen, _ = events("jonas")[-3:]
    assert (made.kind, made.by, made.payload) == ("person.link.made", "maren", "{}")
    assert json.loads(chosen.payload) == {"how": "by link", "link_of": "maren", "link_event": made.number}
    assert "password set by link of Maren Tolliver on " in signed_by("WS-26-0903")[0]
    with pytest.raises(Refusal, match="with a password that was set by a link of Maren Tolliver"):
        act("lots.lot_release", identity="0941", by="maren")


def test_a_link_of_somebody_else_is_shown_and_holds_nothing_back():
    from assaywright.records.selectors.history import history

    act("people.person_add", identity="oskar", name="Oskar Brandt", roles=["administrator"], by="maren")
    by_link("maren")
    by_link("oskar")
    reviewed_all()
    act("lots.lot_release", identity="0941", by="maren")
    told = history("WS-26-0903", of="worksheet")[-1].details
    assert any("password set by link of Oskar Brandt on " in one for one in told)


def test_a_link_is_made_by_an_administrator_for_somebody_present():
    with pytest.raises(Refusal, match="may not do this"):
        act("passwords.link_made", identity="jonas", by="ines")
    with pytest.raises(Refusal, match="nobody here"):
        act("passwords.link_made", identity="petra", by="maren")


def test_a_refused_signature_is_nobodys_and_an_act_sent_twice_is_one():
    from assaywright.records.selectors.history import history

    sent = {"identity": "0941", "by": "jonas", "act": "00000000-0000-4000-8000-000000000001"}
    act("characteristics.characteristic_enter", identity="0941", by="ines", reason="measured once more",
        table={"name": "chloride", "less_than": "1 mg/kg", "source": "T. Rehn, 2026-11-29"})
    first = act("characteristics.characteristic_check", **sent)
    by_link("maren")
    assert act("characteristics.characteristic_check", **sent).number == first.number
    act("signatures.signature_refuse", subject="WS-26-0903", meaning="reviewed", by="jonas")
    assert not any("password set" in one for one in history("WS-26-0903", of="worksheet")[-1].details)


def test_what_a_command_does_in_somebodys_name_says_so():
    from assaywright.records.by_command import by_command
    from assaywright.records.selectors.history import history

    with by_command():
        act("lots.lot_hold", identity="0943", by="ines", reason="outside its limits")
    act("lots.lot_hold", identity="0944", by="ines", reason="outside its limits")
    told = history("0943", of="lot")[-1]
    assert told.sentence.startswith("Ines Okafor (by command) put ")
    assert told.details[-1].startswith("by command, for Ines Okafor: no password was asked for; account of the ")
    assert json.loads(events("0943")[-1].payload)["by_command"] is True
    assert "by_command" not in events("0944")[-1].payload
