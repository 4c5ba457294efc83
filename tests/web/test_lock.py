"""One start at a time on Windows: the branch that runs there, with a stand-in for its module msvcrt.

The stand-in behaves as Python's documentation of msvcrt.locking says: LK_NBLCK raises OSError when the bytes are locked
already, and what is locked are bytes from where the file stands. It is no Windows; it shows that the logic holds.
"""

import os
import sys
import threading
from types import SimpleNamespace

import pytest

from assaywright.web import lock


class StandIn(SimpleNamespace):
    """Keeps which byte of which file is locked."""

    LK_UNLCK, LK_NBLCK = 0, 2

    def __init__(self):
        super().__init__(held=set(), refused=0, guard=threading.Lock())

    def locking(self, descriptor, mode, number):
        byte = (os.fstat(descriptor).st_ino, os.lseek(descriptor, 0, os.SEEK_CUR), number)
        with self.guard:
            if mode == self.LK_UNLCK:
                self.held.remove(byte)
                return
            assert mode == self.LK_NBLCK
            if byte in self.held:
                self.refused += 1
                raise OSError(13, "Permission denied")
            self.held.add(byte)


@pytest.fixture
def windows(monkeypatch):
    stand_in = StandIn()
    monkeypatch.setitem(sys.modules, "msvcrt", stand_in)
    monkeypatch.setattr(lock, "sys", SimpleNamespace(platform="win32"))
    return stand_in


def test_the_stand_in_refuses_a_byte_that_is_locked_already(windows, tmp_path):
    with (tmp_path / "one").open("a+b") as one, (tmp_path / "one").open("a+b") as same:
        windows.locking(one.fileno(), windows.LK_NBLCK, 1)
        with pytest.raises(OSError, match="denied"):
            windows.locking(same.fileno(), windows.LK_NBLCK, 1)


def test_a_second_start_waits_until_the_first_has_done(windows, tmp_path):
    told, inside, go = [], threading.Event(), threading.Event()

    def first():
        with lock.only_one(tmp_path):
            inside.set()
            go.wait(10)
            told.append("first")

    def second():
        with lock.only_one(tmp_path):
            told.append("second")

    threads = [threading.Thread(target=first), threading.Thread(target=second)]
    threads[0].start()
    assert inside.wait(10)
    threads[1].start()
    while not windows.refused:
        assert threads[1].is_alive()
    assert told == []
    go.set()
    for thread in threads:
        thread.join(10)
    assert told == ["first", "second"]
    assert windows.held == set()


def failing(folder):
    with lock.only_one(folder):
        raise RuntimeError("no room")


def test_a_start_that_fails_lets_go(windows, tmp_path):
    with pytest.raises(RuntimeError, match="no room"):
        failing(tmp_path)
    assert windows.held == set()
    with lock.only_one(tmp_path):
        assert windows.held
