"""Work that went on record days after the day on which it says that it was done."""

from datetime import date, timedelta

from assaywright.assay.wording import written_date
from assaywright.metrology.remarks import Remark, Severity
from assaywright.records import days
from assaywright.records.models import Assay, Event

AT_ONCE = timedelta(days=3)  # a weekend between bench and desk is nothing to ask about
RECORDED = ("assay.begun", "assay.imported", "determination.recorded")
LATE = "recorded-late"


def recorded_late(assay: Assay) -> tuple[date, date] | None:
    """Return the day of the work and that of its recording, where more than three days lie between; else None.

    The recording is that of the last determination, or of the worksheet that was imported with all of them.
    """
    event = Event.objects.filter(subject=assay.identity, kind__in=RECORDED).order_by("number").last()
    try:
        done = date.fromisoformat(assay.performed[:10])
    except ValueError:
        return None
    if event is None:
        return None
    recorded = days.local(event.recorded_at).date()
    return (done, recorded) if recorded - done > AT_ONCE else None


def late_remark(assay: Assay) -> tuple[Remark, ...]:
    """Return the remark on a worksheet that went on record late, naming both days; none for one that did not."""
    found = recorded_late(assay)
    if found is None:
        return ()
    done, recorded = found
    return (Remark(LATE, Severity.QUESTION,
                   f"the work was done on {written_date(done)} and went on record on {written_date(recorded)}",
                   assay.path, "compare it with the notes of the day on which it was done"),)
