"""Events that a command at the machine makes in somebody's name: nobody typed a password, and each of them says so."""

import getpass
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

_account: ContextVar[str | None] = ContextVar("account of the machine", default=None)
UNKNOWN = "unknown"


@contextmanager
def by_command() -> Iterator[None]:
    """Let every event that is appended within say that a command made it, under which account of the machine."""
    try:
        name = getpass.getuser()
    except (OSError, KeyError, ImportError):
        name = UNKNOWN  # an account without a name, as in some containers
    token = _account.set(name)
    try:
        yield
    finally:
        _account.reset(token)


def said_of_command() -> dict[str, Any]:
    """Return what an event says besides while a command runs; nothing for an act on a page."""
    account = _account.get()
    return {} if account is None else {"by_command": True, "account_of_machine": account}
