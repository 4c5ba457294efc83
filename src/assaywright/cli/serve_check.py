"""What a start does before it serves: it holds every table against the events; of very many events, while it serves."""

import os
import threading
from collections.abc import Callable
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path

from assaywright.metrology.refusal import Refusal

AT_ONCE = 300_000  # events; goes through about 50,000 a second of a processor of 2026
FOR_A_SIGNATURE = 20  # events that take as long as holding one worksheet against its signature, 0.4 ms
STILL = ("the records are still being compared with their events since the start, and nothing is released or certified "
         "before that is done")
BEHIND = "the comparison of the records with their events found that {found}"
UNFINISHED = "it ended before all of them were compared; stop the server and run check-records"
COURTESY = 10  # by which the comparison yields the processor to the pages, in the steps of POSIX "nice"


def faults_found_aside(folder: Path) -> list[str]:
    """Compare in a process of its own, which leaves the processor to the pages; ends with this one."""
    context = get_context("spawn")
    receiving, sending = context.Pipe(duplex=False)
    process = context.Process(target=_compare_aside, args=(folder, sending), daemon=True)
    process.start()
    sending.close()
    try:
        return list(receiving.recv())
    except EOFError:
        return [UNFINISHED]
    finally:
        process.join()


def compare(folder: Path, at_once: int = AT_ONCE,
            aside: Callable[[Path], list[str]] = faults_found_aside) -> Callable[[], None]:
    """Compare the tables with the events, and return what is left to be done while pages are served.

    Up to ``at_once`` events, each reviewed worksheet counted as the time that it takes, that is nothing. Of more, the
    comparison is left, and until it has found everything in order, releases and certificates are refused.

    Raises:
        Refusal: a table is not what the events say, or the events are not in order.
    """
    from assaywright.records.models import Assay, Head
    from assaywright.records.models.assays import REVIEWED
    from assaywright.records.untouched import COMPARING

    head, mark = Head.objects.filter(pk=Head.ONLY).first(), folder / COMPARING
    events, signed = (head.number if head is not None else 0), Assay.objects.filter(stage=REVIEWED).count()
    if events + FOR_A_SIGNATURE * signed > at_once:
        print(f"{events:,} events and {signed:,} signed worksheet{'' if signed == 1 else 's'}: compared with the "
              "tables while pages are served; until that is done, nothing is released or certified.", flush=True)
        mark.write_text(STILL, encoding="utf-8")
        return lambda: threading.Thread(target=_compare_behind, args=(folder, mark, aside), daemon=True).start()
    mark.unlink(missing_ok=True)
    if faults := _faults():
        raise Refusal(_summed_up(faults), where=str(folder), remedy=_remedy(folder))
    return lambda: None


def _faults() -> list[str]:
    from assaywright.cli.records_open import progress
    from assaywright.records.check import check_records

    return check_records(progress=progress("events compared with the tables")).faults


def _compare_aside(folder: Path, sending: Connection) -> None:
    """Send what is found to the process that serves; the body of a process of its own."""
    from assaywright.web.start import set_up

    with suppress(AttributeError, OSError):  # not on every system
        os.nice(COURTESY)
    set_up(folder)
    sending.send(_faults())


def _compare_behind(folder: Path, mark: Path, aside: Callable[[Path], list[str]]) -> None:
    """Compare, and let releases go on, or say on the error stream and to whoever wants to release what is wrong."""
    from assaywright.cli.plain_text import say

    faults = aside(folder)
    if not faults:
        mark.unlink(missing_ok=True)
        say("The records are what their events say; lots can be released and certified.")
        return
    mark.write_text(BEHIND.format(found=_summed_up(faults)), encoding="utf-8")
    say(f"{folder}: {_summed_up(faults)}; {_remedy(folder)}.")


def _summed_up(faults: list[str]) -> str:
    more = f"; and {len(faults) - 1} more" if len(faults) > 1 else ""
    return f"the records are not in order: {faults[0]}{more}"


def _remedy(folder: Path) -> str:
    return (f"see all with assaywright check-records {folder}, then restore a backup, or, where the tables alone are "
            f"wrong, make them anew with assaywright rebuild {folder}")
