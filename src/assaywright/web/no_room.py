"""A full disk, told apart from a fault of the program."""

import errno

from django.db import DatabaseError

SAID = ("The disk that keeps the records is full, and nothing of it was recorded; tell an administrator, and send it "
        "once more when there is room.")
NUMBERS = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
WORDS = ("disk is full", "disk i/o error", "no space left", "disk full")  # of SQLite, PostgreSQL and the system


def no_room(problem: BaseException | None) -> bool:
    """Return whether something failed because a disk is full, whoever said so first."""
    while problem is not None:
        if isinstance(problem, OSError) and problem.errno in NUMBERS:
            return True
        if isinstance(problem, DatabaseError) and any(words in str(problem).lower() for words in WORDS):
            return True
        problem = problem.__cause__ or problem.__context__
    return False
