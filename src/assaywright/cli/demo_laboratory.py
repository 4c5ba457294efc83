"""The laboratory of the demonstration: its files written, evaluated, and certified where nothing holds them back.

Every file is evaluated under its path within the folder, so that the documents are the same wherever it lies.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.evaluate_lot import LotOutcome, evaluate_lot
from assaywright.assay.observations import Lot, Worksheet
from assaywright.assay.result import Outcome
from assaywright.assay.worksheet import read_bytes
from assaywright.cli.demo_folder import OPENING_FILE, DemonstrationFolder
from assaywright.cli.demo_story import Story, laboratory
from assaywright.metrology.refusal import Refusal

CERTIFICATES, WORKING = "certificates", "working"
WIDTH_OF_FILES = 110


@dataclass(frozen=True, slots=True)
class Evaluated:
    """Everything the demonstration evaluated and wrote.

    Fields:
        titrants: outcomes of the standardisations, by worksheet.
        titrant_lots: of those titrants that are certified, by worksheet.
        lots, other_rules: outcomes of the lots, and of lots under another rule, by file.
        simulated: outcome on which the law of propagation and the simulation differ.
        certificates, workings: paths written, within the folder.
        kept: files that a person had changed, and the names under which they were kept.
    """

    titrants: dict[str, Outcome]
    titrant_lots: dict[str, LotOutcome]
    lots: dict[str, LotOutcome]
    other_rules: dict[str, LotOutcome]
    simulated: Outcome
    certificates: tuple[str, ...]
    workings: tuple[str, ...]
    kept: tuple[tuple[str, str], ...]


def write_laboratory(place: DemonstrationFolder, story: Story, opening: str) -> Evaluated:
    """Write the laboratory's files, evaluate them all, and write certificates and workings.

    Arguments:
        place: the folder.
        story: which worksheets and lots there are.
        opening: text of the file that opens the folder.

    Raises:
        Refusal: the folder cannot be written to.
    """
    kept = []
    for name, data in {OPENING_FILE: opening.encode("utf-8"), **laboratory()}.items():
        aside = place.write_keeping(name, data)
        if aside:
            kept.append((name, aside))
    titrants = {one.worksheet: _outcome(place, one.worksheet) for one in story.titrants}
    titrant_lots = {
        one.worksheet: _lot_outcome(place, one.worksheet) for one in story.titrants if one.certified
    }
    lots = {one.file: _lot_outcome(place, one.file) for one in story.lots}
    others = {one.other_rule: _lot_outcome(place, one.other_rule) for one in story.lots if one.other_rule}
    simulated = _outcome(place, story.simulation.worksheet, story.simulation.trials)
    certificates = tuple(_certificates(place, [*titrant_lots.values(), *lots.values()]))
    assays = [outcome for lot in lots.values() for outcome in lot.outcomes]
    workings = tuple(_workings(place, [*titrants.values(), *assays]))
    return Evaluated(titrants, titrant_lots, lots, others, simulated, certificates, workings, tuple(kept))


def _outcome(place: DemonstrationFolder, name: str, trials: int = 0) -> Outcome:
    found = read_bytes(place.read(name), name)
    if not isinstance(found, Worksheet):
        raise TypeError(f"{name} is no worksheet")
    return evaluate_worksheet(found, place.read, monte_carlo=trials)


def _lot_outcome(place: DemonstrationFolder, name: str) -> LotOutcome:
    """Return the outcome of a lot file, or of the lot that a worksheet holds in its own table."""
    found = read_bytes(place.read(name), name)
    lot = found if isinstance(found, Lot) else found.lot
    return evaluate_lot(Refusal.unless(lot, "there is no lot", where=name), place.read)


def _certificates(place: DemonstrationFolder, lots: list[LotOutcome]) -> Iterator[str]:
    """Write the certificate of every lot that nothing holds back, and yield its path."""
    from assaywright.assay.certificate import DEMONSTRATION, certificate_document
    from assaywright.reports.render import certificate_pdf

    for outcome in lots:
        if outcome.releasable:
            name = f"{CERTIFICATES}/{outcome.lot.certificate_number}.pdf"
            place.write(name, certificate_pdf(replace(certificate_document(outcome), demonstration=DEMONSTRATION)))
            yield name


def _workings(place: DemonstrationFolder, outcomes: list[Outcome]) -> Iterator[str]:
    """Write the working of every worksheet as text and as PDF, and yield their paths."""
    from assaywright.assay.certificate import DEMONSTRATION
    from assaywright.assay.working_document import working_document
    from assaywright.cli.show_working import working_lines
    from assaywright.reports.render import working_pdf

    for outcome in outcomes:
        name = f"{WORKING}/{outcome.worksheet.identity}"
        text = "\n".join(working_lines(outcome, WIDTH_OF_FILES))
        place.write(f"{name}.txt", f"{text}\n".encode())
        place.write(f"{name}.pdf", working_pdf(working_document(outcome), DEMONSTRATION))
        yield from (f"{name}.txt", f"{name}.pdf")
