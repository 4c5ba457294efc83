"""What belongs to something that was found: a product's lots, a person's worksheets, what an instrument was used for.

Each question is answered by an index, or among what changed last; none reads through a long table.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import chain
from typing import Any

from django.db.models import F, Value
from django.db.models.functions import Coalesce

from assaywright.records.chain import canonical
from assaywright.records.models import Assay, Calibration, Lot, Person, Signature
from assaywright.records.models.assays import IN_REVIEW, RETURNED, TITRATING
from assaywright.records.models.lots import MADE, ON_HOLD, RECALLED, REJECTED, RELEASED
from assaywright.records.selectors.searched import Hit

FEW = 5
LOOKED_THROUGH = 3_000  # worksheets that changed last
SIGNED_LAST = 2_000  # signatures
OPEN = (TITRATING, RETURNED, IN_REVIEW)
STATES = (MADE, ON_HOLD, RELEASED, REJECTED, RECALLED)


@dataclass(frozen=True)
class Belonging:
    """What belongs to something, of one kind.

    Fields:
        words: what it is.
        page, query: of the list with all of it; empty where there is none.
        none: what is said where nothing is found.
    """

    words: str
    hits: tuple[Hit, ...]
    page: str = ""
    query: dict[str, str] = field(default_factory=dict)
    none: str = "none"


def belonging(group: str, key: str) -> tuple[Belonging, ...]:
    """Return what belongs to something that was found.

    Arguments:
        group: name of the group that it was found in.
        key: its number or name, as in the address of its page.
    """
    told = _TOLD.get(group)
    return told(key) if told else ()


def latest_lots(product: str, most: int) -> list[Lot]:
    """Return the lots of a product that were made last, each state asked for by its index."""
    found = chain.from_iterable(
        Lot.objects.filter(state=state, product=product).order_by("-made")[:most] for state in STATES)
    return sorted(found, key=lambda one: (one.made, one.identity), reverse=True)[:most]


def _of_a_product(name: str) -> tuple[Belonging, ...]:
    lots = latest_lots(name, FEW)
    hits = tuple(Hit("lots.show", one.identity, one.identity, f"made {one.made or 'on a day not stated'}, {one.state}")
                 for one in lots)
    return (Belonging("Its latest lots", hits, "lots", {"product": name, "sort": "-made"}),)


def _of_a_person(identity: str) -> tuple[Belonging, ...]:
    name = Person.objects.get(pk=identity).name
    own = Assay.objects.filter(analyst=name)
    by_stage = Assay.objects.alias(by=Coalesce(F("analyst"), Value(""))).filter(by=name, stage__in=OPEN)
    worksheets = [*by_stage.order_by("-performed")[:FEW], *own.order_by("-performed", "-identity")[:FEW]]
    signed = list(Signature.objects.order_by("-id").values_list("by", "subject")[:SIGNED_LAST])
    reviewed = list(dict.fromkeys(subject for by, subject in signed if by == identity))
    known = Assay.objects.in_bulk(reviewed[:FEW * 8])
    return (Belonging("Worksheets, open ones first", _worksheets(worksheets), "assays",
                      {"analyst": name, "sort": "-performed"}),
            Belonging("Reviewed last", _worksheets([known[one] for one in reviewed if one in known]),
                      none=f"none among the last {SIGNED_LAST:,} signatures"))


def _of_an_instrument(identity: str) -> tuple[Belonging, ...]:
    sought = canonical(identity)
    last = Assay.objects.order_by("-version").values_list("pk", "body")[:LOOKED_THROUGH]
    used: list[str] = []
    for key, body in last.iterator():
        if sought in body and _uses(json.loads(body), identity):
            used.append(key)
        if len(used) == FEW:
            break
    rows = Assay.objects.in_bulk(used)
    calibrations = Calibration.objects.filter(instrument=identity).order_by("-id")[:FEW]
    return (Belonging("Used last in", _worksheets([rows[one] for one in used]),
                      none=f"none of the {LOOKED_THROUGH:,} worksheets that changed last"),
            Belonging("Its calibrations", tuple(
                Hit("equipment.show", identity, one.certificate or "without a number",
                    f"issued {one.issued or 'on a day not stated'}, valid through {one.due or 'a day not stated'}")
                for one in calibrations)))


def _uses(heading: dict[str, Any], identity: str) -> bool:
    """Return whether a heading states an instrument, in whatever part of it."""
    return any(isinstance(one, dict) and one.get("id") == identity
               for group in heading.values() if isinstance(group, dict) for one in (group, *group.values()))


def _of_a_solution(identity: str) -> tuple[Belonging, ...]:
    resting = Assay.objects.filter(in_burette=identity)
    worksheets = [*resting.filter(stage__in=OPEN).order_by("-performed")[:FEW], *resting.order_by("-performed")[:FEW]]
    return (Belonging("Worksheets that rest on it, open ones first", _worksheets(worksheets)),)


def _worksheets(rows: list[Assay]) -> tuple[Hit, ...]:
    """Return the first few worksheets, each once."""
    once = {one.identity: one for one in rows}
    return tuple(Hit("assays.show", one.identity, one.identity,
                     f"{one.kind} of {one.about}, {one.performed[:10]}, {one.stage}") for one in once.values())[:FEW]


_TOLD: dict[str, Callable[[str], tuple[Belonging, ...]]] = {
    "Products": _of_a_product, "People": _of_a_person, "Instruments": _of_an_instrument, "Solutions": _of_a_solution}
