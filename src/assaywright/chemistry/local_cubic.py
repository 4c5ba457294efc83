"""Interpolation in a table: the cubic through the four nearest rows, as weights of the rows."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

NODES = 4


@dataclass(frozen=True, slots=True)
class LocalCubic:
    """What a value between rows is made of.

    Fields:
        rows: positions of the rows that take part.
        weights: of each; they add up to one.
        slopes: derivative of each weight by the abscissa; they add up to zero.
        parabola: weights of the same rows in the parabola through the three nearest, for the error.
    """

    rows: tuple[int, ...]
    weights: tuple[float, ...]
    slopes: tuple[float, ...]
    parabola: tuple[float, ...]


def local_cubic(abscissae: Sequence[float], at: float) -> LocalCubic:
    """Return the weights with which the rows of a table make a value between them.

    p(x) = sum(L_k(x) y_k), L_k(x) = prod((x - x_j)/(x_k - x_j)), over two rows on either side; at an end, over the
    four last.

    Arguments:
        abscissae: of the rows, rising.
        at: x, between the first and the last.

    Source: Lagrange's form; DLMF 3.3.1.

    Example:
        >>> local_cubic((0.0, 1.0, 2.0, 3.0), 1.5).weights
        (-0.0625, 0.5625, 0.5625, -0.0625)
    """
    count = min(NODES, len(abscissae))
    first = max(0, min(bisect_right(abscissae, at) - 2, len(abscissae) - count))
    nodes = tuple(abscissae[first:first + count])
    near = sorted(sorted(range(count), key=lambda k: (abs(nodes[k] - at), k))[:3])
    parabola = dict(zip(near, lagrange_weights([nodes[k] for k in near], at), strict=True))
    return LocalCubic(
        tuple(range(first, first + count)),
        lagrange_weights(nodes, at),
        lagrange_slopes(nodes, at),
        tuple(parabola.get(k, 0.0) for k in range(count)),
    )


def lagrange_weights(nodes: Sequence[float], at: float) -> tuple[float, ...]:
    """Return the weight of each node's value in the polynomial through all of them.

    Example:
        >>> lagrange_weights((10.0, 20.0), 12.5)
        (0.75, 0.25)
    """
    weights = []
    for k, node in enumerate(nodes):
        weight = 1.0
        for j, other in enumerate(nodes):
            if j != k:
                weight *= (at - other) / (node - other)
        weights.append(weight)
    return tuple(weights)


def lagrange_slopes(nodes: Sequence[float], at: float) -> tuple[float, ...]:
    """Return the derivative of each node's weight by the abscissa."""
    slopes = []
    for k, node in enumerate(nodes):
        slope = 0.0
        for m, removed in enumerate(nodes):
            if m == k:
                continue
            term = 1.0 / (node - removed)
            for j, other in enumerate(nodes):
                if j not in (k, m):
                    term *= (at - other) / (node - other)
            slope += term
        slopes.append(slope)
    return tuple(slopes)
