"""A declared correlation becomes shared terms: several estimates built on common independent influences.

The correlation matrix is factorised, r = L L^T with L lower triangular, and quantity i becomes
x_i + u_i sum_k(L_ik z_k) with independent z_k of standard uncertainty 1. z_k is the part of quantity k that the
quantities before it leave unexplained, and its key is derived from that quantity's key.

The degrees of freedom are given to every z_k. Formula (G.2b) of JCGM 100:2008 supposes independent terms, so the
effective degrees of freedom of a combination of such estimates come out too large, at most by a factor of the number of
quantities. Where that matters, evaluate each simultaneous set of readings and take the scatter of the results (H.2.4,
second approach).
"""

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from assaywright.metrology.estimate import Contribution, Estimate
from assaywright.metrology.refusal import Refusal

SMALLEST_EIGENVALUE = -1e-10


def correlated(
    values: Sequence[float],
    standard_uncertainties: Sequence[float],
    units: Sequence[str] | str,
    correlation_matrix: Sequence[Sequence[float]],
    keys: Sequence[str],
    degrees_of_freedom: float = math.inf,
    labels: Sequence[str] = (),
) -> tuple[Estimate, ...]:
    """Return estimates whose covariances are the declared ones.

    x_i + u_i sum_k(L_ik z_k), with r = L L^T

    Arguments:
        values: one per quantity [its unit].
        standard_uncertainties: one per quantity, zero or more [its unit].
        units: one per quantity or one for all.
        correlation_matrix: correlation coefficients, row by row.
        keys, labels: permanent key of each quantity's influence, and the quantity in words.
        degrees_of_freedom: of the joint evaluation, above zero.

    Raises:
        Refusal: lists of different lengths, a key given twice, or a matrix that is not a correlation matrix.

    Source: JCGM 100:2008, 5.2 and F.1.2.3.
    """
    count = len(values)
    unit_list = [units] * count if isinstance(units, str) else list(units)
    names = list(labels or keys)
    _require_one_of_each(count, standard_uncertainties, unit_list, tuple(dict.fromkeys(keys)), names)
    factor = _triangular_factor(_checked(correlation_matrix, count))
    shared = [f"{key}|correlated part {k + 1} of {count}" for k, key in enumerate(keys)]
    estimates = []
    for value, u, unit, row in zip(values, standard_uncertainties, unit_list, factor, strict=True):
        if not (u >= 0 and math.isfinite(u)):
            raise Refusal(f"a standard uncertainty of {u}", remedy="give a number of zero or more")
        parts = (Contribution(key, float(u * share), degrees_of_freedom, "normal", name)
                 for key, name, share in zip(shared, names, row, strict=True) if u * share != 0)
        estimates.append(Estimate(value, unit, tuple(parts)))
    return tuple(estimates)


def _require_one_of_each(count: int, *lists: Sequence[object]) -> None:
    if not count or any(len(one) != count for one in lists):
        raise Refusal("the lists of values, uncertainties, units, labels and distinct keys differ in length",
                      remedy="give one of each per quantity")


def _checked(correlation_matrix: Sequence[Sequence[float]], count: int) -> NDArray[np.float64]:
    if len(correlation_matrix) != count or any(len(row) != count for row in correlation_matrix):
        raise Refusal(f"the correlation matrix is not {count} by {count}", remedy="give one row per quantity")
    matrix = np.array(correlation_matrix, dtype=float)
    if not np.all(np.isfinite(matrix)) or np.any(np.abs(matrix) > 1):
        raise Refusal("a correlation coefficient lies beyond -1 to 1", remedy="give coefficients from -1 to 1")
    if np.any(np.abs(np.diag(matrix) - 1) > 1e-12):
        raise Refusal("the diagonal of the correlation matrix is not 1", remedy="give 1 for a quantity with itself")
    if np.any(np.abs(matrix - matrix.T) > 1e-12):
        raise Refusal("the correlation matrix is not symmetric", remedy="give each pair the same coefficient both ways")
    if float(np.linalg.eigvalsh(matrix)[0]) < SMALLEST_EIGENVALUE:
        raise Refusal("the correlation matrix is not positive semidefinite: a combination would have negative variance",
                      remedy="correct the coefficients, or give them to more digits")
    return matrix


def _triangular_factor(matrix: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the lower triangular factor; a quantity that those before it fully explain gets an empty column."""
    count = len(matrix)
    factor = np.zeros((count, count))
    for k in range(count):
        pivot = matrix[k, k] - factor[k, :k] @ factor[k, :k]
        if pivot <= 1e-12:
            continue
        factor[k, k] = math.sqrt(pivot)
        factor[k + 1:, k] = (matrix[k + 1:, k] - factor[k + 1:, :k] @ factor[k, :k]) / factor[k, k]
    return factor
