"""The verb ``people``: the first administrator, and a lost password, at the machine itself."""

import argparse
import getpass
import sys
from pathlib import Path

from assaywright.cli.serve import USUAL
from assaywright.metrology.refusal import Refusal


def run(parsed: argparse.Namespace) -> int:
    """Add an administrator, give somebody other roles or a new password, or list the people."""
    if parsed.name is not None and parsed.add is None:
        raise Refusal("assaywright people: --name goes with --add-administrator", remedy="add it, or leave --name out")
    if parsed.give is None and (parsed.roles or parsed.reason is not None):
        raise Refusal("assaywright people: --role and --reason go with --give-roles",
                      remedy="add it, or leave them out")
    if parsed.give is not None and not parsed.roles:
        raise Refusal("assaywright people: no role is named", where="--role", remedy="name each that they then hold")
    if parsed.add is not None and parsed.name is None:
        raise Refusal("assaywright people: the name is missing", where="--name",
                      remedy='give it as it stands on certificates: --name "FIRST LAST"')
    from assaywright.web.start import make_ready, set_up

    set_up(Path(parsed.folder or USUAL))
    make_ready()
    from assaywright.records.by_command import by_command

    with by_command():
        return _done(parsed)


def _done(parsed: argparse.Namespace) -> int:
    if parsed.add is not None:
        return _add(parsed.add, parsed.name)
    if parsed.give is not None:
        return _give(parsed.give, parsed.roles, parsed.reason or "")
    return _list() if parsed.reset is None else _reset(parsed.reset)


def _add(identity: str, name: str) -> int:
    from django.db import transaction

    from assaywright.actions.passwords import password_chosen
    from assaywright.actions.people import COMMAND, person_add
    from assaywright.records import passwords
    from assaywright.records.models.people import ADMINISTRATOR
    from assaywright.web.accounts import account_make, password_set

    password, again = _typed_twice()
    with transaction.atomic():
        person_add(identity=identity, name=name, roles=[ADMINISTRATOR], by=COMMAND)
        password_chosen(identity=identity, how=passwords.COMMAND)
        password_set(account_make(identity), password, again)
    print(f"{name} can sign in as {identity}, as administrator.")
    return 0


def _give(identity: str, roles: list[str], reason: str) -> int:
    from assaywright.actions.people import COMMAND, person_change_roles
    from assaywright.records.models import Person

    person_change_roles(identity=identity, roles=roles, by=COMMAND, reason=reason)
    print(f"{identity} is now {Person.objects.get(pk=identity).roles or 'without a role'}.")
    return 0


def _reset(identity: str) -> int:
    from axes.models import AccessAttempt
    from django.db import transaction

    from assaywright.actions.passwords import password_chosen
    from assaywright.records import passwords
    from assaywright.records.models import Person
    from assaywright.web.accounts import account_make, password_set

    if not Person.objects.filter(pk=identity, present=True).exists():
        raise Refusal(f"nobody here signs in as '{identity[:60]}'", where="--reset",
                      remedy="see who does with assaywright people")
    password, again = _typed_twice()
    with transaction.atomic():
        password_chosen(identity=identity, how=passwords.COMMAND)
        password_set(account_make(identity), password, again)
    AccessAttempt.objects.filter(username=identity).delete()
    print(f"{identity} has a new password; every session that was open has ended.")
    return 0


def _list() -> int:
    from assaywright.cli.opening import terminal_width
    from assaywright.cli.tables import Column, drawn
    from assaywright.records.models import Person

    people = list(Person.objects.order_by("-present", "name"))
    if not people:
        print("Nobody yet. Make an administrator:\n"
              '  assaywright people FOLDER --add-administrator SIGN-IN-NAME --name "FIRST LAST"')
        return 0
    columns = [Column("signs in as"), Column("name", flexible=True), Column("roles", flexible=True)]
    rows = [[one.identity, one.name, one.roles if one.present else "has left"] for one in people]
    for line in drawn(columns, rows, terminal_width(), indent=""):
        print(line)
    return 0


def _typed_twice() -> tuple[str, str]:
    """Return a password asked for twice at the terminal; from a pipe, its first line, which counts for both."""
    if sys.stdin is None:
        raise Refusal("there is nowhere to type a password", remedy="run it in a terminal")
    if not sys.stdin.isatty():
        line = sys.stdin.readline().rstrip("\r\n")
        return line, line
    return getpass.getpass("New password: "), getpass.getpass("Once more: ")
