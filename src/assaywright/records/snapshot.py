"""The records as they stand at one moment, while people go on writing."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection

BEGIN = {"sqlite": "BEGIN", "postgresql": "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY"}


@contextmanager
def snapshot() -> Iterator[None]:
    """Let everything that is read within come from one moment; nobody who writes is kept waiting.

    Inside a transaction that is open already, that one is used.
    """
    if connection.in_atomic_block:
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute(BEGIN[connection.vendor])
        try:
            yield
        finally:
            cursor.execute("ROLLBACK")
