"""Results computed anew from the raw data on record; a difference is shown, never applied."""

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass

from assaywright import __version__
from assaywright.assay.result import Outcome
from assaywright.metrology.refusal import Refusal
from assaywright.records.bridge import evaluate_assay, rests_on, worksheet_digests
from assaywright.records.models import Assay, Event, Result

ALL = "all"
RELATIVE = 1e-12
CHANGES = ("assay.amended", "determination.recorded", "determination.corrected", "determination.excluded",
           "determination.readmitted")


@dataclass(frozen=True, slots=True)
class Recomputed:
    """A result beside what comes out now.

    Fields:
        assay: number of the worksheet.
        software: version that computed the result on record; empty where there is none.
        differences: in sentences; none where the result is the same.
        remark: why there was nothing to compare; empty where there was.
    """

    assay: str
    software: str = ""
    differences: tuple[str, ...] = ()
    remark: str = ""


def recompute(which: Iterable[str], progress: Callable[[int], None] = lambda _: None) -> list[Recomputed]:
    """Compute results anew: those of the worksheets named, or of all that have one, with ``all``.

    Raises:
        Refusal: there is no worksheet of that number.
    """
    names = list(dict.fromkeys(which))
    if ALL in names:
        sent = set(Result.objects.values_list("assay", flat=True))
        names = [one for one in Assay.objects.order_by("pk").values_list("pk", flat=True) if one in sent]
    assays = [Refusal.unless(Assay.objects.filter(pk=name).first(), f"there is no worksheet {name} in the records",
                             where="--recompute", remedy="write a number of the records, or all") for name in names]
    found = []
    for number, assay in enumerate(assays, 1):
        found.append(_recomputed(assay))
        progress(number)
    return found


def _recomputed(assay: Assay) -> Recomputed:
    result = Result.objects.filter(assay=assay.identity).order_by("id").last()
    if result is None:
        return Recomputed(assay.identity, remark=f"{assay.identity} has no result on record yet")
    if Event.objects.filter(subject=assay.identity, number__gt=result.pk, kind__in=CHANGES).exists():
        return Recomputed(assay.identity, result.software,
                          remark=f"{assay.identity} was changed since its result, and has not been sent again")
    other, found = [], list[str]()
    if result.worksheet_sha256 not in worksheet_digests(assay):
        other.append(f"{assay.identity}: the worksheet is not the one that the result was computed from")
    try:
        found += _different(assay.identity, result, evaluate_assay(assay))
    except Refusal as refusal:
        found.append(f"{assay.identity}: it cannot be computed any more: {refusal}")
    if found and not other and (because := _changed_below(assay, result.pk)):
        return Recomputed(assay.identity, result.software, remark=f"{found[0]}, since it {because}")
    return Recomputed(assay.identity, result.software, (*other, *found))


def _changed_below(assay: Assay, since: int) -> str:
    """Return in words which worksheet below one was lawfully changed since an event; empty where none was."""
    waiting, seen = rests_on(assay), set[str]()
    while waiting:
        one = waiting.pop(0)
        if one in seen:
            continue
        seen.add(one)
        later = Event.objects.filter(subject=one, number__gt=since).order_by("number")
        if later.filter(kind__in=(*CHANGES, "assay.sent", "assay.unsettled")).exists():
            signed = later.filter(kind="assay.reviewed").last()
            last = signed or later.last()
            how = "reviewed anew" if signed else "changed and not reviewed anew yet"
            return f"rests on {one}, {how} as event {last.number if last else since}"
        waiting += [below for upstream in Assay.objects.filter(pk=one) for below in rests_on(upstream)]
    return ""


def _different(identity: str, result: Result, outcome: Outcome) -> list[str]:
    estimate, found = outcome.result.estimate, []
    versions = f"by version {result.software}, now by {__version__}"
    if estimate.unit != result.unit:
        return [f"{identity}: the unit was {result.unit}, and is {estimate.unit} ({versions})"]
    for name, was, now in (
        ("value", result.value, estimate.value),
        ("standard uncertainty", result.standard_uncertainty, estimate.standard_uncertainty),
        ("expanded uncertainty", result.expanded_uncertainty, outcome.result.expanded_uncertainty),
    ):
        if not math.isclose(float(was), now, rel_tol=RELATIVE, abs_tol=0):
            found.append(f"{identity}: the {name} was {was} {result.unit}, and is {now!r} {result.unit} ({versions})")
    if outcome.releasable != result.releasable:
        was, now_ = ("releasable", "held back") if result.releasable else ("held back", "releasable")
        found.append(f"{identity}: the result was {was}, and is {now_} ({versions})")
    return found
