"""Tables and paragraphs on terminals of every width."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.cli.figures import degrees_of_freedom, fixed, per_cent, signed
from assaywright.cli.opening import wrapped
from assaywright.cli.tables import Column, bar, drawn, paragraph, places

COLUMNS = (Column("influence", flexible=True), Column("u / mL", right=True), Column("share", right=True))
ROWS = (("burette B-07, ISO 385 class A, scale near 20 mL", "0.020", "14.3 %"), ("pipette", "0.0122", "−0.2 %"))


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_a_table_fits_the_terminal_and_its_numbers_end_in_one_column(width):
    lines = drawn(COLUMNS, ROWS, width)
    assert all(places(line) <= width for line in lines)
    ends = {line.index(number) + len(number) for line in lines for number in ("0.020", "0.0122") if number in line}
    assert len(ends) == 1
    assert " ".join(" ".join(lines).split()).count("385") == 1


def test_wide_and_combining_letters_take_their_places():
    assert places("試薬") == 4
    assert places("e\u0301") == 1
    lines = drawn((Column("name"), Column("value", right=True)), [("試薬", "1"), ("acid", "2")], 60)
    assert len({places(line) for line in lines}) == 1


@given(st.text(), st.integers(min_value=20, max_value=120))
def test_wrapping_loses_no_word(text, width):
    assert " ".join(wrapped(text, width)).split() == text.split()
    assert " ".join(paragraph(text, width)).split() == text.split()


def test_a_bar_shows_even_the_smallest_share():
    assert (bar(1), bar(0.5), bar(0.001), bar(0)) == ("█" * 20, "█" * 10, "▏", "")


def test_figures_keep_a_true_minus_and_say_how_small():
    assert (fixed(-1.0, 2), signed(0.5, 2), signed(-0.5, 2), signed(0.0, 2)) == ("−1.00", "+0.50", "−0.50", "0.00")
    assert (per_cent(0.0001), per_cent(0.5), per_cent(0.0)) == ("< 0.1 %", "50.0 %", "0.0 %")
    assert [degrees_of_freedom(number) for number in (float("inf"), 24.0, 16.72)] == ["∞", "24", "16.7"]
