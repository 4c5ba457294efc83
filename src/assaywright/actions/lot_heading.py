"""What the heading of a lot says, seen before it goes on record: dates in their order, a quantity that can be."""

import re
from collections.abc import Mapping
from datetime import date
from typing import Any

from assaywright.actions.reasons import last_day, made_on
from assaywright.assay.reading.dates import read_day
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.records.models import Bottle, Sample
from assaywright.records.toml_text import DATE, day_text

HEADING = ("made", "use_before", "quantity", "maker", "storage", "customer")
ON_CERTIFICATES = ("made", "use_before", "maker", "storage", "customer")
NEEDED = ("maker", "storage")
FROM_PRODUCT = ("storage", "hazards", "cautions", "maker")

_PACKAGES = re.compile(r"(?P<count>\d{1,6})\s*[x×]\s*(?P<each>.+)", re.IGNORECASE)


def checked_heading(table: Mapping[str, Any], quantity: str) -> None:
    """Refuse a heading that cannot be.

    Arguments:
        table: made, use_before, maker, storage, as a lot file states them.
        quantity: "200 L", "25 kg", or "200 × 1 L"; may stay empty.

    Raises:
        Refusal: maker or storage is missing, the lot is made tomorrow, is to be used before it was made, or the
            quantity is no positive number with a unit of volume or mass.
    """
    if missing := [key for key in NEEDED if not str(table.get(key, "")).strip()]:
        is_are = "is" if len(missing) == 1 else "are"
        raise Refusal(f"{' and '.join(f'the {key}' for key in missing)} {is_are} missing", where=missing[0],
                      remedy="write it here, or state it once for all lots on the product's page")
    made = made_on(day_text(table.get("made")), "made") if table.get("made") else ""
    use_before = last_day(day_text(table.get("use_before")), "use before")
    if made and use_before and read_day(use_before, month_allowed=True) <= date.fromisoformat(made):
        raise Refusal(f"{use_before} is not after the lot was made, {made}", where="use before",
                      remedy="check the two dates")
    if quantity.strip():
        checked_quantity(quantity)


def checked_quantity(text: str) -> None:
    """Refuse a quantity of a lot that is no positive number with a unit of volume or mass, or packages of such.

    Raises:
        Refusal: the text is no such quantity.
    """
    packages = _PACKAGES.fullmatch(text.strip())
    try:
        found = read_quantity(packages["each"] if packages else text)
    except Refusal as refusal:
        raise Refusal(refusal.what, where="quantity", remedy="write it like 200 L, 25 kg or 200 × 1 L") from None
    if kind_of(found.unit) not in ("volume", "mass"):
        raise Refusal(f"‘{text.strip()}’ is neither a volume nor a mass", where="quantity",
                      remedy="write it like 200 L, 25 kg or 200 × 1 L")
    if not found.value > 0 or found.uncertainty is not None or (packages and int(packages["count"]) == 0):
        raise Refusal(f"‘{text.strip()}’ is no amount that could have been made", where="quantity",
                      remedy="write it like 200 L, 25 kg or 200 × 1 L")


def changed(before: Mapping[str, Any], fields: Mapping[str, str]) -> dict[str, Any]:
    """Return those fields of a heading that say something else than before, as a lot file states them.

    Arguments:
        before: the lot's heading on record.
        fields: as typed, by the names of HEADING; one that is left out stays as it is.
    """
    found: dict[str, Any] = {}
    for key in HEADING:
        text = fields.get(key)
        if text is not None and text.strip() != day_text(before.get(key)):
            found[key] = {DATE: text.strip()} if key == "made" and text.strip() else text.strip()
    return found


def after_made(made: str, day: str, what: str, where: str) -> None:
    """Refuse what is said to have been done with a lot before it was made.

    Arguments:
        made, day: year-month-day; the first may be empty.
        what: what was done, as a participle: "sampled".

    Raises:
        Refusal: the day is before that on which the lot was made.
    """
    if made and day < made:
        raise Refusal(f"the lot was made on {made}, and {what} on {day}", where=where, remedy="check the two dates")


def nothing_before(identity: str, made: str) -> None:
    """Refuse a day of making that comes after a sample was taken or a bottle opened.

    Raises:
        Refusal: a sample or a bottle on record is older.
    """
    for sample in Sample.objects.filter(lot=identity):
        after_made(made, sample.taken, "sampled", "made")
    for bottle in Bottle.objects.filter(lot=identity):
        after_made(made, bottle.opened, f"its bottle {bottle.identity} opened", "made")
