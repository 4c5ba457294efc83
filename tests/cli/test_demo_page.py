"""What the page of the demonstration says is written, held against what is written."""

import re
from pathlib import Path

import pytest

from tests.cli.terminal import call

PAGE = (Path(__file__).parents[2] / "docs" / "demo.md").read_text(encoding="utf-8")
HOW_MANY = {"two": 2, "three": 3, "four": 4, "one": 1}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Return the demonstration's folder."""
    path = tmp_path_factory.mktemp("demo") / "works"
    assert call("demo", path).status == 0
    return path


def rows_of(heading):
    """Return the rows of the table under a heading, each as its cells."""
    section = PAGE.partition(f"\n## {heading}\n")[2].partition("\n## ")[0]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in section.splitlines()
            if line.startswith("| ") and not line.startswith("| ---")][1:]


def test_every_folder_and_file_that_is_written_is_named_and_no_other(folder):
    named = {name.rstrip("/") for row in rows_of("What it sets up") for name in re.findall(r"`([^`]+)`", row[0])}
    assert named == {one.name for one in folder.iterdir()}


def test_as_many_assays_and_lots_are_written_as_are_told_of(folder):
    for row in rows_of("What it sets up"):
        told = re.match(r"(?:the )?(\w+) (assays|lots)\b", row[1])
        if told:
            assert len(list((folder / row[0].strip("`/")).glob("*.toml"))) == HOW_MANY[told[1]]
    assert {row[0] for row in rows_of("What it sets up")} >= {"`worksheets/`", "`lots/`"}


def test_a_certificate_is_drafted_for_each_lot_of_which_that_is_told_and_for_no_other(folder):
    rows = [row for row in rows_of("What each shows") if "certificate" in row[1]]
    drafted = {re.sub(r"\W", "", row[0].partition(",")[0]) for row in rows if row[1].startswith("certificate drafted")}
    written = {re.fullmatch(r"TH-26-(\w+)-1\.pdf", one.name)[1] for one in (folder / "certificates").iterdir()}
    assert len(rows) > len(drafted) > 0
    assert written == drafted


def test_each_working_is_written_as_text_and_as_pdf(folder):
    names = [one.name for one in (folder / "working").iterdir()]
    assert {one.removesuffix(".txt") for one in names if one.endswith(".txt")} == {
        one.removesuffix(".pdf") for one in names if one.endswith(".pdf")} != set()
