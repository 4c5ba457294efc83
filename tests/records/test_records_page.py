"""The page on the records is kept true: its few lines for an auditor walk a chain, and its settings are read."""

import re
import shutil
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest

from tests.records.tampering import sql, take_guards_away

PAGE = (Path(__file__).resolve().parents[2] / "docs" / "records.md").read_text(encoding="utf-8")


def lines_of(language):
    return re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL)


def audited(folder):
    from django.db import connection

    connection.close()
    (program,) = lines_of("python")
    return subprocess.run([sys.executable, "-c", program, str(folder / "records.sqlite3")], check=False,
                          capture_output=True, text=True)


def test_the_lines_for_an_auditor_give_the_head_and_name_a_changed_event(people, records, tmp_path):
    from assaywright.records.anchors import head_anchor

    if records == "postgresql":
        assert "sqlite3" in lines_of("python")[0], "the lines are for SQLite"
        return
    answer = audited(tmp_path)
    assert (answer.returncode, answer.stdout.strip()) == (0, str(head_anchor()))
    take_guards_away()
    sql("UPDATE records_event SET reason = 'other' WHERE number = 3")
    answer = audited(tmp_path)
    assert (answer.returncode, answer.stderr.strip()) == (1, "not in order at event 3")


def test_the_settings_of_the_page_are_read(django_ready):
    from assaywright.records.history import FIELDS, read_history, read_mapping

    (text,) = lines_of("toml")
    found = read_history(b"Batch;Day;Content\n0801;03.04.2019;1.002,50\n", "old.csv",
                         read_mapping(text.encode(), "columns.toml"), today=date(2026, 12, 1))
    assert [row["value"] for row in found.rows] == ["1002.50"]
    told = re.search(r"The fields are (.*?)\.", PAGE, re.DOTALL)[1]
    assert set(re.findall(r"`(\w+)`", told)) == set(FIELDS)


@pytest.mark.parametrize("name", ["number", "recorded_at", "payload", "previous", "digest"])
def test_the_page_names_the_columns(name):
    assert f"| `{name}` |" in PAGE


def test_the_program_is_not_needed_for_it(tmp_path):
    (program,) = lines_of("python")
    assert "assaywright" not in program
    assert shutil.which(sys.executable)
