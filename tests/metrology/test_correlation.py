"""Declared correlations become shared influences: JCGM 100, 5.2.2, and whatever a correlation matrix can be."""

import math
from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.metrology.correlation import correlated
from assaywright.metrology.estimate import combine, correlation, covariance
from assaywright.metrology.refusal import Refusal
from tests.published.rows import PublishedRow, as_parameters, assert_agrees


def resistors(coefficient: float):
    """Ten resistors of 1000 ohm, each compared with one and the same standard."""
    matrix = [[1.0 if i == j else coefficient for j in range(10)] for i in range(10)]
    ten = correlated([1000.0] * 10, [0.1] * 10, "ohm", matrix, [f"R{i}" for i in range(10)])
    return combine("ohm", ((1.0, one) for one in ten))


def published_rows() -> Iterator[PublishedRow]:
    source = ("JCGM 100:2008", "5.2.2, example")
    for coefficient, quantity, printed in ((1.0, "u of ten in series, correlation 1, ohm", "1.0"),
                                           (0.0, "u of ten in series, correlation 0, ohm", "0.32")):
        yield PublishedRow(*source, quantity, printed, resistors(coefficient).standard_uncertainty,
                           status="from memory")


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_ten_resistors_in_series_have_the_published_uncertainty(row):
    assert_agrees(row)


@given(st.integers(1, 5), st.integers(1, 6), st.integers(0, 10_000))
def test_the_covariances_are_the_declared_ones_also_when_the_matrix_is_singular(count, rank, seed):
    generator = np.random.default_rng(seed)
    shape = generator.normal(size=(count, rank))
    full = shape @ shape.T
    scale = np.sqrt(np.diag(full))
    matrix = np.clip(full / np.outer(scale, scale), -1.0, 1.0)
    np.fill_diagonal(matrix, 1.0)
    u = generator.uniform(0.1, 2.0, count)
    values, keys = [float(x) for x in range(count)], [f"q{i}" for i in range(count)]
    ours = correlated(values, u.tolist(), "g", matrix.tolist(), keys)
    for i in range(count):
        assert ours[i].value == i
        assert ours[i].standard_uncertainty == pytest.approx(u[i], rel=1e-6)
        for j in range(count):
            assert covariance(ours[i], ours[j]) == pytest.approx(matrix[i, j] * u[i] * u[j], abs=1e-5)


def test_three_quantities_keep_their_correlation_to_twelve_digits():
    matrix = [[1.0, -0.355, 0.858], [-0.355, 1.0, -0.645], [0.858, -0.645, 1.0]]
    three = correlated([5.0, 0.02, 1.04], [0.003, 1e-5, 8e-4], ["V", "A", "rad"], matrix, ["V", "I", "phi"])
    for i in range(3):
        for j in range(3):
            assert correlation(three[i], three[j]) == pytest.approx(matrix[i][j], abs=1e-12)
    assert [one.unit for one in three] == ["V", "A", "rad"]


def test_the_same_declaration_made_twice_shares_its_influences():
    def declare():
        return correlated([1.0, 2.0], [0.1, 0.1], "g", [[1.0, 0.5], [0.5, 1.0]], ["a", "b"])
    (first, second), (again, _) = declare(), declare()
    assert correlation(first, again) == pytest.approx(1.0, abs=1e-15)
    assert correlation(second, again) == pytest.approx(0.5, abs=1e-12)


def test_a_derived_key_is_not_the_key_of_the_quantity_itself():
    keys = {part.key for one in correlated([1.0, 2.0], [0.1, 0.1], "g", [[1, 0.5], [0.5, 1]], ["a", "b"])
            for part in one.contributions}
    assert len(keys) == 2
    assert not keys & {"a", "b"}


def test_an_exact_quantity_among_correlated_ones_stays_exact():
    exact, uncertain = correlated([1.0, 2.0], [0.0, 0.1], "g", [[1, 0], [0, 1]], ["a", "b"], 4.0)
    assert exact.contributions == ()
    assert uncertain.contributions[0].degrees_of_freedom == 4.0


@pytest.mark.parametrize(("matrix", "match"), [
    ([[1.0, 0.5], [0.4, 1.0]], "symmetric"),
    ([[1.0, 1.1], [1.1, 1.0]], "beyond -1 to 1"),
    ([[1.0, math.nan], [math.nan, 1.0]], "beyond -1 to 1"),
    ([[0.9, 0.5], [0.5, 1.0]], "diagonal"),
    ([[1.0, 0.5]], "2 by 2"),
    ([[1.0], [0.5, 1.0]], "2 by 2"),
])
def test_what_is_no_correlation_matrix_is_refused(matrix, match):
    with pytest.raises(Refusal, match=match):
        correlated([1.0, 2.0], [0.1, 0.1], "g", matrix, ["a", "b"])


def test_three_quantities_cannot_all_oppose_each_other():
    matrix = [[1.0, -0.9, -0.9], [-0.9, 1.0, -0.9], [-0.9, -0.9, 1.0]]
    with pytest.raises(Refusal, match="positive semidefinite"):
        correlated([1.0] * 3, [0.1] * 3, "g", matrix, ["a", "b", "c"])


def test_lists_of_different_lengths_and_repeated_keys_are_refused():
    unity = [[1.0, 0.0], [0.0, 1.0]]
    for values, u, keys in (([1.0], [0.1, 0.1], ["a", "b"]), ([1.0, 2.0], [0.1], ["a", "b"]),
                            ([1.0, 2.0], [0.1, 0.1], ["a", "a"]), ([], [], [])):
        with pytest.raises(Refusal):
            correlated(values, u, "g", unity, keys)
    with pytest.raises(Refusal, match="standard uncertainty"):
        correlated([1.0, 2.0], [0.1, -0.1], "g", unity, ["a", "b"])
