"""Tables and paragraphs on terminals of every width."""

import io
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.cli.figures import degrees_of_freedom, fixed, per_cent, signed
from assaywright.cli.opening import wrapped
from assaywright.cli.plain_text import plain
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


LONG = (("content of tris(hydroxymethyl)aminomethane, RM-TRIS-3", "0.0124", "1.6 %"),
        ("endpoint: first pink of phenolphthalein", "0.00342", "0.1 %"))


@pytest.mark.parametrize("width", [40, 48, 60, 80])
def test_a_word_is_never_broken_within_a_cell_but_behind_a_hyphen_a_stroke_or_a_bracket(width):
    lines = drawn(COLUMNS, LONG, width)
    assert all(places(line) <= width for line in lines)
    pieces = {piece for line in lines for piece in line.split()}
    for word in ("phenolphthalein", "endpoint:", "content", "first"):
        assert word in pieces
    assert "tris(hydroxymethyl)aminomethane," in pieces or {"(hydroxymethyl)", "aminomethane,"} & pieces


def test_a_table_that_finds_no_room_is_told_row_by_row_with_nothing_left_out():
    columns = (Column("influence", flexible=True), *(Column(f"figure {n}", right=True) for n in range(6)),
               Column("", spare=True))
    row = ("phenolphthalein", *(f"{n}.000000" for n in range(5)), "", "█████")
    lines = drawn(columns, [row], 40)
    assert all(places(line) <= 40 for line in lines)
    assert " ".join(" ".join(lines).split()) == "phenolphthalein: " + "; ".join(
        f"figure {n} {n}.000000" for n in range(5))


def test_the_spare_column_goes_before_the_cells_are_squeezed():
    columns = (Column("influence", flexible=True), Column("share", right=True), Column("", spare=True))
    row = ("burette B-07, certificate K-26-031", "33.3 %", "█" * 20)
    assert "█" in drawn(columns, [row], 60)[2]
    narrow = drawn(columns, [row], 44)
    assert "█" not in "".join(narrow)
    assert all(places(line) <= 44 for line in narrow)


# --- terminals without the characters ---------------------------------------------------------------------------------


class Stream(io.StringIO):
    """A stream of an encoding."""

    encoding = "ascii"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("24.50 µL at 20 °C", "24.50 uL at 20 deg C"), ("−0.067 ± 0.02", "-0.067 +/- 0.02"),
        ("≤ 5 × 10⁻³", "<= 5 x 10^-3"),
        ("ν = ∞, ρ_a, γ, Δ", "nu = inf, rho_a, gamma, Delta"), ("Na₂CO₃, u₁₂", "Na2CO3, u12"), ("cm³", "cm^3"),
        ("Zoë Łukasz Öberg Søren", "Zoe Lukasz Oberg Soren"), ("Жуков", "(U+"), ("√(u²)", "sqrt(u^2)"),
        ("├─ └─ │", "|- `- |"), ("λ → Ω", "lamda -> ohm"), ("試", "(U+8A66)"),
    ],
)
def test_no_letter_turns_into_a_question_mark_on_a_plain_terminal(text, shown, monkeypatch):
    monkeypatch.setattr(sys, "stdout", Stream())
    assert plain(text).isascii()
    assert "?" not in plain(text)
    if shown != "(U+":
        assert plain(text) == shown
    assert plain(plain(text)) == plain(text)


def test_columns_line_up_on_a_plain_terminal_although_the_words_have_grown(monkeypatch):
    monkeypatch.setattr(sys, "stdout", Stream())
    columns = (Column("Größe", flexible=True), Column("ν", right=True), Column("share", right=True))
    lines = drawn(columns, [("ρ at 20 °C ≤ 1", "∞", "−0.2 %"), ("x", "24", "14.3 %")], 60)
    assert all(line.isascii() for line in lines)
    assert len({len(line) for line in lines}) == 1
    assert lines[1].split() == ["-" * 20, "---", "------"]
    assert lines[2].endswith("inf  -0.2 %")


def test_a_terminal_that_has_the_characters_keeps_them(monkeypatch):
    stream = Stream()
    stream.encoding = "latin-1"
    monkeypatch.setattr(sys, "stdout", stream)
    assert plain("20 °C ± 1 µL ≤ −2") == "20 °C ± 1 µL <= -2"
    assert (plain("cm³"), plain("10⁻³")) == ("cm³", "10^-3")


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
