"""Accounts are outside the chain: check-records names each with its person, and what no act of the program made.

Access rights are to be under control and reviewable (ISO/IEC 17025:2017, 7.11.3 a).
"""

import json

import pytest

from tests.records.test_check import command, settings_of_files  # noqa: F401 - fixtures by their names


@pytest.fixture
def two_accounts(people):
    from assaywright.web.accounts import account_make, password_set

    for identity in ("maren", "ines"):
        password_set(account_make(identity), "four words nobody says", "four words nobody says")


def test_every_account_is_told_with_its_roles_and_the_event_behind_it(two_accounts, command):  # noqa: F811
    status, out, _ = command("check-records")
    assert status == 0
    assert "ines analyst open 3" in out
    assert "jonas reviewer none 2" in out
    assert "Not looked at, since no event stands behind them: passwords; sessions" in out
    told = {one["identity"]: one for one in json.loads(command("check-records", "--json")[1])["accounts"]}
    assert told["ines"] == {"identity": "ines", "roles": "analyst", "account": "open", "added_by_event": 3}


def a_stranger():
    from assaywright.web.accounts import account_make

    account_make("stranger")


def a_superuser():
    from django.contrib.auth import get_user_model

    get_user_model().objects.filter(username="ines").update(is_superuser=True)


def an_open_account_of_somebody_gone():
    from assaywright.actions.people import person_leave

    person_leave(identity="ines", by="maren", reason="moved away")


def an_invented_account():
    from assaywright.web.accounts import invented_account_make

    invented_account_make("ines", "tarn-hollow-reagents")


@pytest.mark.parametrize(("change", "named"), [
    (a_stranger, "the account stranger has nobody of the records behind it"),
    (a_superuser, "the account ines bears a mark (staff or superuser) that this program never gives"),
    (an_open_account_of_somebody_gone, "the account ines is open, and Ines Okafor has left"),
    (an_invented_account, "the account ines is one of the demonstration"),
])
def test_an_account_that_no_act_made_is_a_fault(two_accounts, command, change, named):  # noqa: F811
    change()
    status, out, _ = command("check-records")
    assert status == 1
    assert f"Fault: {named}" in out


# --- who gives roles --------------------------------------------------------------------------------------------------


@pytest.fixture
def administrator(people):
    """Somebody who is administrator and nothing else."""
    from assaywright.actions.people import COMMAND, person_add

    person_add(identity="berta", name="Berta Lindqvist", roles=["administrator"], by=COMMAND)
    return "berta"


def change(identity, roles, by):
    from assaywright.actions.people import person_change_roles

    return person_change_roles(identity=identity, roles=roles, by=by, reason="asked for")


def test_nobody_widens_their_own_roles_but_may_give_some_up(administrator):
    from assaywright.metrology.refusal import Refusal
    from assaywright.records.models import Person

    with pytest.raises(Refusal, match="nobody widens their own roles"):
        change("berta", ["administrator", "reviewer"], "berta")
    assert Person.objects.get(pk="berta").roles == "administrator"
    change("maren", ["authorised signatory", "administrator"], "maren")
    change("berta", ["reviewer", "administrator"], "maren")
    assert Person.objects.get(pk="berta").roles == "reviewer, administrator"


def test_no_administrator_gives_accounts_and_signature_into_one_hand(administrator):
    from assaywright.actions.people import COMMAND, person_add
    from assaywright.metrology.refusal import Refusal
    from assaywright.records.models import Event

    with pytest.raises(Refusal, match="in one hand"):
        change("berta", ["administrator", "authorised signatory"], "maren")
    with pytest.raises(Refusal, match="in one hand"):
        person_add(identity="other", name="Other Name", roles=["administrator", "authorised signatory"], by="berta")
    change("berta", ["administrator", "authorised signatory"], COMMAND)
    last = Event.objects.order_by("number").last()
    assert (last.kind, last.by, last.reason) == ("person.roles.changed", "by command", "asked for")


def test_roles_are_given_at_the_machine_by_command(administrator, command, monkeypatch):  # noqa: F811
    from assaywright.records.models import Person
    from assaywright.web import start

    monkeypatch.setattr(start, "set_up", lambda _: None)
    monkeypatch.setattr(start, "make_ready", lambda: None)
    status, out, err = command("people", "--give-roles", "berta", "--role", "administrator", "--role",
                               "authorised signatory", "--reason", "a laboratory of two")
    assert (status, err) == (0, "")
    assert "berta is now authorised signatory, administrator" in out
    assert Person.objects.get(pk="berta").roles == "authorised signatory, administrator"
    for wrong in (["--give-roles", "berta", "--reason", "x"], ["--role", "analyst"],
                  ["--give-roles", "berta", "--role", "analyst"]):
        assert command("people", *wrong)[0] == 2
