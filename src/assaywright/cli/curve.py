"""The verb ``curve``: a titration followed along the burette, its indicators ranked, drawn or told."""

import argparse
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TypeVar

from assaywright.assay.feasible import Feasibility, feasibility
from assaywright.assay.method import Method
from assaywright.assay.own_method import own_method
from assaywright.assay.titrated import titrated_system
from assaywright.chemistry.curve import Curve, titration_curve
from assaywright.chemistry.indicator import Criterion, Ranking, VisualEndpoint, rank_indicators
from assaywright.chemistry.indicator_pair import Cancellation, cancellation
from assaywright.chemistry.solute import find_solute
from assaywright.chemistry.system import System, check_dissolving, prepared
from assaywright.cli.curve_file import is_system, read_system
from assaywright.cli.files import read_named, write_output
from assaywright.cli.methods import named_method
from assaywright.cli.opening import terminal_width
from assaywright.cli.typed_option import of_option
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.reference.indicators import Indicator, indicator

S = TypeVar("S")
T = TypeVar("T")

OWN_FILE = ".toml"
PICTURES = (".svg", ".png")
TWO_ENDPOINTS = "two endpoints"


@dataclass(frozen=True, slots=True)
class Followed:
    """A titration with its curve and its indicators.

    Fields:
        title: in words.
        system: as described.
        curve, rankings: as computed.
        named: the indicator that the method or the file names; None where it names none that is held.
        standard: formula or name of the solution that the titration takes as known.
        standardised: of the solutions that it can standardise; none where it is an assay.
        unheld: the indicator that a method names and that is not held; empty where there is none.
        first: the indicator of the first of two endpoints of one titration; None where there is one.
        checked: what ``methods --check`` makes of the method's own endpoints; empty for a system.
    """

    title: str
    system: System
    curve: Curve
    rankings: tuple[Ranking, ...]
    named: Indicator | None
    standard: str = ""
    standardised: tuple[str, ...] = ()
    unheld: str = ""
    first: Indicator | None = None
    checked: tuple[Feasibility, ...] = ()

    def end_of(self, one: Indicator | None) -> tuple[Ranking, VisualEndpoint | None]:
        """Return an indicator's endpoint with its ranking; without an indicator, the best of the last one."""
        for ranking in reversed(self.rankings):
            found = ranking.of(one.name) if one is not None else next(iter(ranking.by_error), None)
            if found is not None:
                return ranking, found
        return self.rankings[-1], None

    @property
    def first_end(self) -> VisualEndpoint | None:
        """The first of two endpoints, at the earliest equivalence point that its indicator turns at."""
        if self.first is None:
            return None
        return next((found for ranking in self.rankings if (found := ranking.of(self.first.name)) is not None), None)


@dataclass(frozen=True, slots=True)
class Told:
    """What is told of a titration.

    Fields:
        followed: the titration.
        ranking: at the equivalence point of the indicator shown.
        end: endpoint of the indicator shown; None where none can be.
        cancelled: against the standardisation; None where none was named.
        with_the_same: the same with the indicator shown in the standardisation too; None where it is the
            standardisation's own, where that has none, or where it does not turn there.
        against: title of the standardisation.
        everything: whether every indicator is listed.
    """

    followed: Followed
    ranking: Ranking
    end: VisualEndpoint | None
    cancelled: Cancellation | None
    against: str
    everything: bool
    with_the_same: Cancellation | None = None

    @property
    def ends(self) -> tuple[VisualEndpoint, ...]:
        """The endpoints to draw, in the order of the burette: both of a method of two endpoints."""
        both = (self.followed.first_end, self.end)
        return tuple({one.indicator.name: one for one in both if one is not None}.values())


def run(parsed: argparse.Namespace) -> int:
    """Follow a titration; print it as text or JSON, or draw it."""
    told = _told(parsed)
    if parsed.output is not None:
        write_output(parsed.output, _picture(told, parsed.output), replace=parsed.replace)
    if parsed.json:
        from assaywright.cli.curve_json import curve_record
        from assaywright.cli.show_json import json_text

        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(curve_record(told), plain=plain))
    elif parsed.output is not None and not parsed.indicators and parsed.against is None:
        print(f"{parsed.output} written")
    else:
        from assaywright.cli.curve_text import curve_lines

        for line in curve_lines(told, terminal_width()):
            print(line)
        if parsed.output is not None:
            print(f"\n{parsed.output} written")
    return 0


def _told(parsed: argparse.Namespace) -> Told:
    if parsed.output is not None and not parsed.output.casefold().endswith(PICTURES):
        raise Refusal("a curve is drawn as SVG or PNG", where=parsed.output, remedy="let the name end in .svg or .png")
    criterion = Criterion(_typed("--limit", parsed.limit, lambda text: float(read_quantity(text, "1").value)))
    nominal = None
    if parsed.nominal is not None:
        nominal = _typed("--nominal", parsed.nominal, lambda text: read_quantity(text, "mol/L"))
        if not nominal.value > 0:
            raise Refusal(f"a nominal concentration of {nominal.text.strip()}", where="--nominal",
                          remedy="give that of the titrant, above zero")
    wanted = indicator(parsed.indicator) if parsed.indicator is not None else None
    followed = follow(parsed.titration, criterion, nominal)
    ranking, end = followed.end_of(wanted or followed.named)
    if wanted is not None and end is None:
        raise Refusal(_why_not(followed, wanted), where=f"indicator '{wanted.name}'",
                      remedy="see --indicators for those that turn here")
    if end is None:
        ranking, end = followed.end_of(None)
    if parsed.against is None:
        return Told(followed, ranking, end, None, "", parsed.indicators)
    other = _standardised(parsed.against, criterion, followed.system)
    _check_standardises(other, followed, parsed.against)
    own, same = (_cancelled(end, followed, other, one) for one in (other.named, end.indicator if end else None))
    if own is None:
        return Told(followed, ranking, end, same, other.title, parsed.indicators)
    return Told(followed, ranking, end, own, other.title, parsed.indicators,
                None if same is None or same.indicators == own.indicators else same)


def _standardised(name: str, criterion: Criterion, system: System) -> Followed:
    """Return the standardisation of a system's titrant; a method's is followed with the titrant as strong as it is."""
    if name.endswith(OWN_FILE) and is_system(read_named(name), name):
        return follow(name, criterion, None)
    return follow(name, criterion, read_quantity(f"{system.titrant[0].concentration_mol_per_L!r} mol/L"))


def _check_standardises(other: Followed, followed: Followed, name: str) -> None:
    """Refuse a titration that does not standardise what the first one takes as its standard solution."""
    if any(_is_one(followed.standard, one) for one in other.standardised):
        return
    found = (f"it standardises {' or '.join(other.standardised)}" if other.standardised
             else "it is an assay and standardises no solution")
    raise Refusal(f"{found}, and the standard solution of '{followed.title}' is {followed.standard}",
                  where=f"--against {name}", remedy=f"name a standardisation of {followed.standard}")


def _is_one(one: str, other: str) -> bool:
    """Whether two names or formulas stand for one substance in solution."""
    if one == other:
        return True
    try:
        return find_solute(one).anhydrous.is_same_entity(find_solute(other).anhydrous)
    except Refusal:
        return False


def follow(name: str, criterion: Criterion, nominal: Quantity | None) -> Followed:
    """Return a titration followed along the burette with its indicators ranked.

    Arguments:
        name: of a method, or a method's or system's file.
        criterion: when an endpoint is good enough.
        nominal: concentration of a method's titrant.

    Raises:
        Refusal: no such method or file, or something in it is not held; one sentence says which.
    """
    if not name.endswith(OWN_FILE):
        return _followed_method(named_method(name), name, criterion, nominal)
    data = read_named(name)
    if not is_system(data, name):
        return _followed_method(own_method(data, name), name, criterion, nominal)
    if nominal is not None:
        raise Refusal("a system states its own concentrations", where=name, remedy="leave --nominal out")
    found = read_system(data, name)
    named = _naming(name, indicator, found.indicator) if found.indicator else None
    return _naming(name, lambda system: _followed_system(found.title, system, criterion, named), found.system)


def _followed_system(title: str, system: System, criterion: Criterion, named: Indicator | None) -> Followed:
    check_dissolving((*system.analyte, *system.titrant), system.temperature_degC)
    titrants, analytes = (tuple(one.substance for one in portions) for portions in (system.titrant, system.analyte))
    return replace(_followed(title, system, criterion, named), standard=titrants[0],
                   standardised=(titrants[0], *analytes))


def _followed_method(method: Method, name: str, criterion: Criterion, nominal: Quantity | None) -> Followed:
    named, unheld = None, ""
    try:
        named = indicator(method.endpoint.indicator) if method.endpoint.indicator else None
    except Refusal:
        unheld = method.endpoint.indicator

    def made(one: Method) -> Followed:
        system = titrated_system(one, nominal)
        check_dissolving(system.titrant, system.temperature_degC)  # the flask's solids dissolve as they react
        return replace(
            _followed(one.title, system, criterion, named), unheld=unheld,
            standard=(one.against or one.titrant).formula,
            standardised=(one.titrant.formula,) if one.kind == "standardisation" else (),
            first=_first_indicator(one), checked=feasibility(one, nominal, criterion),
        )

    return _naming(name, made, method)


def _followed(title: str, system: System, criterion: Criterion, named: Indicator | None) -> Followed:
    ready = prepared(system)
    curve = titration_curve(ready.titration)
    return Followed(title, system, curve, rank_indicators(curve, ready.flask, criterion), named)


def _first_indicator(method: Method) -> Indicator | None:
    """Return the indicator of the first of two endpoints of one titration; None where there is one, or it is unheld."""
    if method.first_endpoint is None or method.scheme != TWO_ENDPOINTS:
        return None
    try:
        return indicator(method.first_endpoint.indicator)
    except Refusal:
        return None


def _cancelled(end: VisualEndpoint | None, followed: Followed, other: Followed,
               one: Indicator | None) -> Cancellation | None:
    """Return what cancels against the endpoint of an indicator in the standardisation; None where it has none there."""
    second = other.end_of(one)[1] if one is not None else None
    if end is None or second is None:
        return None
    in_flask = not _is_one(followed.standard, other.system.titrant[0].substance)
    inverse = not _is_one(followed.standard, followed.system.titrant[0].substance)
    return cancellation(end, second, in_flask=in_flask, inverse=inverse)


def _why_not(followed: Followed, wanted: Indicator) -> str:
    others = [one for ranking in followed.rankings for one in (*ranking.elsewhere, *ranking.unranked)]
    reason = next((one.reason for one in others if one.indicator.name == wanted.name), "it has no part in it")
    return f"no endpoint can be given here: {reason}"


def _picture(told: Told, output: str) -> bytes:
    from assaywright.cli.curve_text import notes
    from assaywright.reports.chart_curve import WIDTH_PX, curve_svg
    from assaywright.reports.curve_conditions import conditions
    from assaywright.reports.curve_picture import curve_picture, typographic
    from assaywright.reports.render import drawing_png

    followed = told.followed
    svg = curve_svg(curve_picture(followed.curve, followed.title, conditions(followed.system, typographic),
                                  ranking=told.ranking, ends=told.ends, notes=tuple(notes(told))))
    return drawing_png(svg, WIDTH_PX) if output.casefold().endswith(".png") else svg.encode("utf-8")


def _typed(option: str, text: str, read: Callable[[str], T]) -> T:
    try:
        return read(text)
    except Refusal as refusal:
        raise of_option(refusal, option) from None


def _naming(name: str, make: Callable[[S], T], given: S) -> T:
    """Return what is made of something that a file or method says; a refusal names it."""
    try:
        return make(given)
    except Refusal as refusal:
        raise (refusal if name in refusal.where else refusal.at(name)) from None
