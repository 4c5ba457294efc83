"""The tour of a first day: what its page tells can be done, and its pictures are those that its command makes."""

import ast
import re
import subprocess
import sys

from scripts import tour
from tests.house.sources import HOUSE

PAGE = HOUSE / "docs" / "tour.md"


def test_every_step_of_the_tour_still_works():
    walked = subprocess.run([sys.executable, HOUSE / "scripts" / "tour.py", "--quick"], check=False, text=True,
                            capture_output=True, timeout=240)
    assert walked.returncode == 0, walked.stdout + walked.stderr
    assert [line for line in walked.stdout.splitlines() if line] == [step.__doc__ for step in tour.STEPS]


def test_its_pictures_are_there_in_the_order_of_the_page_and_small():
    shown = re.findall(r"!\[[^\]]+\]\(tour/([a-z-]+)\.png\)", PAGE.read_text(encoding="utf-8"))
    made = re.findall(r'walk\.picture\("([a-z-]+)"\)', (HOUSE / "scripts" / "tour.py").read_text(encoding="utf-8"))
    assert shown == made
    sizes = {one.stem: one.stat().st_size for one in tour.PICTURES.glob("*.png")}
    assert sorted(sizes) == sorted(shown)
    assert max(sizes.values()) <= tour.LARGEST_BYTES
    assert sum(sizes.values()) <= tour.ALL_BYTES


def test_the_page_tells_the_readings_that_are_typed():
    page = PAGE.read_text(encoding="utf-8")
    for gross, tare, initial, final in tour.ACID:
        assert f"| {gross} | {tare} | {initial} | {final} | {tour.TEMPERATURE} |" in page
    for number in (tour.LOT, tour.WORKSHEET, *tour.EARLIER):
        assert f"`{number}`" in page


def test_the_page_tells_everything_else_that_its_command_fills_in():
    """Every text that stands in a call of fill, but for what is chosen from a list by a word of its own."""
    tree = ast.parse((HOUSE / "scripts" / "tour.py").read_text(encoding="utf-8"))
    calls = [one for one in ast.walk(tree)
             if isinstance(one, ast.Call) and isinstance(one.func, ast.Attribute) and one.func.attr == "fill"]
    texts = [key.value.value for one in calls for key in one.keywords if isinstance(key.value, ast.Constant)]
    page = PAGE.read_text(encoding="utf-8")
    assert len(texts) >= 15
    for text in (*texts, *(found for _, _, found in tour.ENTERED), tour.TEMPERATURE):
        assert text == "yes" or f"`{text}`" in page, text
