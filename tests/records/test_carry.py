"""Worksheets out of the records and in, by command: the files give the same digits, and come back as they were."""

import json
import shutil

import pytest

from tests.records.tampering import assaywright, names_in, one_sentence


@pytest.fixture(scope="module")
def kept_folder(django_ready, sqlite_template, tmp_path_factory):
    """A folder of records with the demonstration laboratory, for the program run as a process of its own."""
    from django.db import connections

    from assaywright.actions.people import COMMAND, person_add
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.cli.demo_story import laboratory
    from assaywright.web import folder
    from tests.records.conftest import connected

    place = tmp_path_factory.mktemp("kept")
    shutil.copy(sqlite_template, place / "records.sqlite3")
    connected({**folder.database(place), "NAME": str(place / "records.sqlite3")})
    person_add(identity="maren", name="Maren Tolliver", by=COMMAND, roles=["administrator", "authorised signatory"])
    person_add(identity="ines", name="Ines Okafor", by="maren", roles=["analyst"])
    files = laboratory()
    bring = WorksheetImport(files.__getitem__, "maren")
    for name in sorted(name for name in files if name.startswith("lots/")):
        bring.lot(name)
    connections["default"].close()
    return place


@pytest.fixture
def folder(kept_folder, tmp_path):
    shutil.copytree(kept_folder, tmp_path / "lab")
    return tmp_path / "lab"


def value_of(file):
    answer = assaywright("evaluate", file, "--json")
    assert answer.returncode == 0, answer.stderr
    return json.loads(answer.stdout)["result"]


def test_an_exported_worksheet_gives_the_same_digits_and_goes_into_other_records(folder, tmp_path):
    answer = assaywright("export", folder, "WS-26-0903", "--to", tmp_path / "out")
    assert (answer.returncode, answer.stderr) == (0, "")
    assert "WS-26-0903.toml" in names_in(tmp_path / "out")
    ours = value_of(tmp_path / "out" / "WS-26-0903.toml")
    again = assaywright("import", folder, tmp_path / "out" / "WS-26-0903.toml", "--by", "maren")
    assert (again.returncode, "worksheet WS-26-0903 is in the records" in again.stdout) == (0, True), again.stderr
    assert assaywright("export", folder, "WS-26-0903", "--to", tmp_path / "second").returncode == 0
    assert value_of(tmp_path / "second" / "WS-26-0903.toml") == ours
    for name in names_in(tmp_path / "out"):
        assert (tmp_path / "second" / name).read_bytes() == (tmp_path / "out" / name).read_bytes()


def test_a_worksheet_of_another_laboratory_comes_in_and_out_alike(folder, tmp_path):
    """The worked example of a method, exported again, gives the digits of the file that went in."""
    from assaywright.assay.method import load_method

    (tmp_path / "WS-NEW.toml").write_text(load_method("naoh-by-khp").example.worksheet, encoding="utf-8")
    answer = assaywright("import", folder, tmp_path / "WS-NEW.toml", "--by", "maren")
    assert answer.returncode == 0, answer.stderr
    number = answer.stdout.split("worksheet ")[1].split(" is in")[0]
    assert assaywright("export", folder, number, "--to", tmp_path / "out").returncode == 0
    ours, theirs = value_of(tmp_path / "out" / f"{number}.toml"), value_of(tmp_path / "WS-NEW.toml")
    assert (ours["value"], ours["expanded_uncertainty"]) == (theirs["value"], theirs["expanded_uncertainty"])
    assert assaywright("check-records", folder).returncode == 0


def test_what_cannot_come_in_leaves_nothing(folder, tmp_path):
    from assaywright.assay.method import load_method

    good = load_method("naoh-by-khp").example.worksheet
    (tmp_path / "good.toml").write_text(good, encoding="utf-8")
    (tmp_path / "bad.toml").write_text("format = 3\n", encoding="utf-8")
    before = json.loads(assaywright("check-records", folder, "--json").stdout)["head"]
    assert "bad.toml" in one_sentence(
        assaywright("import", folder, tmp_path / "good.toml", tmp_path / "bad.toml", "--by", "maren"))
    assert "may not do this" in one_sentence(assaywright("import", folder, tmp_path / "good.toml", "--by", "ines"))
    assert "nobody here is called 'nobody'" in one_sentence(
        assaywright("import", folder, tmp_path / "good.toml", "--by", "nobody"))
    assert json.loads(assaywright("check-records", folder, "--json").stdout)["head"] == before


def test_lists_come_as_csv_xlsx_and_json_and_nothing_is_written_over(folder, tmp_path):
    for ending in ("csv", "xlsx", "json"):
        target = tmp_path / f"lots.{ending}"
        assert assaywright("export", folder, "--list", "lots", "--to", target).returncode == 0
        assert target.stat().st_size > 500
    told = json.loads((tmp_path / "lots.json").read_text(encoding="utf-8"))
    assert [one["number"] for one in told] == ["0941", "0942", "0943", "0944"]
    for arguments, words in (
        (["--list", "lots", "--to", tmp_path / "lots.csv"], "exists already and is left as it is"),
        (["--list", "lots", "--to", tmp_path / "lots.pdf"], "is written as CSV, XLSX or JSON"),
        (["--list", "secrets", "--to", tmp_path / "a.csv"], "there is no list 'secrets'"),
        (["WS-99", "--to", tmp_path / "none"], "there is no worksheet and no lot WS-99"),
        (["--to", tmp_path / "none"], "one worksheet, one lot or one list is exported"),
    ):
        assert words in one_sentence(assaywright("export", folder, *arguments))


def test_a_history_comes_in_by_command_or_says_row_by_row_why_not(folder, tmp_path):
    from tests.records.story import HISTORY

    (tmp_path / "columns.toml").write_text(HISTORY, encoding="utf-8")
    (tmp_path / "old.csv").write_text("Batch;Day;Content\n0801;03.04.2019;1,0024\n0802;;1.002\n", encoding="utf-8")
    more = ["--columns", tmp_path / "columns.toml", "--by", "maren"]
    answer = assaywright("import-history", folder, tmp_path / "old.csv", *more)
    assert (answer.returncode, answer.stdout) == (2, "")
    first, last = answer.stderr.splitlines()
    assert first.startswith('row 3: value: the number "1.002" may mean 1,002 or 1002')
    assert "1 row cannot be read, and nothing was imported" in last
    (tmp_path / "old.csv").write_text("Batch;Day;Content\n0801;03.04.2019;1,0024\n", encoding="utf-8")
    tried = assaywright("import-history", folder, tmp_path / "old.csv", *more, "--try")
    assert "1 row can be read; nothing was imported" in tried.stdout
    answer = assaywright("import-history", folder, tmp_path / "old.csv", *more)
    assert "1 result now in the records as 'Assay book 2019', marked as unverified" in answer.stdout
    assert "on record already" in one_sentence(assaywright("import-history", folder, tmp_path / "old.csv", *more))


def test_a_lot_goes_out_with_its_worksheets_as_files_that_certify_alike(folder, tmp_path):
    import hashlib

    answer = assaywright("export", folder, "0941", "--to", tmp_path / "lot")
    assert (answer.returncode, answer.stderr) == (0, ""), answer.stderr
    names = names_in(tmp_path / "lot")
    assert names == ["WS-26-0871.toml", "WS-26-0874.toml", "WS-26-0878.toml", "WS-26-0903.toml", "lot-0941.toml"]
    data = (tmp_path / "lot" / "lot-0941.toml").read_bytes()
    assert hashlib.sha256(data).hexdigest() in answer.stdout
    certified = assaywright("certify", tmp_path / "lot" / "lot-0941.toml", "-o", tmp_path / "lot.pdf",
                            "--number", "TH-1", "--issued", "2026-11-30", "--responsible", "Maren Tolliver",
                            "--function", "authorised signatory")
    assert (certified.returncode, (tmp_path / "lot.pdf").exists()) == (0, True), certified.stderr


def test_an_import_says_that_it_was_by_command_and_what_was_there_already(folder, tmp_path):
    from assaywright.assay.method import load_method

    (tmp_path / "WS-NEW.toml").write_text(load_method("naoh-by-khp").example.worksheet, encoding="utf-8")
    first = assaywright("import", folder, tmp_path / "WS-NEW.toml", "--by", "maren")
    again = assaywright("import", folder, tmp_path / "WS-NEW.toml", "--by", "maren")
    assert (first.returncode, again.returncode) == (0, 0)
    assert "already" not in first.stdout
    assert "is in the records already, as it is in the file" in again.stdout
    assaywright("export", folder, "--list", "events", "--to", tmp_path / "events.json")
    told = json.loads((tmp_path / "events.json").read_text(encoding="utf-8"))
    imported = [one for one in told if "assay.imported" in one.values()]
    assert "by_command" in json.dumps(imported[-1])
