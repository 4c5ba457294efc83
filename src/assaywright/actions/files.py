"""Files that belong to something on record: a reference material's certificate, a spectrum, a photograph of a label."""

from assaywright.actions.equipment import WORKERS
from assaywright.actions.permission import demand
from assaywright.actions.reasons import needed
from assaywright.metrology.refusal import Refusal
from assaywright.records.files import keep
from assaywright.records.log import append
from assaywright.records.models import Event

MOST_BYTES = 50_000_000


def file_attach(*, subject: str, name: str, data: bytes, by: str, act: str = "") -> Event:
    """Attach a file; it is kept under its hash before the event that names it is written.

    Arguments:
        subject: number of what it belongs to.
        name: of the file, as people know it.

    Raises:
        Refusal: it is empty or larger than 50 MB, cannot be kept, or ``by`` may not.
    """
    demand(by, *WORKERS)
    subject, name = needed(subject, "what it belongs to", "number"), needed(name, "the file's name", "name")
    if not data:
        raise Refusal("the file is empty", where=name, remedy="choose another")
    if len(data) > MOST_BYTES:
        raise Refusal("the file is larger than 50 MB", where=name, remedy="keep it elsewhere and attach where it is")
    return append("file.attached", subject=subject, by=by, act=act,
                  payload={"name": name[:200], "sha256": keep(data), "size": len(data)})
