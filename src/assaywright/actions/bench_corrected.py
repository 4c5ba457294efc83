"""At the bench: a reading on record is corrected; what there is to ask of the new one is answered with the reason."""

import uuid
from collections.abc import Collection
from typing import Any

from django.db import transaction

from assaywright.actions.assays import determination_correct, open_assay
from assaywright.actions.bench import question_confirm
from assaywright.records.days import today
from assaywright.records.models import Event
from assaywright.records.origins import day_of_work
from assaywright.records.readings import asked_of
from assaywright.records.selectors.bench_corrections import plain_texts
from assaywright.records.selectors.bench_live import open_questions


def reading_correct(
    *, identity: str, place: int, name: str, text: str, fields: dict[str, Any], answers: Collection[str], by: str,
    reason: str, act: str = "",
) -> Event:
    """Correct one reading of a determination on record.

    Arguments:
        name, text: of the reading as it is now, by its name on the page.
        fields: of the determination with it.
        answers: codes of the questions that were shown with the reason, and that correcting it answers: it is so.
        act: number of the act, of which those of the answers are made.

    Raises:
        Refusal: as for :func:`determination_correct`.
    """
    act = act or str(uuid.uuid4())
    assay = open_assay(identity)
    texts = {**plain_texts(fields, asked_of(assay)), name: text}
    day = day_of_work(assay, place, today())
    found = [one for one in open_questions(assay, texts, place, day) if one.name == name and not one.impossible]
    confirmed = [one for one in found if one.code in answers]
    with transaction.atomic():
        event = determination_correct(
            identity=identity, place=place, fields=fields, by=by, reason=reason, act=act,
            confirmed=[f"{one.name}: {one.sentence}" for one in confirmed],
            unanswered=[f"{one.name}: {one.sentence}" for one in found if one.code not in answers])
        for one in confirmed:
            question_confirm(identity=identity, place=place, name=one.name, text=one.text, code=one.code,
                             question=one.sentence, by=by, act=str(uuid.uuid5(uuid.NAMESPACE_OID, act + one.code)))
    return event
