"""Pages for tests: the records of the tests beside these, and somebody signed in."""

import pytest

from tests.records.conftest import (  # noqa: F401 - fixtures by their names
    PASSWORD,
    STAFF,
    accounts,
    demonstration,
    django_ready,
    laboratory,
    people,
    postgresql_copies,
    postgresql_template,
    records,
    sqlite_copies,
    sqlite_template,
)

# What these look at are words, forms and drawings; everything that the database has a part in is tried with both kinds
# in tests/records and in the other modules here.
ONE_DATABASE = {f"test_{name}.py" for name in (
    "plan", "typed", "not_there", "registers", "paper", "what_is_this", "long_words", "labels", "page_weights", "trust",
    "certificate_language", "irregular_pages", "drift", "pages", "impact", "enquiries", "assays_pages", "lots_pages",
    "specification_pages", "production", "certificates_pages", "bench_blank",
    "bench_checks", "bench_results", "bench_standing")}


def pytest_collection_modifyitems(config, items):
    """Try the modules about words with SQLite alone; pytest tells how many are left out so."""
    left_out = [one for one in items if one.path.parent.name == "web" and one.path.name in ONE_DATABASE
                and "[postgresql" in one.name]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [one for one in items if one not in set(left_out)]


@pytest.fixture
def browser(accounts):  # noqa: F811
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
