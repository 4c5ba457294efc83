"""The part of the pages of lots and assays on which a remark that holds back is accepted, and shown as accepted."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from django.http import HttpRequest

from assaywright.actions import irregularities as acts
from assaywright.assay.accepted import NEVER_ACCEPTED, AcceptedIrregularity, standing
from assaywright.metrology.remarks import Remark
from assaywright.records.accepted import accepted_of
from assaywright.web.forms import act_of, sign


@dataclass(frozen=True)
class Irregularities:
    """What is accepted of the remarks of something, and what still waits for somebody to judge it.

    Fields:
        accepted: with who and why.
        waiting: remarks that hold back and can be accepted.
        remarks: all but the accepted ones.
    """

    accepted: tuple[AcceptedIrregularity, ...]
    waiting: tuple[Remark, ...]
    remarks: tuple[Remark, ...]
    meaning: str = acts.MEANING


NOTHING_IRREGULAR = Irregularities((), (), ())


def irregularities(remarks: Iterable[Remark], subjects: Iterable[str]) -> Irregularities:
    """Return what is accepted and what waits.

    Arguments:
        remarks: of the lot or worksheet as they are now.
        subjects: numbers for which something may have been accepted that concerns it.
    """
    remarks = tuple(remarks)
    accepted = standing(remarks, accepted_of(*subjects))
    left = tuple(one for one in remarks if not any(done.is_of(one) for done in accepted))
    waiting = tuple(one for one in left if one.holds and one.kind not in NEVER_ACCEPTED)
    return Irregularities(accepted, waiting, left)


def accepting(request: HttpRequest, subject: str, fields: Mapping[str, str]) -> Callable[[], object]:
    """Return the act of the form that accepts a remark; it asks for the password."""

    def accept() -> None:
        named = {"kind": fields.get("remark_kind", ""), "where": fields.get("remark_where", ""),
                 "what": fields.get("remark_what", "")}
        acts.may_accept(subject=subject, by=request.user.get_username(), **named)
        sign(request, subject=subject, meaning=acts.MEANING)
        acts.remark_accept(subject=subject, by=request.user.get_username(), reason=fields.get("accept_reason", ""),
                           act=act_of(request, "accept", subject, *named.values()), **named)

    return accept
