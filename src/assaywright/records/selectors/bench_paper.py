"""A worksheet as a sheet of paper: what the bench page says and asks for, to be printed and filled in by hand."""

from collections.abc import Mapping
from datetime import date

from assaywright.assay.bench.paper import (
    BLANKS,
    DEFERRAL,
    FORMAT,
    REFILLED,
    PaperSheet,
    Told,
    ToTick,
    bars_of,
    planned_words,
    tables_of,
)
from assaywright.assay.bench.state import bench_state
from assaywright.assay.bench.until import with_last_days
from assaywright.records.bridge import open_by_path
from assaywright.records.methods import method_of
from assaywright.records.models import Assay, Determination
from assaywright.records.readings import asked_of, blank_names
from assaywright.records.selectors.bench import SAMPLE, Place, bench_shown
from assaywright.records.selectors.bench_known import found_before, with_limits
from assaywright.records.selectors.bench_live import nominal_content
from assaywright.records.selectors.stated import stated

IN_FULL = ("titrant", "reagent in excess", "standard solution that it is set against", "reference material",
           "dilution", "blank")
INSTRUMENTS = ("burette", "pipette", "aliquot pipette", "excess pipette", "flask", "balance")
INDICATOR_BLANK = "indicator blank"
FIRST_FACTS = 3  # of an instrument: its number, its size, its scale; the rest stands on its own page


def paper_sheet(assay: Assay, day: date, scanned: str) -> PaperSheet:
    """Return the sheet of a worksheet; what is on record or kept already stands in its place.

    Arguments:
        assay: the worksheet.
        day: of printing.
        scanned: address that opens the worksheet's page.
    """
    from assaywright import __version__

    method, wanted, shown = method_of(assay.method), asked_of(assay), bench_shown(assay)
    before = [{**row.content, **({"excluded": row.excluded} if row.excluded else {})}
              for row in Determination.objects.filter(assay=assay.identity).order_by("place")]
    earlier = found_before(assay)
    state = bench_state(method, with_limits(assay.content, assay), before, {}, day, opener=open_by_path,
                        nominal=nominal_content(assay) or earlier.text, unreviewed=earlier.unreviewed)
    texts = [_texts(one) for one in shown.places]
    texts += [{}] * (shown.planned - len(texts))
    return PaperSheet(
        FORMAT, assay.identity, bars_of(assay.identity), scanned,
        str(assay.content.get("title", "")) or method.title, _about(assay, assay.content), day.isoformat(),
        shown.cautions, DEFERRAL, tuple(ToTick(one.words, one.attention) for one in shown.checks),
        (*planned_words(method, wanted, state, shown.aimed), *_stated(assay.content)), shown.procedure,
        tables_of(wanted, texts, [(SAMPLE.name, SAMPLE.words, SAMPLE.unit)], _blank(shown.blank, method.blank.kind)),
        f"Assaywright {__version__}")


def _texts(place: Place) -> dict[str, str]:
    return {one.name: one.text for one in place.fields if one.text}


def _blank(place: Place | None, kind: str) -> list[tuple[str, str, tuple[str, ...]]]:
    """Return the readings of the blank: its first titration's, with those of further ones beside them.

    Behind the final reading stand those of a burette filled again; a blank of the indicator takes a few drops.
    """
    texts, found = _texts(place) if place is not None else {}, []
    for one in place.fields if place is not None else ():
        if " " in one.name:
            continue
        found.append((one.words, one.unit, tuple(texts.get(name, "") for name in (one.name, *(
            f"{one.name} {number}" for number in range(2, BLANKS + 1))))))
        refilled = [[texts.get(name, "") for name in blank_names(number, 2)] for number in range(1, BLANKS + 1)]
        if one.name == "final" and (kind != INDICATOR_BLANK or any(map(any, refilled))):
            found += [(words, one.unit, tuple(pairs))
                      for words, pairs in zip(REFILLED, zip(*refilled, strict=True), strict=True)]
    return found


def _about(assay: Assay, heading: Mapping[str, object]) -> str:
    sample = heading.get("sample")
    product = f", {sample.get('product', '')}" if isinstance(sample, Mapping) and sample.get("product") else ""
    return f"{assay.kind} of {'lot' if assay.kind == 'assay' else 'solution'} {assay.about}{product}"


def _stated(heading: Mapping[str, object]) -> list[Told]:
    """Return solutions and instruments as the worksheet states them."""
    return [Told(f"{one.words[0].upper()}{one.words[1:]}",
                 with_last_days(one.value if one.words in IN_FULL else "; ".join(one.value.split("; ")[:FIRST_FACTS])))
            for one in stated(heading) if one.words in (*IN_FULL, *INSTRUMENTS)]
