"""The verb ``rebuild``: every table that is made from the events, made anew from them."""

import argparse

from assaywright.cli.opening import terminal_width, wrapped
from assaywright.cli.records_open import counted, open_records, progress
from assaywright.metrology.refusal import Refusal

MOST_SHOWN = 50


def run(parsed: argparse.Namespace) -> int:
    """Say which rows are not what the events say, and make the tables anew; the events must be in order."""
    place = open_records(parsed.folder)
    from assaywright.records.check import check_chain, check_records
    from assaywright.records.rebuild import rebuild

    if faults := check_chain(progress=progress("events checked")).faults:
        raise Refusal(f"the events are not in order: {faults[0]}", where=str(place),
                      remedy="nothing can be made from them; restore a backup")
    found = check_records(guards=False, progress=progress("events compared with the tables")).faults
    number = rebuild()
    lines = [f"Put right: {one}." for one in found[:MOST_SHOWN]]
    if len(found) > MOST_SHOWN:
        lines.append(f"... and {len(found) - MOST_SHOWN} more.")
    rows = f"{counted(len(found), 'row')} differed" if found else "none differed"
    lines.append(f"The tables are made anew from {counted(number, 'event')}; {rows}.")
    for line in lines:
        for part in wrapped(line, terminal_width()):
            print(part)
    return 0
