"""Titration curves: a titration followed along the burette, with its slopes, equivalence points and buffer regions."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from assaywright.chemistry.equilibrium.arrays import Array, Flags, Number, volume
from assaywright.chemistry.equilibrium.root import falling_root
from assaywright.chemistry.equilibrium.titration import EquivalencePoint, Titration
from assaywright.metrology.refusal import Refusal

STEP_OF_DIFFERENCE = 1e-3
NARROWEST_JUMP = 1e-6
WIDTH_OF_START = 1e-2
BUFFER_RATIO = 10.0
AROUND_A_JUMP = (0.0, 1e-4, 1e-3, 1e-2, 0.05, 0.1)
EDGE_OF_A_JUMP = 0.25
STEEPER = 2.0
VOLUME_TOLERANCE = 1e-12


@dataclass(frozen=True, slots=True)
class BufferRegion:
    """A part of the burette within which two neighbouring forms hold one another within a ratio of ten.

    Fields:
        name: of the family ("acetic acid").
        step: which pair: 1 for the first two forms.
        from_mL, to_mL: volumes of titrant; NaN where a curve of a batch doesn't pass through it [mL].
    """

    name: str
    step: int
    from_mL: Array
    to_mL: Array


@dataclass(frozen=True, slots=True)
class Curve:
    """A titration curve, or a batch of them; points run along the last axis.

    Fields:
        quantity: what ``values`` are: "pH", "pM", "pX" or "potential_V".
        followed: species whose p-value is followed ("H+", "Ca2+"); empty for a potential.
        volume_mL: of titrant [mL].
        values: at these volumes [1] or [V].
        first_derivative, second_derivative: by volume [1/mL and 1/mL²], or [V/mL and V/mL²].
        equivalence_points: exact, by stoichiometry, in the order of the burette.
        distinct: for each equivalence point, whether the curve has a steepest place there that can be seen.
        buffer_regions: where two neighbouring forms buffer.
        fractions: for each family, the fraction of each form at each point [1].
        ionic_strength_mol_per_L: at each point [mol/L].
        beyond_limit: where the ionic strength is beyond the activity model's limit: the value is marked there.
        temperature_degC: [°C].
        relative_residual: the balance left over, divided by the sum of its terms [1].
    """

    quantity: str
    followed: str
    volume_mL: Array
    values: Array
    first_derivative: Array
    second_derivative: Array
    equivalence_points: tuple[EquivalencePoint, ...]
    distinct: tuple[bool, ...]
    buffer_regions: tuple[BufferRegion, ...]
    fractions: Mapping[str, tuple[Array, ...]]
    ionic_strength_mol_per_L: Array
    beyond_limit: Flags
    temperature_degC: float
    relative_residual: Array

    @property
    def equivalence_points_mL(self) -> Array:
        """The distinct equivalence points, along the last axis [mL]."""
        seen = [one.volume_mL for one, shown in zip(self.equivalence_points, self.distinct, strict=True) if shown]
        return np.stack([one.reshape(one.shape[:-1]) for one in seen], axis=-1) if seen else np.empty(0)


def titration_curve(titration: Titration, volume_mL: Number | None = None) -> Curve:
    """Return the curve of a titration.

    Arguments:
        titration: analyte, titrant and conditions; constants may be arrays of shape (curves, 1) for a batch.
        volume_mL: of titrant, shape (points,); left out, a scale that is fine near the equivalence points [mL].

    Returns: the curve, arrays of shape (..., points)

    Raises:
        Refusal: volumes that are negative or not numbers.

    Source: as of the titration's own equilibria.

    Example:
        >>> from assaywright.chemistry.equilibrium import Acid, AcidBaseTitration, Solution, StrongIon
        >>> acid, soda = Acid("acetic acid", (4.757,)), StrongIon("Na+", 1)
        >>> curve = titration_curve(AcidBaseTitration(Solution(((acid, 0.1),)), 25.0, Solution(((soda, 0.1),))))
        >>> curve.equivalence_points_mL
        array([25.])
    """
    equivalence = titration.equivalence_points()
    volumes = burette_scale(equivalence) if volume_mL is None else np.atleast_1d(volume(volume_mL, "titrant"))
    found = titration.points(volumes)
    first, second = derivatives(titration, volumes)
    return Curve(
        titration.quantity, titration.followed, volumes, found.values, first, second, equivalence,
        _distinct(titration, equivalence),
        _buffer_regions(volumes, found.fractions), found.fractions, found.ionic_strength_mol_per_L,
        found.beyond_limit, titration.temperature_degC, found.relative_residual,
    )


def burette_scale(equivalence: tuple[EquivalencePoint, ...], points: int = 200) -> Array:
    """Return volumes from zero to half as much again as the last equivalence point, dense around each.

    Arguments:
        equivalence: points of the titration; of a batch, the mean is taken.
        points: evenly spaced volumes; as many again are spread around the equivalence points.

    Returns: volumes in ascending order [mL]
    """
    at = [float(np.nanmean(one.volume_mL)) for one in equivalence]
    if not at:
        raise Refusal("a titration without an equivalence point", where="curve",
                      remedy="check that the titrant reacts with the analyte, or give the volumes")
    last = max(at)
    away = np.geomspace(1e-6, 0.1, max(points // (2 * len(at)), 8)) * last
    near = [np.concatenate((one - away, [one], one + away)) for one in at]
    every = np.unique(np.concatenate([np.linspace(0.0, 1.5 * last, points), *near]))
    return every[every >= 0]


def derivatives(titration: Titration, volume_mL: Array) -> tuple[Array, Array]:
    """Return first and second derivative of the followed quantity by volume.

    Central differences over a step of a thousandth of the distance to the nearest equivalence point, so that a jump is
    resolved wherever it lies; at the start of the burette the step goes forward.

    Arguments:
        titration: to be followed.
        volume_mL: of titrant [mL].

    Returns: derivatives per mL and per mL²

    Valid: to about 1e-5 of the derivative away from a jump's very centre.
    """
    points = titration.equivalence_points()
    scale = np.asarray(np.nanmax([np.nanmax(one.volume_mL) for one in points])) if points else np.max(volume_mL)
    near = volume_mL + WIDTH_OF_START * scale
    for one in points:
        near = np.fmin(near, np.abs(volume_mL - one.volume_mL) + NARROWEST_JUMP * scale)
    step = STEP_OF_DIFFERENCE * near
    middle = np.maximum(volume_mL, step)
    three = titration.points(np.concatenate((middle - step, middle, middle + step), axis=-1)).values
    below, centre, above = np.split(three, 3, axis=-1)
    return (above - below) / (2 * step), (above - 2 * centre + below) / (step * step)


def volume_at(titration: Titration, value: Number, curve: Curve) -> Array:
    """Return the volume of titrant at which the followed quantity has a value: one curve, any number of values.

    The curve shows between which of its points the value lies; the equilibria are then solved anew between them until
    the volume stands.

    Arguments:
        titration: to be followed.
        value: pH, pM, pX [1] or potential [V].
        curve: of this titration.

    Returns: volume; NaN where the curve doesn't reach the value [mL]

    Raises:
        Refusal: a batch of curves.
    """
    if curve.values.ndim > 1:
        raise Refusal("a batch of curves", where="volume_at", remedy="ask one curve at a time")
    wanted = np.asarray(value, dtype=float)
    from_mL, to_mL, rising = _enclosing(curve, wanted.ravel())
    inside = np.isfinite(from_mL)
    sought, sign = wanted.ravel()[inside], np.where(rising[inside], -1.0, 1.0)
    scale = float(curve.volume_mL[-1])

    def left(volumes: Array) -> tuple[Array, Array, Array]:
        nudge = STEP_OF_DIFFERENCE * (to_mL - from_mL)[inside]
        both = titration.points(np.concatenate((volumes, volumes + nudge))).values
        here, there = np.split(both, 2)
        return sign * (here - sought), sign * (there - here) / nudge, np.zeros_like(here)

    found = np.full(from_mL.shape, np.nan)
    if inside.any():
        start = 0.5 * (from_mL + to_mL)[inside]
        found[inside] = falling_root(left, from_mL[inside], to_mL[inside], start, VOLUME_TOLERANCE * scale)
    return found.reshape(wanted.shape)


def _enclosing(curve: Curve, wanted: Array) -> tuple[Array, Array, Flags]:
    """Return, for each value, the first pair of neighbouring points with the value between, and whether it rises."""
    values = np.where(np.isfinite(curve.values), curve.values, np.nan)
    low, high = values[:-1, None], values[1:, None]
    between = (np.fmin(low, high) <= wanted) & (wanted <= np.fmax(low, high)) & np.isfinite(low) & np.isfinite(high)
    place = np.argmax(between, axis=0)
    none = ~between.any(axis=0)
    from_mL, to_mL = curve.volume_mL[place], curve.volume_mL[place + 1]
    rising = values[place + 1] > values[place]
    return np.where(none, np.nan, from_mL), np.where(none, np.nan, to_mL), rising


def _distinct(titration: Titration, points: tuple[EquivalencePoint, ...]) -> tuple[bool, ...]:
    """Tell for each point whether the curve is twice as steep about it as on the way to its neighbours."""
    if not points:
        return ()
    inner = np.unique([sign * one for sign in (-1, 1) for one in AROUND_A_JUMP])
    offsets = np.concatenate(([-EDGE_OF_A_JUMP], inner, [EDGE_OF_A_JUMP]))
    spans = [_span(points, number) for number in range(len(points))]
    volumes = np.concatenate([at + gap * offsets for at, gap in spans], axis=-1)
    slope, _ = derivatives(titration, np.nan_to_num(volumes, nan=0.0))
    found = []
    for number, (at, _gap) in enumerate(spans):
        steep = np.abs(slope[..., number * offsets.size:(number + 1) * offsets.size])
        ends = np.maximum(steep[..., :1], steep[..., -1:])
        higher = np.any(steep[..., 1:-1] > STEEPER * ends, axis=-1, keepdims=True)
        found.append(bool(np.any(higher & np.isfinite(at))))
    return tuple(found)


def _span(points: tuple[EquivalencePoint, ...], number: int) -> tuple[Array, Array]:
    """Return the volume of a point and the distance to its nearest neighbour or to the burette's zero [mL]."""
    at = points[number].volume_mL
    gap = at
    for other in points[:number] + points[number + 1:]:
        apart = np.abs(other.volume_mL - at)
        gap = np.fmin(gap, np.where(apart > 0, apart, np.nan))
    return np.atleast_1d(at), np.atleast_1d(gap)


def _buffer_regions(volume_mL: Array, fractions: Mapping[str, tuple[Array, ...]]) -> tuple[BufferRegion, ...]:
    """Return where the ratio of neighbouring forms lies between 1:10 and 10:1, by interpolating its logarithm."""
    found = []
    for name, forms in fractions.items():
        for step, (more, less) in enumerate(pairwise(forms), start=1):
            with np.errstate(divide="ignore", invalid="ignore"):
                within = np.abs(np.log10(less) - np.log10(more)) <= np.log10(BUFFER_RATIO)
            within &= more + less > 0.5
            if not within.any():
                continue
            volumes = np.broadcast_to(volume_mL, within.shape)
            from_mL = np.min(np.where(within, volumes, np.inf), axis=-1)
            to_mL = np.max(np.where(within, volumes, -np.inf), axis=-1)
            found.append(BufferRegion(name, step, np.where(np.isfinite(from_mL), from_mL, np.nan),
                                      np.where(np.isfinite(to_mL), to_mL, np.nan)))
    return tuple(sorted(found, key=lambda one: float(np.nanmin(one.from_mL))))
