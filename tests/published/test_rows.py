"""The form of a published check can itself fail."""

import math

import pytest

from tests.published.rows import PublishedRow, assert_agrees


def row(printed: str, ours: float, tolerance: float | None = None) -> PublishedRow:
    return PublishedRow("a source", "a clause", "a quantity", printed, ours, tolerance)


def test_the_default_tolerance_is_half_a_unit_of_the_last_printed_digit() -> None:
    assert row("0.10214", 0.102145).agrees
    assert not row("0.10214", 0.1021450001).agrees
    assert row("0.23e-6", 2.309e-7).agrees
    assert not row("0.230e-6", 2.309e-7).agrees


def test_a_trailing_zero_tightens_the_tolerance() -> None:
    assert row("2.5", 2.54).agrees
    assert not row("2.50", 2.54).agrees


def test_a_stated_tolerance_takes_the_place_of_half_a_unit() -> None:
    assert row("0.013", 0.01363, 0.001).agrees
    assert not row("0.013", 0.01463, 0.001).agrees


def test_agreeing_digits_are_counted_place_by_place() -> None:
    assert row("0.10214", 0.1021361597).agreeing_digits == 5
    assert row("0.10214", 0.10217).agreeing_digits == 4
    assert row("0.10214", 0.1139).agreeing_digits == 1
    assert row("0.10214", 9.0).agreeing_digits == 0


def test_a_value_that_is_not_a_number_never_agrees() -> None:
    assert not row("1.0", math.nan).agrees
    with pytest.raises(AssertionError, match=r"printed 1\.0"):
        assert_agrees(row("1.0", math.nan))


def test_a_status_outside_the_list_is_refused() -> None:
    with pytest.raises(ValueError, match="status"):
        PublishedRow("s", "c", "q", "1", 1.0, status="hearsay")
