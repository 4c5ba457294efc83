"""Whether a method's endpoint is feasible: what the engine makes of it against what the method states."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache

from assaywright.assay.endpoint_error import EndpointError, NoEndpoint, Titration, endpoint_error, followed
from assaywright.assay.method import Endpoint, Method
from assaywright.assay.titrated import nominal_mol_per_L, titrated_system
from assaywright.assay.titration_error import share_at
from assaywright.assay.turned_by_curve import stated_by_curve
from assaywright.chemistry.indicator import COVERAGE, Criterion, rank_indicators, signed
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal

PLACES = 4  # of a titration error in mL, so that it can be told from the stated one
FEASIBLE, INFEASIBLE, NOT_COMPUTED = "feasible", "not feasible", "not computed"


@dataclass(frozen=True, slots=True)
class Feasibility:
    """What the engine says of one endpoint of a method.

    Fields:
        endpoint: "endpoint", or "first endpoint" of two.
        indicator: or electrode, as the method names it.
        titrant_mol_per_L: concentration in the burette [mol/L]; None where it is not known.
        verdict: "feasible", "not feasible" or "not computed".
        sentence: why.
        error_mL, standard_uncertainty_mL: titration error that is left, by the engine [mL]; None where not computed.
        stated_mL: value and half width that the method states at this strength [mL]; None where it states nothing.
        equivalence_mL: titre that the endpoint stands for [mL]; None where not computed.
    """

    endpoint: str
    indicator: str
    titrant_mol_per_L: float | None
    verdict: str
    sentence: str
    error_mL: float | None = None
    standard_uncertainty_mL: float | None = None
    stated_mL: tuple[float, float] | None = None
    equivalence_mL: float | None = None

    @property
    def within_stated(self) -> bool:
        """Whether the error, taken with twice its uncertainty, lies inside what the method states."""
        if self.error_mL is None or self.standard_uncertainty_mL is None or self.stated_mL is None:
            return False
        value, half_width = self.stated_mL
        return abs(self.error_mL - value) + COVERAGE * self.standard_uncertainty_mL <= half_width


def feasibility(method: Method, nominal: Quantity | None = None, criterion: Criterion | None = None) -> (
        tuple[Feasibility, ...]):
    """Return for each endpoint of a method whether it is feasible.

    It is where the titration error that the engine finds, with twice its standard uncertainty, lies inside the
    titration error that the method states, or within a limit. What cannot be computed is said to be so.

    Arguments:
        method: one of the program's or a laboratory's own.
        nominal: concentration of the titrant; that of the method's worked example when not given.
        criterion: the limit; 0.2 % of the titre when not given.
    """
    limit = criterion or Criterion()
    endpoints = {"first endpoint": method.first_endpoint, "endpoint": method.endpoint}
    return tuple(_of(method, name, one, nominal, limit) for name, one in endpoints.items() if one is not None)


@lru_cache(maxsize=128)
def infeasible_endpoints(method: Method) -> tuple[Feasibility, ...]:
    """Return the endpoints of a method that are not feasible at the strength of its worked example."""
    return tuple(one for one in feasibility(method) if one.verdict == INFEASIBLE)


def weaker_titrants(method: Method, criterion: Criterion | None = None) -> Iterator[Feasibility]:
    """Yield the endpoints that are not feasible at other concentrations of titrant that the method names."""
    usual = nominal_mol_per_L(method, None)
    for nominal in method.titrant.nominal:
        if nominal.unit == "mol/L" and abs(nominal.to("mol/L") - usual) > 1e-9:
            yield from (one for one in feasibility(method, nominal, criterion) if one.verdict == INFEASIBLE)


def _of(method: Method, name: str, endpoint: Endpoint, nominal: Quantity | None, limit: Criterion) -> Feasibility:
    strength = None
    found: EndpointError | NoEndpoint | str
    try:
        strength = nominal_mol_per_L(method, nominal)
        titration = _titration(method, nominal, first=endpoint is method.first_endpoint)
        found = endpoint_error(method, endpoint, titration)
    except Refusal as refusal:
        found = refusal.what
    if isinstance(found, str):
        return Feasibility(name, endpoint.indicator, strength, NOT_COMPUTED, f"{found}.")
    if isinstance(found, NoEndpoint):
        return Feasibility(name, endpoint.indicator, strength, INFEASIBLE, f"{found.reason}.")
    one = Feasibility(name, endpoint.indicator, strength, FEASIBLE, "", found.error_mL, found.standard_uncertainty_mL,
                      _stated(method, endpoint, strength), titration.equivalence_mL)
    within = one.within_stated or _share_percent(one, titration) <= limit.limit_percent
    return replace(one, verdict=FEASIBLE if within else INFEASIBLE,
                   sentence=_sentence(method, one, found, titration, limit))


def _titration(method: Method, nominal: Quantity | None, *, first: bool) -> Titration:
    """Return the titration up to an endpoint; barium leaves in the flask what the medium names first."""
    system = titrated_system(method, nominal)
    if first and method.scheme == "barium chloride":
        return followed(replace(system, analyte=system.analyte[:1]))
    return followed(system, before=first)


def _stated(method: Method, endpoint: Endpoint, strength_mol_per_L: float | None) -> tuple[float, float] | None:
    """Return value and half width of the stated titration error for a titrant of this strength [mL]."""
    stated = endpoint.titration_error
    if endpoint.curve is not None and strength_mol_per_L:
        return stated_by_curve(method, endpoint, strength_mol_per_L)
    if stated is None:
        return None
    share = share_at(endpoint, strength_mol_per_L, applied=endpoint.treatment == "applied")
    half_width = 0.0 if stated.uncertainty is None else float(stated.uncertainty.amount)
    return share * stated.to("mL"), share * half_width


def _share_percent(one: Feasibility, titration: Titration) -> float:
    left = (one.error_mL or 0.0) - (one.stated_mL[0] if one.stated_mL else 0.0)
    return 100 * (abs(left) + COVERAGE * (one.standard_uncertainty_mL or 0.0)) / titration.equivalence_mL


def _sentence(method: Method, one: Feasibility, found: EndpointError, titration: Titration, limit: Criterion) -> str:
    told = (f"{one.indicator} misses {titration.equivalence_mL:.2f} mL by {signed(found.error_mL, PLACES)} mL with a "
            f"standard uncertainty of {found.standard_uncertainty_mL:.{PLACES}f} mL")
    if found.without_blank_mL is not None:
        taken = "against the blank" if method.blank.kind == "titrated likewise" else "with its blank taken off"
        told += f" {taken}"
    share = _share_percent(one, titration)
    against = _in_words(one.stated_mL)
    if one.within_stated:
        told += f", inside {against}"
    elif share <= limit.limit_percent:
        reach = share / 100 * titration.equivalence_mL
        told += f": with twice that {reach:.{PLACES}f} mL, not inside {against} but" if against else ","
        told += f" within {limit.limit_percent:g} % of the titre"
    else:
        told += (f", with twice that {share:.2f} % of the titre, more than {limit.limit_percent:g} %"
                 f"{' and than ' + against if against else ''}{_instead(titration, one, limit)}")
    if _leaves_without_blank(method, one, found):
        told += (f"; without the blank, which the method does not require, it misses by "
                 f"{signed(found.without_blank_mL or 0.0, PLACES)} mL")
    return f"{told}."


def _in_words(stated: tuple[float, float] | None) -> str:
    if stated is None:
        return ""
    value, half_width = stated
    return f"the stated {value:g} mL ± {half_width:.3g} mL"


def _leaves_without_blank(method: Method, one: Feasibility, found: EndpointError) -> bool:
    """Whether an indicator blank that may be left out takes more away than the method states."""
    if method.blank.kind != "indicator blank" or method.blank.required or found.without_blank_mL is None:
        return False
    value, half_width = one.stated_mL or (0.0, 0.0)
    return abs(found.without_blank_mL - value) > half_width


def _instead(titration: Titration, one: Feasibility, limit: Criterion) -> str:
    """Return what would do better, as the end of a sentence; which redox indicator is quick enough it cannot say."""
    near = [each for each in rank_indicators(titration.curve, titration.flask, limit)
            if abs(each.equivalence_mL - titration.equivalence_mL) < 1e-9]
    best = next((end for each in near for end in each.good_enough if end.indicator.name != one.indicator), None)
    if best is not None and titration.curve.quantity != "potential_V":
        return f"; {best.indicator.name} would do"
    return "; follow the titration with an electrode, or take a stronger titrant"
