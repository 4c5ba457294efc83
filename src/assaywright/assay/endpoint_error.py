"""By how much a method's endpoint misses the equivalence point, as the engine has it, once the blank is taken off."""

import math
from dataclasses import dataclass, replace

import numpy as np

from assaywright.assay.method import Endpoint, Method
from assaywright.assay.titrated import TITRE_ML, UNSAID
from assaywright.chemistry.curve import Curve, titration_curve
from assaywright.chemistry.indicator import (
    OBSERVER_HALF_WIDTH,
    OBSERVER_HALF_WIDTH_V,
    OF_ANOTHER_KIND,
    VisualEndpoint,
    endpoint_of,
)
from assaywright.chemistry.indicator_scale import Flask
from assaywright.chemistry.indicator_visible import NOT_REACHED
from assaywright.chemistry.system import Portion, System, prepared
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.refusal import Refusal
from assaywright.reference.indicators import Indicator, indicator

TRACE_MOL_PER_L = 1e-8
INERT = {"acid-base": "sodium chloride", "precipitation": "sodium nitrate"}
LARGER = 1.6
MATCHED = 0.5
ELECTRODE_HALF_WIDTH, ELECTRODE_HALF_WIDTH_V = 0.02, 0.001
LIKEWISE = "titrated likewise"
TAKEN_OFF = ("indicator blank", "reagent blank", LIKEWISE)
BLANK_SCALE_ML = np.concatenate(([0.0], np.geomspace(1e-6, 1.0, 300)))


@dataclass(frozen=True, slots=True)
class Titration:
    """A titration followed up to one equivalence point.

    Fields:
        system: as described.
        curve, flask: of it.
        equivalence_mL: the exact equivalence volume that the endpoint stands for [mL].
    """

    system: System
    curve: Curve
    flask: Flask
    equivalence_mL: float


@dataclass(frozen=True, slots=True)
class EndpointError:
    """The titration error that is left of an endpoint.

    Fields:
        error_mL: endpoint less equivalence volume, the blank taken off [mL].
        standard_uncertainty_mL: of it, from tint and observer, or from the electrode [mL].
        without_blank_mL: the error with no blank taken off [mL]; None where the method has none that the engine knows.
    """

    error_mL: float
    standard_uncertainty_mL: float
    without_blank_mL: float | None = None


@dataclass(frozen=True, slots=True)
class NoEndpoint:
    """An endpoint that cannot be seen at all, and why."""

    reason: str


def followed(system: System, target_mL: float = TITRE_ML, *, before: bool = False) -> Titration:
    """Return a titration followed up to the equivalence point nearest to a volume, or the last one before it.

    Arguments:
        system: the titration.
        target_mL: that volume [mL].
        before: whether the last one before it is meant.

    Raises:
        Refusal: a constant is not held, or nothing reacts.
    """
    ready = prepared(system)
    curve = titration_curve(ready.titration)
    volumes = _equivalence_volumes(curve)
    if before:
        volumes = [one for one in volumes if one < target_mL * (1 - 1e-6)]
    if not volumes:
        raise Refusal("the curve has no equivalence point there", where="endpoint", remedy="see the method's [medium]")
    return Titration(system, curve, ready.flask, min(volumes, key=lambda one: abs(one - target_mL)))


def _equivalence_volumes(curve: Curve) -> list[float]:
    return sorted(float(np.ravel(one.volume_mL)[0]) for one in curve.equivalence_points)


def endpoint_error(method: Method, endpoint: Endpoint, titration: Titration) -> EndpointError | NoEndpoint | str:
    """Return by how much an endpoint misses the equivalence point; why there is none; or why that cannot be computed.

    A colour that is matched beside a flask of what is there at the end leaves how well two colours are matched, half of
    what an eye is off without one. Of an indicator blank and of a blank titrated likewise the error is subtracted, and
    the tint taken for the end drops out.

    Arguments:
        method: which blank it takes, and what it matches.
        endpoint: of that method.
        titration: up to the equivalence point that the endpoint stands for.

    Source: that a colour beside another is met twice as well is common practice, no source.
    """
    if endpoint.kind == "potentiometric":
        return _steepest(titration)
    if endpoint.kind != "visual":
        return f"a {endpoint.kind} endpoint is not computed"
    try:
        return _seen(method, indicator(endpoint.indicator), titration)
    except Refusal as refusal:
        return refusal.what


def _seen(method: Method, one: Indicator, titration: Titration) -> EndpointError | NoEndpoint | str:
    found = endpoint_of(one, titration.curve, titration.flask, titration.equivalence_mL)
    if isinstance(found, str):
        why = f"{one.name}: {found}"
        return NoEndpoint(why) if found in (NOT_REACHED, OF_ANOTHER_KIND) else why
    matched = is_matched(method, one)
    if method.blank.kind in TAKEN_OFF and not (_goes_out(found) and method.blank.kind != LIKEWISE):
        return _less_blank(found, blank_endpoint(method, one, titration), matched=matched)
    if matched and _turns_at_equivalence(found, titration):
        return EndpointError(0.0, MATCHED * found.observer_mL)
    share = MATCHED if matched else 1.0
    return EndpointError(found.titration_error_mL, math.hypot(found.tint_mL, share * found.observer_mL))


def is_matched(method: Method, one: Indicator) -> bool:
    """Whether a method has the indicator's colour matched beside another flask."""
    return any(indicator(name).name == one.name for name in (method.medium or UNSAID).matched)


def blank_endpoint(method: Method, one: Indicator, titration: Titration) -> VisualEndpoint | None:
    """Return where the indicator ends the method's blank; None where it has turned before the first drop.

    A blank titrated likewise holds all of the reagent, here 1.6 times what the sample leaves of it.
    """
    system, at = titration.system, titration.equivalence_mL
    if method.blank.kind == LIKEWISE:
        more = tuple(replace(each, concentration_mol_per_L=LARGER * each.concentration_mol_per_L)
                     for each in system.analyte)
        other = followed(replace(system, analyte=more), LARGER * at)
        found = endpoint_of(one, other.curve, other.flask, other.equivalence_mL)
    else:
        ready = prepared(_without_analyte(system, at))
        curve = titration_curve(ready.titration, at * BLANK_SCALE_ML)
        found = endpoint_of(one, curve, ready.flask, min(_equivalence_volumes(curve)))
    return None if isinstance(found, str) else found


def _without_analyte(system: System, titre_mL: float) -> System:
    """Return the final volume of water with its reagents and salt, and a trace of what is titrated."""
    whole_mL = system.volume_mL + system.water_mL + titre_mL
    share = system.volume_mL / whole_mL
    left = tuple(
        replace(one, concentration_mol_per_L=TRACE_MOL_PER_L if _is_titrated(system, place, titre_mL)
                else one.concentration_mol_per_L * share)
        for place, one in enumerate(system.analyte))
    salt = tuple(Portion(name, system.analyte[0].concentration_mol_per_L * share)
                 for kind, name in INERT.items() if kind == system.kind)
    return replace(system, analyte=(*left, *salt), volume_mL=whole_mL, water_mL=0.0)


def _is_titrated(system: System, place: int, titre_mL: float) -> bool:
    """Whether a substance in the flask takes titrant: without it the equivalence point lies elsewhere."""
    if len(system.analyte) == 1:
        return True
    others = system.analyte[:place] + system.analyte[place + 1:]
    points = prepared(replace(system, analyte=others, followed="")).titration.equivalence_points()
    return all(abs(float(np.ravel(one.volume_mL)[0]) - titre_mL) > 1e-6 * titre_mL for one in points)


def _goes_out(found: VisualEndpoint) -> bool:
    """Whether a colour goes out at the end, of which a blank without the analyte shows nothing."""
    return found.interval is None and found.titration_error_mL < 0


def _less_blank(found: VisualEndpoint, blank: VisualEndpoint | None, *, matched: bool) -> EndpointError:
    alone = found.titration_error_mL
    if blank is None:
        return EndpointError(alone, found.standard_uncertainty_mL, alone)
    error = alone - blank.titration_error_mL
    observer = math.hypot(found.observer_mL, blank.observer_mL) * (MATCHED if matched else 1.0)
    return EndpointError(error, math.hypot(found.tint_mL - blank.tint_mL, observer), alone)


def _turns_at_equivalence(found: VisualEndpoint, titration: Titration) -> bool:
    """Whether the equivalence point itself lies within the indicator's interval, so that its colour can be matched."""
    if found.interval is None:
        return False
    value = float(np.interp(titration.equivalence_mL, titration.curve.volume_mL, titration.curve.values))
    off = OBSERVER_HALF_WIDTH_V if titration.curve.quantity == "potential_V" else OBSERVER_HALF_WIDTH
    return found.interval[0] - off <= value <= found.interval[1] + off


def _steepest(titration: Titration) -> EndpointError | NoEndpoint:
    """Return what the steepest place of the curve misses, and what an electrode's resolution leaves of it."""
    curve, at = titration.curve, titration.equivalence_mL
    near = np.isfinite(curve.first_derivative) & (np.abs(curve.volume_mL - at) <= 0.1 * at)
    slopes = np.abs(curve.first_derivative[near])
    place = int(np.argmax(slopes))
    if not _has_a_jump(titration) or place in (0, slopes.size - 1):
        return NoEndpoint("the curve has no steepest place at the equivalence point")
    error = float(curve.volume_mL[near][place]) - at
    off = ELECTRODE_HALF_WIDTH_V if curve.quantity == "potential_V" else ELECTRODE_HALF_WIDTH
    return EndpointError(error, standard_uncertainty_of_half_width(off / float(slopes[place])))


def _has_a_jump(titration: Titration) -> bool:
    pairs = zip(titration.curve.equivalence_points, titration.curve.distinct, strict=True)
    return any(distinct and abs(float(np.ravel(one.volume_mL)[0]) - titration.equivalence_mL) < 1e-9
               for one, distinct in pairs)
