"""The bench at a glance: what is expected, and what is asked about, while one determination is being typed."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from assaywright.assay.asked import WEIGHED, Asked, asked, handling_of
from assaywright.assay.bench.asking import Question
from assaywright.assay.bench.expected import Earlier, Expectation, from_earlier, started_at, with_plan
from assaywright.assay.bench.figures import figure, in_unit, places, with_plain_dates
from assaywright.assay.bench.foreseen import FIRST_READING, foreseen, with_mark
from assaywright.assay.bench.heading import (
    Burette,
    burette_of,
    last_days_of,
    laws_of,
    mark_of,
    pipette_role,
    portion_of,
    spread_of,
    step_of_balance_g,
    tares_of,
    without_portion_mL,
)
from assaywright.assay.bench.questions import Circumstances, questions
from assaywright.assay.bench.taken import Fields, is_by_mass, net_g, run_with_barium, runs_of, runs_to_first, titre_to
from assaywright.assay.bench.those_before import Before, Rule
from assaywright.assay.method import Method
from assaywright.assay.upstream import Opener
from assaywright.assay.wording import written_decimal, written_figures

ROLES = ("burette", "balance", "excess_pipette")


@dataclass(frozen=True, slots=True)
class BenchState:
    """What the bench shows of one determination.

    Fields:
        asked: what the method asks for, with the readings in their order.
        expected: where the endpoints are expected, by the fields they are read into ("final", and "first" or
            "hydroxide_final" where the method has two); empty where nothing tells.
        questions: about the readings typed so far.
        titre_mL: to the end, exactly, as text [mL]; empty while a reading is missing.
        first_titre_mL: to the first endpoint, or of the aliquot after barium chloride, likewise [mL].
        burette: its scale and division.
        under_way: the reading that is to come next, of those in ``expected``; "final" after the first of two.
        initial_mL, read_mL: of the filling under way, its initial reading and the one under way [mL]; None while they
            are not numbers.
    """

    asked: Asked
    expected: Mapping[str, Expectation]
    questions: tuple[Question, ...]
    titre_mL: str
    first_titre_mL: str
    burette: Burette
    under_way: str
    initial_mL: float | None
    read_mL: float | None


def bench_state(method: Method, heading: Mapping[str, Any], determinations: Sequence[Fields], typed: Fields,
                day: date | None = None, *, nominal: str = "", unreviewed: bool = False, planned_portion: str = "",
                opener: Opener | None = None) -> BenchState:
    """Return the state of the bench; nothing typed is refused, and what is half typed is not a number yet.

    Arguments:
        method: of the worksheet.
        heading: the worksheet's tables without its determinations, as a file or the records hold them.
        determinations: fields of those before this one, as the worksheet holds them; excluded ones do not count.
        typed: fields of this one, with or without units.
        day: of the work; None where it is not known, as of a sheet whose day is not typed yet.
        nominal: content of the product with its unit ("20.0 % w/v"), where the heading states no limits.
        unreviewed: of what was found of a titrant before, whether nobody has reviewed it.
        planned_portion: mass aimed at, with its unit.
        opener: for the titrants that the heading refers to; their nominal concentrations count without one.
    """
    heading = with_plain_dates(heading)
    counted = [one for one in determinations if not one.get("excluded")]
    filled = {name: value for name, value in typed.items() if value}
    wanted = asked(method, handling_of(method, heading, [*counted, filled]))
    mark, burette = mark_of(heading), burette_of(heading, filled)
    planned_g = _planned_g(heading, counted, planned_portion)
    at = Circumstances(
        burette.nominal_mL, burette.division_mL, burette.displayed, _usual_places(counted, mark), planned_g,
        in_unit(planned_portion, "g", mark) is not None, tares_of(heading, counted), step_of_balance_g(heading, filled),
        last_days_of(heading), day, mark, _before(method, heading, determinations, filled, wanted),
        laws_of(method, heading))
    expected = _expected(method, heading, counted, filled, _Known(wanted, planned_g, nominal, opener, unreviewed))
    first = FIRST_READING.get(method.scheme, "")
    # Of a portion that is not known yet no titre is odd.
    asked_against = expected if portion_of(heading, wanted, filled) is not None else {}
    to_first = _told(first, filled, mark) if first else ""
    under_way = first if first and not to_first else "final"
    return BenchState(wanted, expected, questions(wanted, filled, asked_against, at), _told("final", filled, mark),
                      to_first, burette, under_way, *_readings(under_way, filled, mark))


@dataclass(frozen=True, slots=True)
class _Known:
    """What the expectation needs besides readings: what is asked for, the mass aimed at [g], the nominal content."""

    asked: Asked
    planned_g: Decimal | None
    nominal: str
    opener: Opener | None
    unreviewed: bool


def _readings(reading: str, typed: Fields, mark: str) -> tuple[float | None, float | None]:
    """Return initial reading and the one under way [mL]."""
    run = run_with_barium(typed, mark) if reading == "hydroxide_final" else runs_of(typed, mark)[-1]
    last = in_unit(typed.get("first"), "mL", mark) if reading == "first" else run.final
    return None if run.initial is None else float(run.initial), None if last is None else float(last)


def _told(reading: str, typed: Fields, mark: str) -> str:
    found = None if is_by_mass(typed) else titre_to(reading, typed, mark)
    return "" if found is None else written_decimal(found)


def _planned_g(heading: Mapping[str, Any], counted: Sequence[Fields], planned: str) -> Decimal | None:
    """Return the mass to hold a portion against: the one planned, else the mean of those before; None for neither."""
    mark = mark_of(heading)
    aimed = in_unit(planned, "g", mark)
    if aimed is not None:
        return aimed
    masses = [mass for one in counted if (mass := net_g(one, mark)) is not None and mass > 0]
    return sum(masses, Decimal(0)) / len(masses) if masses else None


def _usual_places(counted: Sequence[Fields], mark: str) -> int | None:
    """Return the fewest decimals of the final readings before this one; None without any."""
    given = (figure(one.get("final"), "mL", mark) for one in counted)
    return min((places(one.value) for one in given if one is not None and one.unit == "mL"), default=None)


# --- what is expected -------------------------------------------------------------------------------------------------


def _expected(method: Method, heading: Mapping[str, Any], counted: Sequence[Fields], typed: Fields,
              known: _Known) -> dict[str, Expectation]:
    """Return what is expected of each endpoint, on the scale of the filling under way."""
    if is_by_mass(typed) or any(is_by_mass(one) for one in counted):
        return {}
    portion, presumed = portion_of(heading, known.asked, typed), ""
    if portion is None and known.planned_g is not None:
        portion, presumed = float(known.planned_g), f", for a portion of {written_figures(float(known.planned_g), 3)} g"
    if portion is None or not portion > 0:
        return {}
    fields = {role: typed[role] for role in ROLES if typed.get(role)} | _portion_fields(heading, known, typed, portion)
    planned = foreseen(method, heading, fields, nominal=known.nominal, unreviewed=known.unreviewed,
                       opener=known.opener)
    found = {}
    for reading in ("final", *filter(None, [FIRST_READING.get(method.scheme)])):
        seen = _seen(reading, method, heading, counted, portion, known.asked)
        one = with_plan(seen, planned.get(reading))
        if one is not None:
            told = replace(one, basis=f"{one.basis}{presumed}")
            found[reading] = _on_scale(reading, told, typed, mark_of(heading))
    return found


def _portion_fields(heading: Mapping[str, Any], known: _Known, typed: Fields, portion: float) -> dict[str, str]:
    """Return the fields of a worksheet that tell the portion."""
    weighed = net_g(typed, mark_of(heading)) is not None or known.asked.handling == WEIGHED
    if weighed:
        return {"net": with_mark(Decimal(repr(portion)), "g", mark_of(heading))}
    return {"pipette": pipette_role(known.asked, typed)}


def _seen(reading: str, method: Method, heading: Mapping[str, Any], counted: Sequence[Fields], portion: float,
          wanted: Asked) -> Expectation | None:
    """Return what the determinations before this one lead to, from a start at zero."""
    earlier = _earlier(reading, heading, counted, wanted)
    # The blank is that of the last endpoint; to the first of two nothing is known of one.
    without = without_portion_mL(method, heading) if reading == "final" else 0.0
    return from_earlier(reading, earlier, portion, without, spread_of(method, heading))


def _earlier(reading: str, heading: Mapping[str, Any], counted: Sequence[Fields], wanted: Asked) -> list[Earlier]:
    told = [(titre_to(reading, one, mark_of(heading)), portion_of(heading, wanted, one)) for one in counted]
    return [Earlier(float(titre), size) for titre, size in told
            if titre is not None and titre > 0 and size is not None and size > 0]


def _before(method: Method, heading: Mapping[str, Any], determinations: Sequence[Fields], typed: Fields,
            wanted: Asked) -> Before:
    """Return what the readings are held against; of two endpoints the result is not as the last titre is."""
    last = determinations[-1] if determinations else {}
    counted = [one for one in determinations if not one.get("excluded")]
    if method.scheme in FIRST_READING or any(is_by_mass(one) for one in (*counted, typed)):
        return Before(last)
    return Before(last, tuple(_earlier("final", heading, counted, wanted)), without_portion_mL(method, heading),
                  portion_of(heading, wanted, typed), tuple(_rules(method, heading)))


def _rules(method: Method, heading: Mapping[str, Any]) -> Iterator[Rule]:
    """Yield the method's own rules that one analyst's determinations can be held against."""
    count = {"determinations": max(2, method.replicates)}
    for one in method.acceptance:
        if one.rule in ("range", "Ph. Eur. RSD"):
            yield Rule(one.rule, count if one.limit is None else {**count, "limit_percent": one.limit.to("%")})
        percent = spread_of(method, heading).percent
        if one.rule == "ISO 5725-6 critical range" and percent is not None:
            yield Rule(one.rule, {**count, "repeatability_percent": percent})


def _on_scale(reading: str, expected: Expectation, typed: Fields, mark: str) -> Expectation:
    """Return an expectation on the scale of the filling that its endpoint falls in, as far as that is typed."""
    if reading == "hydroxide_final":
        return started_at(expected, float(run_with_barium(typed, mark).initial or 0))
    runs = runs_of(typed, mark)
    if reading == "first":
        if not typed.get("first"):  # not read yet: it falls in the filling under way
            before = sum(float(one.delivered_mL or 0) for one in runs[:-1])
            return started_at(expected, float(runs[-1].initial or 0), before)
        *full, run = runs_to_first(typed, mark)
        return started_at(expected, float(run.initial or 0), sum(float(one.delivered_mL or 0) for one in full))
    before = sum(float(one.delivered_mL or 0) for one in runs[:-1])
    return started_at(expected, float(runs[-1].initial or 0), before)
