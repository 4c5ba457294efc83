"""Titrants: prepared, verified against a limit, discarded. What they are worth, their standardisations say."""

from decimal import Decimal
from typing import Any

from assaywright.actions.equipment import IN_CHARGE, WORKERS
from assaywright.actions.names import number
from assaywright.actions.permission import demand
from assaywright.actions.reasons import in_order, last_day, made_on, needed
from assaywright.actions.repeated import repeatable
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.records.behind import RESTANDARDISE
from assaywright.records.log import append
from assaywright.records.models import Assay, Event, Solution
from assaywright.records.models.equipment import IN_USE

ACCEPTED = "accepted"
GREATEST_NOMINAL = 30  # mol/L or eq/L; common practice, no source
GREATEST_VOLUME_L = 100_000  # common practice, no source
GREATEST_LIMIT_PERCENT = 5  # common practice, no source: beyond it nothing is verified any more


@repeatable
def solution_prepare(
    *, identity: str, table: dict[str, Any], by: str, prepared: str = "", volume: str = "", act: str = ""
) -> Event:
    """Enter a standard solution by its lot number.

    Arguments:
        table: name, formula, nominal, use_before as a worksheet states them.
        prepared: day [ISO 8601].
        volume: as text with its unit ("10 L").

    Raises:
        Refusal: the number is taken, something is missing, or ``by`` may not.
    """
    demand(by, *WORKERS)
    identity = number(identity, "the lot number", "number", among=Solution)
    if Solution.objects.filter(pk=identity).exists():
        raise Refusal(f"there is a solution {identity} already", where="number", remedy="give the new one its own")
    for key in ("name", "formula", "nominal"):
        needed(str(table.get(key, "")), f"the solution's {key}", key)
    if isinstance(table.get("use_before"), str):
        table = {**table, "use_before": last_day(table["use_before"], "use before")}
    prepared = made_on(prepared, "prepared") if prepared.strip() else ""
    in_order(prepared, str(table.get("use_before", "")), "prepared")
    _check_solution(table, identity, volume)
    return append("solution.prepared", subject=identity, by=by, act=act,
                  payload={"table": table, "prepared": prepared, "volume": volume})


def _check_solution(table: dict[str, Any], identity: str, volume: str) -> None:
    """Refuse a solution that a worksheet would refuse, and a volume that is none."""
    import tomllib
    from datetime import UTC

    from assaywright.assay.reading.materials import CONCENTRATION_UNITS, SOLUTION_FIELDS, read_solution
    from assaywright.assay.reading.table import Conventions, Table
    from assaywright.records.toml_text import toml_text

    plain = tomllib.loads(toml_text({**{key: value for key, value in table.items() if key in SOLUTION_FIELDS},
                                     "lot": identity}))
    read_solution(Table(plain, f"solution {identity}", SOLUTION_FIELDS, Conventions(zone=UTC)))
    if volume.strip():
        prepared = _quantity(volume, "volume", "mL", "L")
        if prepared.value <= 0:
            raise Refusal(f"the volume '{volume}' is not above zero", where="volume", remedy="give what was prepared")
        if prepared.to("L") > GREATEST_VOLUME_L:
            raise Refusal(f"the volume '{volume}' is above {GREATEST_VOLUME_L} L", where="volume",
                          remedy="check its unit")
    nominal = _quantity(str(table["nominal"]), "nominal", *CONCENTRATION_UNITS)
    if nominal.unit in ("mol/L", "eq/L") and nominal.value > GREATEST_NOMINAL:
        raise Refusal(f"the nominal concentration '{table['nominal']}' is above {GREATEST_NOMINAL} {nominal.unit}",
                      where="nominal", remedy="check its unit")


@repeatable
def solution_verify(
    *, identity: str, found: str, limit_percent: str, by: str, worksheet: str = "", act: str = ""
) -> Event:
    """Record a control titration against the value in force by the records: accepted, or to be restandardised.

    Arguments:
        found: concentration with its unit, as text.
        limit_percent: largest deviation accepted, as text [%]; at most 5 %.
        worksheet: on which the control titration was titrated; empty for one done elsewhere.

    Raises:
        Refusal: a figure cannot be read or cannot be, the records tell no value in force, no such worksheet of this
            solution, no such solution in use, or ``by`` may not.
    """
    from assaywright.assay.reading.materials import CONCENTRATION_UNITS

    demand(by, *WORKERS)
    solution = solution_in_use(identity)
    new = _quantity(found, "found", *CONCENTRATION_UNITS)
    limit = _quantity(limit_percent if "%" in limit_percent else f"{limit_percent} %", "limit", "%")
    if worksheet and not Assay.objects.filter(pk=worksheet, about=identity).exists():
        raise Refusal(f"{worksheet} is no worksheet of {identity}", where="worksheet",
                      remedy="take the result over from the worksheet's page at the bench")
    old, unit, text = value_in_force(solution, without=worksheet)
    if new.unit != unit:
        raise Refusal(f"'{found}' is not in {unit}, and the value in force is", where="found",
                      remedy="use the unit of the value in force")
    if new.value <= 0:
        raise Refusal(f"'{found}' is not above zero", where="found", remedy="give what the control titration found")
    if not 0 < limit.value <= GREATEST_LIMIT_PERCENT:
        raise Refusal(f"the largest deviation accepted must lie above zero and at most at {GREATEST_LIMIT_PERCENT} %",
                      where="limit", remedy="give the limit of the laboratory's procedure, like 0.2 %")
    deviation = 100 * (new.value / old - 1)
    verdict = ACCEPTED if abs(deviation) <= limit.value else RESTANDARDISE
    titrated = {"worksheet": worksheet} if worksheet else {}
    return append("solution.verified", subject=solution.identity, by=by, act=act, payload={
        "found": found, "in_force": text, "limit_percent": str(limit.value),
        "deviation_percent": f"{deviation:+.3f}", "verdict": verdict, **titrated})


def value_in_force(solution: Solution, *, without: str = "") -> tuple[Decimal, str, str]:
    """Return the value that is in force by the records: number, unit, and as printed.

    Arguments:
        without: number of a worksheet that does not count, as it is the control titration itself.

    Raises:
        Refusal: nothing on record tells what the solution is worth.
    """
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.standardisations import standardisations_of

    if stated := str(solution.content.get("concentration", "")):
        quantity = _quantity(stated, "in force")
        return quantity.value, quantity.unit, stated
    found = [one for one in standardisations_of(solution.identity) if one.identity != without]
    if not found:
        raise Refusal(f"nothing on record tells what the solution {solution.identity} is worth", where="in force",
                      remedy="standardise it, and have the standardisation reviewed")
    outcomes = [evaluate_assay(one) for one in found]
    result = next((one for one in reversed(outcomes) if one.releasable), outcomes[-1]).result
    return Decimal(repr(result.estimate.value)), result.estimate.unit, f"{result.value_text} {result.estimate.unit}"


def _quantity(text: str, where: str, *units: str) -> Quantity:
    from assaywright.metrology.typed import read_quantity

    try:
        return read_quantity(needed(text, "the figure", where), *units)
    except Refusal as refusal:
        raise (refusal if refusal.where else refusal.at(where)) from None


@repeatable
def solution_specify(*, identity: str, table: dict[str, Any], by: str, reason: str = "", act: str = "") -> Event:
    """State what the certificate of a titrant says and its limits; to state it anew needs a reason.

    Arguments:
        table: product, maker, made, use_before, storage, hazards, cautions, certificate_number as a lot file states
            them, and ``limits``: name, lower, upper and rule of its concentration as a characteristic states them.

    Raises:
        Refusal: no such solution in use, a lot file would refuse it, there is no limit, stated anew without a reason,
            or ``by`` may not.
    """
    from assaywright.assay.reading.materials import CONCENTRATION_UNITS
    from assaywright.records.titrants import LIMITS, certified_facts, lot_file_of

    demand(by, *IN_CHARGE)
    solution = solution_in_use(identity)
    limits = table.get(LIMITS, {})
    if not (limits.get("lower") or limits.get("upper")):
        raise Refusal("there is no limit to decide by", where="limits",
                      remedy="enter the lowest or the highest content")
    for key in ("lower", "upper"):
        if limits.get(key):
            _quantity(str(limits[key]), key, *CONCENTRATION_UNITS)
    table = {**table, **{key: last_day(str(table[key]), key.replace("_", " ")) for key in ("made", "use_before")
                         if isinstance(table.get(key), str)}}
    try:
        lot_file_of(identity, {"product": solution.name, **table}, worksheet="none.toml")
    except Refusal as refusal:
        raise Refusal(refusal.what, where=refusal.where.partition(".toml: ")[2], remedy=refusal.remedy) from refusal
    if certified_facts(solution):
        reason = needed(reason, "the reason for stating it anew", "reason")
    return append("solution.specified", subject=identity, by=by, act=act, reason=reason.strip(),
                  payload={"table": table, "before": certified_facts(solution)})


@repeatable
def solution_discard(*, identity: str, by: str, reason: str, act: str = "") -> Event:
    """Record that a solution is used up or thrown away.

    Raises:
        Refusal: no such solution in use, no reason, or ``by`` may not.
    """
    demand(by, *WORKERS)
    solution = solution_in_use(identity)
    return append("solution.discarded", subject=solution.identity, by=by, act=act, payload={},
                  reason=needed(reason, "the reason", "reason"))


def solution_in_use(identity: str) -> Solution:
    """Return a solution that is not discarded.

    Raises:
        Refusal: there is none of that number.
    """
    found = Solution.objects.filter(pk=identity, state=IN_USE).first()
    return Refusal.unless(found, f"there is no solution {identity} in use", where="number",
                          remedy="choose one from the list")
