"""What readings of determinations on record were before they were corrected, and why, as the bench page tells it."""

import json
from collections.abc import Mapping
from typing import Any

from assaywright.assay.asked import Asked
from assaywright.records.models import Event
from assaywright.records.readings import reading_texts

NOTHING = "nothing"


def corrections(identity: str, wanted: Asked) -> dict[int, dict[str, str]]:
    """Return by number of the determination and name of the reading what it was: "39.95, then 12.95 (misread)".

    Arguments:
        identity: number of the worksheet.
        wanted: what its method asks for.
    """
    found: dict[int, dict[str, str]] = {}
    for event in Event.objects.filter(subject=identity, kind="determination.corrected").order_by("number"):
        said = json.loads(event.payload)
        before, after = (plain_texts(said.get(key, {}), wanted) for key in ("before", "fields"))
        told = found.setdefault(said["place"], {})
        for name in {**before, **after}:
            was, now = before.get(name, "") or NOTHING, after.get(name, "") or NOTHING
            if was != now:
                told[name] = f"{told.get(name, was)}, then {now} ({event.reason})"
    return found


def plain_texts(content: Mapping[str, Any], wanted: Asked) -> dict[str, str]:
    """Return the readings of a determination by the names of the page, without the units that its fields have."""
    units = {one.name: one.unit for one in wanted.readings}
    return {name: text.removesuffix(f" {units.get(name.split(' ')[0], '')}")
            for name, text in reading_texts(content).items()}
