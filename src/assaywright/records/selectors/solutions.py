"""Standard solutions: the value in force, what is left, until when they may be used, and what they rest on."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db import connection
from django.db.models import Count, Exists, Max, OuterRef, Sum

from assaywright.assay.result import ChainLink, Outcome
from assaywright.assay.wording import written_factor, written_number
from assaywright.metrology.comparison import normalised_error
from assaywright.metrology.quantity import Quantity
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.records.accepted import accepted_of
from assaywright.records.behind import RESTANDARDISE, RESTANDARDISE_FIRST, to_be_restandardised
from assaywright.records.bridge import evaluate_assay, rests_on
from assaywright.records.models import (
    AcceptedRemark,
    Assay,
    Certificate,
    Determination,
    Event,
    MethodEdition,
    Person,
    Product,
    Solution,
)
from assaywright.records.models.assays import REVIEWED, VOID
from assaywright.records.models.equipment import IN_USE
from assaywright.records.selectors.certificates import CertificateShown, certificate_shown
from assaywright.records.selectors.drift import Standing, standings_of
from assaywright.records.selectors.several import Several, several_values
from assaywright.records.titrants import certified_by, certified_facts

MILLILITRES = {"mL": 1.0, "L": 1000.0}
PLAIN_ML = re.compile(r"([0-9]+\.[0-9]+) mL", re.ASCII)  # as nearly every reading of a burette is written
MOST_KEPT = 500


@dataclass(frozen=True)
class ValueInForce:
    """A solution's concentration by one standardisation, as printed.

    Fields:
        held: what holds the standardisation back; empty where nothing does.
        let_pass: who let that pass, when and why; empty where nobody did, or where not every remark was let pass.
    """

    worksheet: str
    stage: str
    performed: str
    value: str
    uncertainty: str
    unit: str
    factor: str
    factor_uncertainty: str
    held: str = ""
    let_pass: str = ""

    @property
    def counts(self) -> bool:
        """Whether a worksheet that is begun now would go by it."""
        return not self.held or bool(self.let_pass)


@dataclass(frozen=True)
class Left:
    """How much of a solution is left: prepared, delivered from burettes, and the difference [mL], as text."""

    prepared: str
    delivered: str
    left: str
    titrations: int


_KEPT: "dict[str, tuple[tuple[Any, ...], ValueInForce | None]]" = {}
_DELIVERED: "dict[str, tuple[tuple[Any, ...], tuple[float, int]]]" = {}
NOT_IN_USE = Left("", "", "", 0)


@dataclass(frozen=True)
class SolutionLine:
    """A solution as a list shows it."""

    solution: Solution
    in_force: ValueInForce | None
    left: Left
    expired: bool
    verdict: str
    standing: Standing | None = None


@dataclass(frozen=True)
class SolutionShown:
    """What a solution's page says.

    Fields:
        certifying: number of the reviewed standardisation that a certificate can rest on, or empty.
        stated: what the records state for its certificate; see :mod:`assaywright.records.titrants`.
        left_out: of each standardisation that is held back and does not count, in a sentence, how it compares.
        several: where more than one counts, their mean as well, and which worksheet takes what.
    """

    solution: Solution
    content: dict[str, Any]
    in_force: ValueInForce | None
    values: tuple[ValueInForce, ...]
    troubles: tuple[str, ...]
    left: Left
    chain: ChainLink | None
    verifications: tuple[dict[str, Any], ...]
    used_in: tuple[Assay, ...]
    expired: bool
    certificates: tuple[CertificateShown, ...]
    certifying: str
    stated: dict[str, Any]
    left_out: tuple[str, ...] = ()
    several: Several | None = None


def solution_lines(today: date, rows: Iterable[Solution]) -> list[SolutionLine]:
    """Return solutions as a list shows them, in their order; with factor in force, rest and drift of those in use.

    Arguments:
        today: the laboratory's day, by which a solution is past its date.
    """
    listed = list(rows)
    standings = standings_of([one for one in listed if one.state == IN_USE], today)
    return [SolutionLine(one, _now_in_force(one), left_of(one) if one.state == IN_USE else NOT_IN_USE,
                         is_past(one.use_before, today), advice_of(one), standings.get(one.identity))
            for one in listed]


def advice_of(solution: Solution) -> str:
    """Return that a solution in use is to be restandardised first, while that is so; else nothing."""
    doubtful = solution.state == IN_USE and solution.content.get("verified", {}).get("verdict") == RESTANDARDISE
    return RESTANDARDISE_FIRST if doubtful and to_be_restandardised(solution.identity) else ""


def solution_shown(solution: Solution, today: date) -> SolutionShown:
    """Return what a solution's page says."""
    from assaywright.records.selectors.history import at_the_laboratory

    evaluated, troubles = _outcomes(solution)
    values = tuple(_value(assay, outcome) for assay, outcome in evaluated)
    now = _in_force(values)
    chain = next((outcome.chain for assay, outcome in evaluated if now and assay.identity == now.worksheet), None)
    names = dict(Person.objects.values_list("identity", "name"))
    verifications = tuple(
        {**_payload(event), "at": at_the_laboratory(event.recorded_at), "by": names.get(event.by, event.by)}
        for event in Event.objects.filter(subject=solution.identity, kind="solution.verified").order_by("number"))
    return SolutionShown(solution, solution.content, now, values, troubles, left_of(solution), chain, verifications,
                         tuple(_used_in(solution)), is_past(solution.use_before, today),
                         tuple(map(certificate_shown, certificates_of(solution.identity))),
                         by.identity if (by := certified_by(solution)) else "", certified_facts(solution),
                         _left_out(evaluated, values, now), _several(solution, evaluated, values))


def certificates_of(identity: str) -> list[Certificate]:
    """Return the certificates of a solution, by their numbers."""
    return list(Certificate.objects.filter(lot=identity).exclude(worksheet="").order_by("number"))


def usual_maker() -> str:
    """Return the maker that the products state, where it is the same for all of them; else an empty text."""
    makers = {str(one.content.get("maker", "")) for one in Product.objects.all()} - {""}
    return makers.pop() if len(makers) == 1 else ""


def is_past(use_before: str, today: date) -> bool:
    """Return whether a date has passed; one of a month lasts through the month's last day, an unknown one for ever."""
    day = today.isoformat()
    return bool(use_before) and day[: len(use_before)] > use_before


def left_of(solution: Solution) -> Left:
    """Return how much is left: what was prepared, less what titrations took from burettes.

    Rinsings and portions taken with a pipette are not counted; the figure is an upper bound.
    """
    volume = str(solution.content.get("volume", ""))
    delivered, number = _delivered(solution.identity)
    prepared = _millilitres(volume)
    left = "" if prepared is None else f"{max(prepared - delivered, 0.0):.0f}"
    return Left(volume, f"{delivered:.0f}", left, number)


def _delivered(solution: str) -> tuple[float, int]:
    """Return what titrations took of a solution [mL], and how many; added up once for each state of their rows."""
    burette = Assay.objects.filter(in_burette=solution).values("identity")
    titrations = Determination.objects.filter(assay__in=burette)
    rows = titrations.aggregate(Count("pk"), Max("version"), Sum("version"))
    state = str(connection.settings_dict["NAME"]), *rows.values()
    if (kept := _DELIVERED.get(solution)) is None or kept[0] != state:
        taken = [volume for row in titrations if (volume := _delivered_mL(row.content)) > 0]
        if len(_DELIVERED) >= MOST_KEPT:
            _DELIVERED.clear()
        kept = _DELIVERED[solution] = state, (sum(taken), len(taken))
    return kept[1]


def _used_in(solution: Solution) -> list[Assay]:
    """Return the worksheets in which the solution stood in the burette, its own standardisations among them."""
    return list(Assay.objects.filter(in_burette=solution.identity).order_by("performed", "identity"))


def _delivered_mL(fields: dict[str, Any]) -> float:
    """Return what a determination took from the burette [mL]; 0 where its readings do not tell."""
    fillings = fields.get("fillings") or [[fields.get("initial", ""), fields.get("final", "")]]
    total = 0.0
    for initial, final in fillings:
        first, last = _millilitres(str(initial)), _millilitres(str(final))
        total += last - first if first is not None and last is not None and last > first else 0.0
    return total


def _millilitres(text: str) -> float | None:
    if plain := PLAIN_ML.fullmatch(text):
        return float(plain[1])
    try:
        quantity: Quantity = read_quantity(text, *MILLILITRES)
    except Refusal:
        return None
    return quantity.to("mL")


def _outcomes(solution: Solution) -> tuple[list[tuple[Assay, Outcome]], tuple[str, ...]]:
    found, troubles = [], []
    every = Assay.objects.filter(kind="standardisation", about=solution.identity)
    for assay in every.order_by("performed", "identity"):
        if not Determination.objects.filter(assay=assay.identity).exists():
            continue
        try:
            found.append((assay, evaluate_assay(assay)))
        except Refusal as refusal:
            troubles.append(str(refusal))
    return found, tuple(troubles)


def _now_in_force(solution: Solution) -> ValueInForce | None:
    """Return the value in force of a solution in use; only the standardisation that gives it is evaluated."""
    if solution.state != IN_USE:
        return None
    titrated = Exists(Determination.objects.filter(assay=OuterRef("pk")))
    every = Assay.objects.filter(titrated, kind="standardisation", about=solution.identity)
    ordered = every.exclude(stage=VOID).order_by("performed", "identity")
    reviewed = ordered.filter(stage=REVIEWED)
    last = None
    for assay in reversed(reviewed or ordered):
        value = kept_value(assay)
        if value is not None and value.counts:
            return value
        last = last or value
    return last


def kept_value(assay: Assay) -> ValueInForce | None:
    """Return the value by a standardisation; evaluated once for each state of all that it is computed from."""
    state = _state_of(assay)
    if (kept := _KEPT.get(assay.identity)) is not None and kept[0] == state:
        return kept[1]
    try:
        value = _value(assay, evaluate_assay(assay))
    except Refusal:
        value = None
    if len(_KEPT) >= MOST_KEPT:
        _KEPT.clear()
    _KEPT[assay.identity] = state, value
    return value


def _state_of(assay: Assay) -> tuple[Any, ...]:
    """Return the rows that an assay is computed from, as they are: its own, those that it rests on, and the methods."""
    found, waiting = {assay.identity: assay}, rests_on(assay)
    while waiting:
        layer = list(Assay.objects.filter(pk__in=waiting))
        found |= {one.identity: one for one in layer}
        waiting = [number for one in layer for number in rests_on(one) if number not in found]
    readings = Determination.objects.filter(assay__in=list(found)).order_by("assay", "place")
    rows = [(one.identity, one.version, one.stage, one.body) for one in found.values()]
    methods = MethodEdition.objects.order_by("id").values_list("id", flat=True).last()
    let_pass = AcceptedRemark.objects.filter(subject=assay.identity).order_by("id").values_list("id", flat=True)
    return (str(connection.settings_dict["NAME"]), methods, *sorted(rows), *let_pass,
            *readings.values_list("assay", "place", "version", "excluded", "body"))


def _value(assay: Assay, outcome: Outcome) -> ValueInForce:
    result = outcome.result
    factor, uncertainty = written_factor(result)
    return ValueInForce(assay.identity, assay.stage, assay.performed, written_number(result.value_text),
                        written_number(result.uncertainty_text), result.estimate.unit, factor, uncertainty,
                        "; ".join(one.what for one in outcome.remarks if one.holds), _let_pass(assay, outcome))


def _let_pass(assay: Assay, outcome: Outcome) -> str:
    """Return who let pass what holds a standardisation back; empty unless every remark of it was let pass."""
    held = [one for one in outcome.remarks if one.holds]
    known = accepted_of(assay.identity) if held else ()
    found = [next((one for one in known if one.is_of(remark)), None) for remark in held]
    if not all(found):
        return ""
    return "; ".join(f"let pass by {one.by} on {one.day}, because: {one.reason}" for one in found if one)


def _in_force(values: tuple[ValueInForce, ...]) -> ValueInForce | None:
    """Return the value that a worksheet begun now would go by.

    It is the last reviewed one that counts; while none is reviewed, the last one found that counts; where all are held
    back, the last of them.
    """
    found = _standing(values)
    counting = [one for one in found if one.counts] or found
    return counting[-1] if counting else None


def _standing(values: tuple[ValueInForce, ...]) -> list[ValueInForce]:
    """Return the reviewed values; while none is reviewed, all that are not void."""
    standing = [one for one in values if one.stage != VOID]
    return [one for one in standing if one.stage == REVIEWED] or standing


def _several(solution: Solution, evaluated: list[tuple[Assay, Outcome]],
             values: tuple[ValueInForce, ...]) -> Several | None:
    """Return what those that count tell together; None where only one does."""
    counting = {one.worksheet for one in _standing(values) if one.counts}
    return several_values(solution, [(assay.identity, outcome.result) for assay, outcome in evaluated
                                     if assay.identity in counting])


def _left_out(
    evaluated: list[tuple[Assay, Outcome]], values: tuple[ValueInForce, ...], now: ValueInForce | None
) -> tuple[str, ...]:
    """Return a sentence for each standardisation that is held back while another one counts, with their E_n."""
    if now is None or not now.counts:
        return ()
    estimates = {assay.identity: outcome.result.estimate for assay, outcome in evaluated}
    found = []
    for one in values:
        if one.counts or one.stage == VOID:
            continue
        told = f"{one.worksheet} does not count: {one.held}. {now.worksheet} counts"
        if one.unit == now.unit:
            compared = normalised_error(estimates[one.worksheet], estimates[now.worksheet])
            told += f"; between the two E_n = {written_number(format(compared.normalised_error, '.2f'))}"
        found.append(f"{told}. Where somebody in charge lets it pass, worksheets begun from then on go by it.")
    return tuple(found)


def _payload(event: Event) -> dict[str, Any]:
    import json

    found: dict[str, Any] = json.loads(event.payload)
    return found
