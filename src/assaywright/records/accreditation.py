"""What the laboratory's accreditation covers: which result may be presented as accredited, and which may not."""

from collections.abc import Iterable
from typing import Any

from assaywright.records import days
from assaywright.records.models import Accreditation, Assay

LINE = ("method", "product", "characteristic")


def statement_on(day: str) -> Accreditation | None:
    """Return what was last stated of the accreditation for a day [year-month-day]; None where nothing was."""
    return Accreditation.objects.filter(since__lte=day).order_by("id").last()


def covers(statement: Accreditation | None, *, method: str, product: str, characteristic: str) -> bool:
    """Return whether a statement covers a result: one of its lines names all that it names as it is.

    A titrated result is covered by a line that names its method; one that was entered only by a line without a method.

    Arguments:
        method: name of the method's file; empty for a characteristic that was entered.
        product: of the lot, or name of the standard solution.
    """
    lines: Iterable[dict[str, Any]] = statement.content["covers"] if statement else ()
    return any(one["method"] == _plain(method) and one["product"] in ("", product)
               and one["characteristic"] in ("", characteristic) for one in lines)


def covered(assay: Assay | None, *, product: str, characteristic: str) -> bool:
    """Return whether a result may be presented as accredited: on the day of its assay, and still today.

    Arguments:
        assay: that it was found by; None for a characteristic that was entered.
    """
    wanted = {days.today().isoformat(), *((assay.performed[: len("2026-11-30")],) if assay else ())}
    method = assay.method if assay else ""
    return all(covers(statement_on(day), method=method, product=product, characteristic=characteristic)
               for day in wanted)


def _plain(method: str) -> str:
    return method.removesuffix(".toml")
