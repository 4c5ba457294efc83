"""The sheet that goes to the bench or the tank: cautions first, what to do, how it was worked out, who decides."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from assaywright import __version__
from assaywright.assay.labelled import Labelled
from assaywright.assay.prepare.form import Preparation
from assaywright.assay.prepare.head import SheetHead
from assaywright.assay.prepare.result import Prepared, Safety, Share, expanded, printed
from assaywright.assay.wording import written_date, written_figures, written_number
from assaywright.chemistry.heat import Warming
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.monte_carlo import Simulation
from assaywright.metrology.rounding import decimal_of_result, plain, round_to_places
from assaywright.metrology.working import Given, Line, Working

FORMAT = "assaywright production sheet 1"
DECIDES = ("I have checked this sheet against the lot, the instruments and the safety data sheets, and I decide that "
           "the work is done as written. The program has only computed.")
SHARES_SHOWN = 8
HARDLY_K = 0.05  # a change of less is none to a tenth of a kelvin


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of a sheet: headings and rows of texts; columns counted in ``right`` stand at the right edge.

    ``by_hand`` says that its empty cells are there to be filled in, on paper alone.
    """

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()
    by_hand: bool = False


@dataclass(frozen=True, slots=True)
class NewAssay:
    """The assay that decides after an adjustment; empty where there is none.

    Fields:
        cautions: before it begins.
        told: how it is done and what it is expected to give, or why it is not planned.
        steps: what is taken for it, in order.
    """

    cautions: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ProductionSheet:
    """Everything a sheet says.

    Fields:
        kind: "Preparation", "Adjustment to strength" or "Blend".
        day: year-month-day; empty where none was given.
        first: cautions that come before anything else: order of addition, heat.
        hazards, protection, deferral: of what is used and made.
        answers: what is to be done and what comes of it, in a few lines.
        steps: to be ticked off and initialled.
        after: sampling.
        new_assay: of the samples.
        given, lines: the working.
        declaration: what the signature means.
    """

    format: str
    kind: str
    number: str
    title: str
    day: str
    first: tuple[str, ...]
    hazards: tuple[str, ...]
    protection: str
    deferral: str
    identification: tuple[Labelled, ...]
    answers: tuple[Labelled, ...]
    tables: tuple[SheetTable, ...]
    steps: tuple[str, ...]
    after: tuple[str, ...]
    new_assay: NewAssay
    notes: tuple[str, ...]
    given: tuple[Given, ...]
    lines: tuple[Line, ...]
    responsible: str
    responsible_function: str
    declaration: str
    sha256: str
    software: str


def preparation_sheet(prepared: Prepared, day: str = "") -> ProductionSheet:
    """Return the sheet of a preparation.

    Arguments:
        prepared: as worked out.
        day: year-month-day, where the preparation states none.
    """
    made = prepared.preparation
    wanted = f"{made.amount.text} of {prepared.solute.name} {made.content.text}"
    off = written_number(plain(round_to_places(decimal_of_result(100 * prepared.off_target), 3)))
    answers = [*(("Check first", one) for one in prepared.to_check),
               ("Content", f"{stated(prepared.result)}, as weighed and measured{_left_out(made)}"),
               ("Against the wanted", f"{off} %, from rounding to whole steps")]
    if prepared.simulation is not None:
        answers.append(("By simulation", _simulated(prepared.simulation, prepared.result.unit)))
    if prepared.warming is not None:
        answers.append((warming_label(prepared.warming), written_warming(prepared.warming)))
    rows = tuple((f"{one.name}: {one.formula}" if one.formula else one.name, one.text, one.lot, one.instrument, "")
                 for one in prepared.portions)
    return sheet_of(
        "Preparation", made.head, wanted, day, prepared.safety, prepared.working,
        identification=(("To be made", wanted), ("Vessel", f"{made.vessel.kind} {made.vessel.identity}".strip()),
                        *day_and_note(made.head)),
        answers=answers,
        tables=(SheetTable("To measure out", ("What", "How much", "Lot", "Instrument", "Taken"), rows, (1,)),
                budget_table(prepared.budget, prepared.result.unit)),
        steps=prepared.steps, after=(), notes=(*prepared.notes, f"Heat: {prepared.heat_note}."))


def _left_out(made: Preparation) -> str:
    """Return which contents the uncertainty leaves out, because none of them was stated; empty where all were."""
    exact = [one.name for one in made.sources
             if one.form != "diluent" and (one.content is None or one.content.uncertainty is None)]
    if not exact:
        return ""
    return (f"; the uncertainty is that of weighing and measuring alone, for the content of {' and of '.join(exact)} "
            "was stated without one: what it leaves open comes on top")


def _simulated(found: Simulation, unit: str) -> str:
    low, high = (written_figures(one, 5) for one in found.interval)
    return f"{low} to {high} {unit} (95 %; {found.trials} trials, seed {found.seed})"


def warming_label(heat: Warming) -> str:
    """Return what stands before :func:`written_warming`."""
    return "Cools by" if heat.rise_K <= -HARDLY_K else "Warms by"


def written_warming(heat: Warming) -> str:
    """Return rise and final temperature in words, for a rise and for a fall."""
    if abs(heat.rise_K) < HARDLY_K:
        return "less than 0.1 K"
    if heat.rise_K < 0:
        return f"{-heat.rise_K:.1f} K, to {heat.at_most_degC} °C at least, if nothing warms it"
    return f"{heat.rise_K:.1f} K, to {heat.at_most_degC} °C at most, at the hottest moment, if nothing cools it"


def day_and_note(head: SheetHead) -> tuple[tuple[str, str], ...]:
    """Return what the head of every sheet says besides, with labels."""
    return ("Day", written_date(head.day)), ("Note", head.note)


def sheet_of(
    kind: str, head: SheetHead, title: str, day: str, safety: Safety, working: Working, *,
    identification: Iterable[tuple[str, str]], answers: Iterable[tuple[str, str]], tables: tuple[SheetTable, ...],
    steps: tuple[str, ...], after: tuple[str, ...], notes: tuple[str, ...],
    new_assay: NewAssay | None = None,
) -> ProductionSheet:
    """Return a sheet from its parts; labels without a text are left out, and tables without rows.

    Arguments:
        title, day: where the head states none.
        new_assay: None where there is none.
    """
    return ProductionSheet(
        FORMAT, kind, head.identity or "not numbered", head.title or title, head.on(day), safety.first,
        safety.statements, "; ".join(safety.protection), safety.deferral, labels(identification), labels(answers),
        tuple(one for one in tables if one.rows), steps, after, new_assay or NewAssay(), notes,
        tuple(_as_printed(one) for one in working.given), working.lines, head.responsible, head.responsible_function,
        DECIDES, head.digest, f"Assaywright {__version__}")


def labels(rows: Iterable[tuple[str, str]]) -> tuple[Labelled, ...]:
    """Return labelled texts, without those that are empty."""
    return tuple(Labelled(label, text) for label, text in rows if text)


def stated(estimate: Estimate) -> str:
    """Return value ± expanded uncertainty with its coverage."""
    value, uncertainty = printed(estimate)
    unit = estimate.unit
    if not uncertainty:
        return f"{written_number(value)} {unit} (taken as exact: no uncertainty was stated)"
    _, factor = expanded(estimate)
    return f"({written_number(value)} ± {uncertainty}) {unit} (k = {written_figures(factor, 3)}, about 95 %)"


def budget_table(budget: tuple[Share, ...], unit: str) -> SheetTable:
    """Return the greatest influences on a content as a table."""
    rows = tuple((one.label, written_figures(abs(one.contribution), 2), _per_cent(one.share))
                 for one in budget[:SHARES_SHOWN])
    return SheetTable("What makes it uncertain", ("Influence", f"Contribution, {unit}", "Share of variance"), rows,
                      (1, 2))


def _per_cent(share: float) -> str:
    if share < 0.001:
        return "< 0.1 %"
    return f"{plain(round_to_places(decimal_of_result(100 * share), 1))} %"


def _as_printed(item: Given) -> Given:
    """Return an input with its uncertainty in plain figures."""
    try:
        return replace(item, uncertainty=written_figures(float(item.uncertainty), 2))
    except ValueError:
        return item
