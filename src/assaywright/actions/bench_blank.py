"""At the bench: the blank, titrated and kept field by field like the portions, put into its worksheet's heading."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from assaywright.actions.assays import assay_amend, open_assay
from assaywright.actions.bench import OF_ORIGIN, demand_answers, demand_settled, kept_texts
from assaywright.actions.equipment import WORKERS
from assaywright.actions.from_paper import with_origin
from assaywright.actions.permission import demand
from assaywright.actions.repeated import repeatable
from assaywright.assay.bench.heading import burette_of
from assaywright.assay.bench.taken import Run, runs_of
from assaywright.assay.wording import written_decimal
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import rests_on
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Event
from assaywright.records.readings import BLANK, blank_of, blank_texts

TITRATED = "the blank was titrated"
OF_WHOM = ("analyst", "at", "note")


@repeatable
def blank_finish(*, identity: str, by: str, act: str = "", looked: bool = True) -> Event:
    """Put the blank that is kept at the bench into the worksheet, once, as a determination is put on record.

    Arguments:
        looked: the page had its readings asked about just as they stand.

    Raises:
        Unanswered: a question about a reading is open, and nobody has looked.
        Refusal: a reading is missing or cannot be, another blank is on record, no such worksheet open, or ``by`` may
            not.
    """
    demand(by, *WORKERS)
    assay = open_assay(identity)
    blank = with_origin(assay, BLANK, blank_of(method_of(assay.method), kept_texts(identity, BLANK)))
    if blank_texts(assay.content):
        put = Event.objects.filter(subject=identity, kind="assay.amended").order_by("number").last()
        if put is not None and assay.content["blank"] == blank and not Event.objects.filter(act=act).exists():
            return put  # finished in another tab
        raise Refusal("the blank is on record already", where=identity, remedy="correct it with a reason")
    _check(assay, blank)
    demand_settled(assay, BLANK)
    demand_answers(assay, BLANK, OF_ORIGIN if looked else ())
    return _put(assay, blank, by, TITRATED, act)


@repeatable
def blank_correct(*, identity: str, name: str, text: str, reason: str, by: str, act: str = "") -> Event:
    """Correct one reading of the blank on record; what stood there stays in the history.

    Raises:
        Refusal: a reading is missing or cannot be, no reason, no such worksheet open, or ``by`` may not.
    """
    assay = open_assay(identity)
    before = assay.content.get("blank", {})
    blank = blank_of(method_of(assay.method), {**blank_texts(assay.content), name: text})
    blank |= {key: before[key] for key in OF_WHOM if key in before}
    _check(assay, blank)
    return _put(assay, blank, by, reason, act)


def _put(assay: Assay, blank: Mapping[str, Any], by: str, reason: str, act: str) -> Event:
    return assay_amend(identity=assay.identity, heading={**assay.content, "blank": blank}, rests_on=rests_on(assay),
                       by=by, reason=reason, act=act)


def _check(assay: Assay, blank: dict[str, Any]) -> None:
    """Refuse a blank without readings, half read, read backwards, or beyond the burette's scale."""
    if not blank["titrations"]:
        raise Refusal("the blank has no readings", where="blank", remedy="type its initial and its final reading")
    for number, one in enumerate(blank["titrations"], 1):
        end_mL = burette_of(assay.content, one).nominal_mL
        runs = runs_of(one)
        for filling, run in enumerate(runs, 1):
            where = f"blank, titration {number}" + (f", filling {filling}" if len(runs) > 1 else "")
            _check_filling(run, end_mL, where)


def _check_filling(run: Run, end_mL: Decimal | None, where: str) -> None:
    """Refuse one filling's readings: one missing, crossed, or off the scale."""
    if run.initial is None or run.final is None:
        raise Refusal("a reading is missing, or is no volume", where=where, remedy="type both readings in mL")
    if run.final < run.initial:
        raise Refusal("the final reading is before the initial one", where=where,
                      remedy="read again; exchange the two if they are crossed, or enter a refilled burette as two "
                      "fillings")
    if run.initial < 0:
        raise Refusal(f"the initial reading {written_decimal(run.initial)} mL is above the zero mark", where=where,
                      remedy="read at the same edge of the meniscus both times")
    if end_mL is not None and run.final > end_mL:
        raise Refusal(f"the final reading {written_decimal(run.final)} mL is beyond the burette's scale, which ends at "
                      f"{written_decimal(end_mL)} mL", where=where,
                      remedy="read again, or enter a refilled burette as two fillings")
