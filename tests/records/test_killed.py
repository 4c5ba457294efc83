"""Killed while writing, and started twice at once: nothing acknowledged is lost, nothing is there twice.

What is promised rests on SQLite's synchronous=FULL with a write-ahead log and PostgreSQL's synchronous commit (their
documentation); here it is tried: kill -9 ten times for each kind of database (500 by command: tests/records/killed.py).
A killed process is not a power cut: what the disk itself loses then no test on one machine can show.
"""

import os
import subprocess
import sys

import pytest

from tests.records import killed
from tests.records.conftest import KINDS

TIMES = 10
READY = ("from pathlib import Path; import sys; from assaywright.web.start import set_up, make_ready; "
         "set_up(Path(sys.argv[1])); make_ready(); print('ready')")


@pytest.fixture(params=KINDS)
def database(request):
    """The address of an empty database; empty text for SQLite."""
    if request.param == "sqlite":
        yield ""
        return
    with killed.a_database() as address:
        yield address


@pytest.mark.slow
def test_a_writer_killed_ten_times_loses_no_acknowledged_act_and_stores_none_twice(tmp_path, database):
    told = []
    acts = killed.kill_again_and_again(tmp_path, TIMES, database=database, seed=7, told=told.append)
    assert len(told) == TIMES
    assert acts > TIMES, "the writers were killed before they wrote anything"


def test_the_check_of_this_test_notices_an_act_that_is_lost_or_twice(tmp_path):
    surroundings = {**os.environ, "ASSAYWRIGHT_FOLDER": str(tmp_path), "ASSAYWRIGHT_DATABASE": ""}
    killed.in_process(["migrate"], surroundings)
    acknowledged = int(killed.in_process(["kill", "1", "0.6"], surroundings))
    assert acknowledged > 1
    with pytest.raises(AssertionError, match="was acknowledged"):
        killed.in_process(["check", str(acknowledged + 100)], surroundings)


@pytest.mark.slow
def test_four_first_starts_at_once_make_one_database(tmp_path, database):
    surroundings = {**os.environ, "ASSAYWRIGHT_DATABASE": database}
    starts = [subprocess.Popen([sys.executable, "-c", READY, str(tmp_path)], stdout=subprocess.PIPE, text=True,
                               stderr=subprocess.PIPE, env=surroundings) for _ in range(4)]
    answers = [one.communicate(timeout=120) for one in starts]
    assert [out.strip() for out, _ in answers] == ["ready"] * 4, answers
    surroundings["ASSAYWRIGHT_FOLDER"] = str(tmp_path)
    assert killed.in_process(["check", "0"], surroundings).strip() == "0"
