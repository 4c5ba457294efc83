"""The titration errors of alkali with carbonate, each from the curve of its own titration, and what a method makes so.

A systematic effect that is known is corrected for and what is left of it is uncertain: JCGM 100:2008, 3.2.3 and 6.3.1.
"""

import math
from typing import Any

from assaywright.assay.endpoint_curve import BESIDE_CARBON_DIOXIDE, EndpointCurve
from assaywright.assay.method import Endpoint, Method
from assaywright.assay.schemes.carbonate_turns import TurnInputs, late_beside_carbon_dioxide, off_hydrogen_carbonate
from assaywright.assay.terms import InputList, Scope, Term
from assaywright.assay.titrated import FLASK_ML, TITRE_ML
from assaywright.metrology.distributions import standard_uncertainty_of_half_width
from assaywright.metrology.estimate import Contribution, Estimate, exact, influence, influence_key
from assaywright.metrology.gum import evaluate_gum
from assaywright.metrology.model import Model
from assaywright.metrology.monte_carlo import ArrayMeans
from assaywright.metrology.refusal import Refusal
from assaywright.reference.acids import acid_constants

ROOM_PK = 0.03  # by which both constants of carbonic acid move between 20 °C and 25 °C, and with the source
FLASK_SHARE = 0.15  # by which a flask "with 50 mL of water" may hold more or less
ACTIVITY_HALF_WIDTH = 0.02
CARBONATE = ("Na2CO3", "sodium carbonate")


def flask_mL(method: Method) -> float:
    """Return what the flask holds before the first drop of titrant [mL]."""
    stated = method.medium.flask if method.medium is not None else None
    return FLASK_ML if stated is None else stated.to("mL")


def turn_term(
    method: Method, endpoint: Endpoint, total: Term, carbon: Term, inputs: InputList, tag: str, concentration: str
) -> Term:
    """Return the term for the titration error of an endpoint with a curve [mL]; its inputs are added once for all.

    Arguments:
        total: acid delivered to the second endpoint [mL].
        carbon: acid that turns hydrogen carbonate into carbon dioxide [mL].
        concentration: name of the input for that of the acid [mol/L].
    """
    curve = Refusal.unless(endpoint.curve, "the endpoint has no curve")
    first, second = (one.estimate for one in acid_constants("carbonic acid"))
    source = f"acid constants of the tables at 25 °C, ± {ROOM_PK:g} for the room"
    flask, activity = _flask(method, inputs), _activity(inputs)
    pK1 = inputs.add("pK₁", "first pK of carbonic acid", _of_room(first), source=source)
    pH = _colour(endpoint, curve)
    if curve.law == BESIDE_CARBON_DIOXIDE:
        name = inputs.add("pH_e", "pH at the colour taken for the end", pH, source=curve.source)
        names = TurnInputs(concentration, flask, activity, pK1, name, _kept(curve, inputs), _mean(pH, inputs))
        return late_beside_carbon_dioxide(total, carbon, names, tag)
    name = inputs.add("ΔpH", "pH of the first endpoint off that of the flask beside it", pH, source=curve.source)
    names = TurnInputs(concentration, flask, activity, pK1, name,
                       pK2=inputs.add("pK₂", "second pK of carbonic acid", _of_room(second), source=source))
    return off_hydrogen_carbonate(total, carbon, names, tag)


def stated_by_curve(method: Method, endpoint: Endpoint, strength_mol_per_L: float) -> tuple[float, float]:
    """Return value and half width of what an endpoint with a curve misses, in the titration of the method's medium.

    The half width is that of a rectangular distribution of the same standard uncertainty; what the endpoint states
    besides is within it.

    Returns: [mL], for 25 mL of acid in all.
    """
    titrated = method.medium.titrated if method.medium is not None else ()
    share = sum(float(one.moles.value) for one in titrated if one.substance in CARBONATE)
    term, inputs = _at(method, endpoint, exact(strength_mol_per_L, "mol/L"), TITRE_ML, TITRE_ML * share)
    estimate = evaluate_gum(Model(lambda x, m: term(Scope(x, m)), inputs.items, "mL")).estimate
    left = endpoint.titration_error.uncertainty_in("mL") if endpoint.titration_error else 0.0
    return estimate.value, math.sqrt(3.0) * math.hypot(estimate.standard_uncertainty, left)


def late_mL(method: Method, strength_mol_per_L: Any, total_mL: Any, carbon_mL: Any) -> Any:
    """Return what the second endpoint is expected to miss by [mL]; nought where the method has no curve for it.

    Arguments:
        strength_mol_per_L, total_mL, carbon_mL: of the acid; numbers, or arrays of one shape.
    """
    if method.endpoint.curve is None or method.endpoint.curve.law != BESIDE_CARBON_DIOXIDE:
        return 0.0 * total_mL
    term, inputs = _at(method, method.endpoint, exact(1.0, "mol/L"), total_mL, carbon_mL)
    values = {name: given.estimate.value for name, given in inputs.items.items()}
    return term(Scope(values | {"c_t": strength_mol_per_L}, ArrayMeans()))


def _at(method: Method, endpoint: Endpoint, strength: Estimate, total: Any, carbon: Any) -> tuple[Term, InputList]:
    inputs = InputList()
    name = inputs.add("c_t", "acid", strength)
    return turn_term(method, endpoint, lambda _: total, lambda _: carbon, inputs, "", name), inputs


def left_open(method: Method, endpoint: Endpoint, strength_mol_per_L: float, inputs: InputList) -> Term:
    """Return the term for a titration error that is not subtracted: its value and uncertainty are both uncertain.

    Arguments:
        strength_mol_per_L: of the acid [mol/L].
    """
    value, half_width = stated_by_curve(method, endpoint, strength_mol_per_L)
    named = endpoint.influence or endpoint.indicator
    key = influence_key("endpoint", named, "method", "titration error")
    left = math.hypot(value, standard_uncertainty_of_half_width(half_width))
    name = inputs.add("δV_e", "titration error", influence(key, 0.0, left, "mL", label=f"endpoint: {named}"),
                      source=endpoint.reason)
    return lambda scope: scope.x[name]


def error_in_words(endpoint: Endpoint) -> str:
    """Return what an endpoint's titration error is and what is done with it, as a clause."""
    stated = endpoint.titration_error
    if endpoint.curve is None:
        return f"titration error {stated.text if stated else 'not known'}, {endpoint.treatment}"
    besides = f" and {stated.text} besides" if stated else ""
    return f"titration error from the curve of each titration{besides}, {endpoint.treatment}"


def _activity(inputs: InputList) -> str:
    key = influence_key("chemistry", "activity coefficient of a single charge", "Davies", "model")
    estimate = influence(key, 0.0, standard_uncertainty_of_half_width(ACTIVITY_HALF_WIDTH), "1",
                         distribution="rectangular", label="activity coefficient by Davies")
    return inputs.add("δf", "open error of the activity coefficient", estimate, source="equation of Davies")


def _flask(method: Method, inputs: InputList) -> str:
    volume = flask_mL(method)
    key = influence_key("flask", "water added in the flask", "method", "volume")
    estimate = influence(key, volume, standard_uncertainty_of_half_width(FLASK_SHARE * volume), "mL",
                         distribution="rectangular", label="volume in the flask")
    return inputs.add("V_w", "in the flask before the first drop", estimate, source="method file, medium")


def _of_room(estimate: Estimate) -> Estimate:
    """Return a constant for any temperature of the room, under its permanent key."""
    (part,) = estimate.contributions
    return influence(part.key, estimate.value, standard_uncertainty_of_half_width(ROOM_PK), "1",
                     distribution="rectangular", label=part.label)


def _colour(endpoint: Endpoint, curve: EndpointCurve) -> Estimate:
    """Return the pH at the colour, under the key of the method's influence.

    A colour taken later is a lower pH: the contribution's sign says so, and the same eye in a standardisation that
    states its error in millilitres partly cancels.
    """
    effect = "titration error" if curve.law == BESIDE_CARBON_DIOXIDE else "pH of the match"
    key = influence_key("endpoint", endpoint.influence or endpoint.indicator, "method", effect)
    stated = curve.pH.uncertainty
    part = Contribution(key, -curve.pH.uncertainty_in("1"),
                        distribution=stated.distribution if stated is not None else "normal",
                        label=f"endpoint: {endpoint.influence or endpoint.indicator}")
    return Estimate(float(curve.pH.value), "1", (part,))


def _mean(pH: Estimate, inputs: InputList) -> str:
    """Add by how much the mean of 10^±pH exceeds that at the mean pH, exp((ln 10 u)²/2) where it scatters normally.

    Tint and eye are of like size, so what they make together is nearly normal, whatever each is.
    """
    factor = float(f"{math.exp((math.log(10) * pH.standard_uncertainty) ** 2 / 2):.5f}")
    return inputs.add_exact("g", "mean of 10^±pH over what the colour may be, over that at its middle", factor, "1",
                            source="exp((ln 10 · u)²/2), u of pH_e; JCGM 100:2008, 5.1.2, note")


def _kept(curve: EndpointCurve, inputs: InputList) -> str:
    label = "share of the carbon dioxide that is still dissolved"
    if curve.kept is None:
        return inputs.add_exact("r_CO₂", label, 1.0, "1", source="method file")
    key = influence_key("endpoint", "carbon dioxide kept in the flask", "method", "share")
    stated = curve.kept.uncertainty
    estimate = influence(key, float(curve.kept.value), curve.kept.uncertainty_in("1"), "1",
                         distribution=stated.distribution if stated is not None else "normal", label=label)
    return inputs.add("r_CO₂", label, estimate, source=curve.source)
