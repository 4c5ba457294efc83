"""One at a time: what a start does to a folder and its database, it does alone."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

FILE = "starting.lock"


@contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Wait until no other start of this folder is at work, and keep others waiting meanwhile.

    The system lets go of the lock when the program ends, however it ends.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with (folder / FILE).open("a+b") as file:
        if sys.platform == "win32":
            import msvcrt
            import time

            while True:  # LK_LOCK would give up after ten seconds
                file.seek(0)
                try:
                    msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
                except OSError:
                    time.sleep(0.2)
                else:
                    break
            try:
                yield
            finally:
                file.seek(0)
                msvcrt.locking(file.fileno(), msvcrt.LK_UNLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX)
            yield
