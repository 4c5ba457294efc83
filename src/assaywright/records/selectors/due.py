"""The work due: what lies open with whom, what waits for whom, and what falls due within a month."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Exists, OuterRef

from assaywright.assay.reading.dates import read_day
from assaywright.records.models import (
    Assay,
    Bottle,
    Certificate,
    Determination,
    EnteredCharacteristic,
    Event,
    Instrument,
    Investigation,
    Lot,
    Material,
    Person,
    Product,
    Solution,
)
from assaywright.records.models.assays import IN_REVIEW, RETURNED, REVIEWED, TITRATING
from assaywright.records.models.equipment import IN_USE
from assaywright.records.models.lots import MADE, ON_HOLD, RELEASED
from assaywright.records.projections.lots import CONCLUDED
from assaywright.records.selectors.drift import drifts_of
from assaywright.records.selectors.stages import RELEASE, LotLine
from assaywright.records.selectors.standing import lot_lines_of

SHOWN = 20  # of each part of the page
LOOKED_AT = 100  # lots gone through for a part
MADE_FIRST = 2000  # undecided lots among which those that wait for nothing else than their release are looked for
RELEASED_LAST = 2000  # released lots among which those without a certificate are looked for
SOON = timedelta(days=30)
WORK = ("assay.begun", "assay.amended", "determination.recorded", "determination.corrected", "determination.excluded",
        "determination.readmitted", "assay.sent", "reading.kept")
SENT_BACK = ("assay.returned", "assay.reopened")
OTHERS_WORK = ("the review of", "the check of")


@dataclass(frozen=True)
class OpenWorksheet:
    """A worksheet that lies open; ``reason`` is why it was sent back or reopened, ``by`` whom."""

    assay: Assay
    reason: str
    by: str


@dataclass(frozen=True)
class Unchecked:
    """Entries of a lot that a second person has not compared with their source yet."""

    lot: str
    names: tuple[str, ...]


@dataclass(frozen=True)
class FallsDue:
    """Something that must be renewed.

    Fields:
        kind: "titrant", "bottle", "reference material" or "calibration".
        identity, words: its number, and what it is.
        last: last day on which it may be used.
        days: from today to that day; below nought when it is past.
        lot: of a bottle.
    """

    kind: str
    identity: str
    words: str
    last: date
    days: int
    lot: str = ""

    @property
    def said(self) -> str:
        """How long there is still, in words."""
        number = abs(self.days)
        length = f"{number} day{'' if number == 1 else 's'}"
        return "last day today" if not self.days else f"{length} left" if self.days > 0 else f"{length} past"


def worksheets_of(person: Person) -> list[OpenWorksheet]:
    """Return the worksheets of a person that lie open, those sent back first."""
    found = sorted(Assay.objects.filter(stage__in=(TITRATING, RETURNED), analyst__iexact=person.name),
                   key=lambda one: (one.stage != RETURNED, one.performed, one.identity))
    names = dict(Person.objects.values_list("identity", "name"))
    returned = [one.identity for one in found if one.stage == RETURNED]
    events = Event.objects.filter(subject__in=returned, kind__in=SENT_BACK).order_by("number")
    why = {one.subject: (one.reason, names.get(one.by, one.by)) for one in events}
    return [OpenWorksheet(one, *why.get(one.identity, ("", ""))) for one in found]


def lots_to_assay() -> tuple[list[LotLine], int]:
    """Return undecided lots that wait for somebody at the bench, the oldest first; and how many are undecided."""
    undecided = Lot.objects.filter(state=MADE)
    lines = lot_lines_of(list(undecided.order_by("made", "identity")[:LOOKED_AT]))
    waiting = [one for one in lines if one.waits_for != RELEASE and not one.waits_for.startswith(OTHERS_WORK)]
    return waiting[:SHOWN], undecided.count()


def reviews_for(person: Person) -> tuple[list[Assay], int]:
    """Return the worksheets in review that a person has not worked on, and how many are in review at all."""
    waiting = list(Assay.objects.filter(stage=IN_REVIEW).order_by("performed", "identity")[:LOOKED_AT])
    numbers = [one.identity for one in waiting]
    own = set(Event.objects.filter(subject__in=numbers, kind__in=WORK, by=person.identity).values_list(
        "subject", flat=True))
    name = person.name.casefold()
    own |= {one.identity for one in waiting
            if name in (one.analyst.casefold(), str(one.content.get("blank", {}).get("analyst", "")).casefold())}
    own |= {one.assay for one in Determination.objects.filter(assay__in=numbers)
            if str(one.content.get("analyst", "")).casefold() == name}
    return ([one for one in waiting if one.identity not in own][:SHOWN],
            Assay.objects.filter(stage=IN_REVIEW).count())


def lots_to_release() -> list[LotLine]:
    """Return the lots that wait for release or rejection and nothing else, the oldest first."""
    untitrated = [one.name for one in Product.objects.all()
                  if not any(each.get("method") for each in one.content.get("characteristics", ()))]
    made = dict(Lot.objects.filter(state=MADE).order_by("made", "identity").values_list("pk", "product")[:MADE_FIRST])
    stages = Assay.objects.filter(about__in=list(made)).values_list("about", "stage")
    reviewed = {about for about, stage in stages if stage == REVIEWED}
    possible = [key for key, product in made.items() if key in reviewed or product in untitrated][:LOOKED_AT]
    lots = Lot.objects.in_bulk(possible)
    lines = lot_lines_of([lots[key] for key in possible])
    return [one for one in lines if one.waits_for == RELEASE][:SHOWN]


def lots_to_certify() -> list[Lot]:
    """Return lots without a certificate among those released or changed last, the latest first."""
    last = Lot.objects.filter(state=RELEASED).order_by("-version").values_list("pk", flat=True)[:RELEASED_LAST]
    issued = Exists(Certificate.objects.filter(lot=OuterRef("pk"), worksheet=""))
    return list(Lot.objects.filter(~issued, pk__in=last.values("pk")).order_by("-version")[:SHOWN])


def investigations_open() -> list[Investigation]:
    """Return the investigations that are not concluded, the oldest first."""
    return list(Investigation.objects.exclude(stage=CONCLUDED).order_by("id")[:SHOWN])


def entries_to_check(person: Person) -> list[Unchecked]:
    """Return what others have entered of lots that are not decided, and nobody has checked."""
    undecided = Lot.objects.filter(state__in=(MADE, ON_HOLD)).values("pk")
    found: dict[str, dict[str, bool]] = {}
    for one in EnteredCharacteristic.objects.filter(lot__in=undecided).exclude(by=person.identity).order_by("id"):
        found.setdefault(one.lot, {})[one.name] = bool(one.content.get("checked_by"))
    unchecked = [Unchecked(lot, tuple(name for name, checked in names.items() if not checked))
                 for lot, names in sorted(found.items())]
    return [one for one in unchecked if one.names][:SHOWN]


def falls_due(today: date) -> list[FallsDue]:
    """Return what is past its date or will be within thirty days, the most urgent first.

    Arguments:
        today: the laboratory's day.
    """
    until = (today + SOON).isoformat()
    found = [_due("titrant", one.identity, one.name, one.use_before, today) for one in
             Solution.objects.filter(state=IN_USE, use_before__lte=until).exclude(use_before="")]
    found = _with_drift(found, today)
    found += [_due("reference material", one.identity, one.name, one.use_before, today) for one in
              Material.objects.filter(state=IN_USE, use_before__lte=until).exclude(use_before="")]
    found += [_due("calibration", one.identity, one.kind, one.due, today) for one in
              Instrument.objects.filter(state=IN_USE, due__lte=until).exclude(due="")]
    found += _bottles(today)
    return sorted((one for one in found if one.days <= SOON.days), key=lambda one: (one.days, one.kind, one.identity))


def _with_drift(dated: list[FallsDue], today: date) -> list[FallsDue]:
    """Return titrants by the earlier of their date and of the day until which they hold by their drift."""
    in_use = {one.identity: one for one in Solution.objects.filter(state=IN_USE)}
    found = {one.identity: one for one in dated}
    for number, drift in drifts_of(list(in_use.values())).items():
        if not drift.meets or drift.until is None:
            continue
        before = found.get(number)
        if before is None or drift.until < before.last:
            found[number] = FallsDue("titrant", number, f"{in_use[number].name}, by its drift", drift.until,
                                     (drift.until - today).days)
    return list(found.values())


def _bottles(today: date) -> list[FallsDue]:
    """Return opened bottles of lots whose date is, or was, within thirty days; long past ones are not told again."""
    since, until = ((today + by).isoformat() for by in (-SOON, SOON))
    opened = Exists(Bottle.objects.filter(lot=OuterRef("pk")))
    lots = {one.identity: one for one in Lot.objects.filter(
        opened, use_before__gte=since[:len("2026-11")], use_before__lte=until).order_by("use_before", "pk")[:SHOWN]}
    found = [_due("bottle", one.identity, f"opened {one.opened}, {lots[one.lot].product}", lots[one.lot].use_before,
                  today, one.lot) for one in Bottle.objects.filter(lot__in=list(lots))]
    return [one for one in found if abs(one.days) <= SOON.days]


def _due(kind: str, identity: str, words: str, text: str, today: date, lot: str = "") -> FallsDue:
    last = read_day(text, month_allowed=True)
    return FallsDue(kind, identity, words, last, (last - today).days, lot)


def is_empty() -> str:
    """Return what an empty laboratory lacks first: "product", "lot", or nothing."""
    if not Product.objects.exists():
        return "product"
    return "" if Lot.objects.exists() else "lot"
