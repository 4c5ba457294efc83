"""Pages for tests: the records of the tests beside these, and somebody signed in."""

import pytest

from tests.records.conftest import (  # noqa: F401 - fixtures by their names
    demonstration,
    django_ready,
    laboratory,
    people,
    postgresql_template,
    records,
    sqlite_template,
)

PASSWORD = "four words nobody says"  # noqa: S105
STAFF = ("maren", "jonas", "ines", "tomas")


@pytest.fixture
def accounts(people):  # noqa: F811
    """Accounts of the invented staff, all with one password."""
    from assaywright.web.accounts import account_make, password_set

    for identity in STAFF:
        password_set(account_make(identity), PASSWORD, PASSWORD)


@pytest.fixture
def browser(accounts):
    """Return a browser of somebody, signed in; of nobody in particular where no name is given."""
    from django.contrib.auth import get_user_model
    from django.test import Client

    def opened(identity="", **options):
        client = Client(**options)
        plainly = client.generic
        client.generic = lambda *args, **kwargs: plainly(*args, **{**kwargs, "secure": True})
        if identity:
            client.force_login(get_user_model().objects.get(username=identity),
                               backend="assaywright.web.access.PresentPeople")
        return client

    return opened
