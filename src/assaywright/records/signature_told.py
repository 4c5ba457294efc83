"""What a signature is of, in words: the figures that were signed, whether they are the old ones, and the password."""

import json
from collections.abc import Iterable

from assaywright.records.models import Event, Result
from assaywright.records.passwords import told_of_password


def said_by_signatures(subject: str, numbers: Iterable[int], names: dict[str, str]) -> dict[int, str]:
    """Return by the number of its event what a signature under something says besides its meaning; empty for nothing.

    Arguments:
        names: of people, by the names that they sign in with.
    """
    payloads = {event.number: json.loads(event.payload) for event in Event.objects.filter(number__in=list(numbers))}
    last = Result.objects.filter(assay=subject).order_by("id").values_list("id", flat=True).last() or 0
    found = {}
    for number in numbers:
        payload = payloads.get(number, {})
        figures = str(payload.get("result", {}).get("printed", ""))
        old = "the figures before the last result" if last > number else ""
        of = f"{figures}, {old}" if figures and old else figures or old
        parts = [f"signed of {of}" if of else "", told_of_password(payload, names)]
        found[number] = "".join(f"; {one}" for one in parts if one)
    return found
