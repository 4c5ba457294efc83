"""What the demonstration prints: cautions, the titrants, the lots and what becomes of them, and what to try next."""

import os
import shlex
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from assaywright.assay.evaluate_lot import CharacteristicOutcome, LotOutcome
from assaywright.assay.result import Outcome
from assaywright.assay.wording import (
    written_factor,
    written_figures,
    written_limits,
    written_number,
    written_probability,
)
from assaywright.cli.demo_folder import MARK
from assaywright.cli.demo_laboratory import CERTIFICATES, WORKING, Evaluated
from assaywright.cli.demo_story import Story, Suggestion, ToldLot
from assaywright.cli.figures import fixed, signed
from assaywright.cli.show_lot import found
from assaywright.cli.tables import Column, drawn, heading, paragraph
from assaywright.metrology.comparison import normalised_error

PROGRAM = "assaywright"
WIDTH_OF_TEXT = 100
COMMENTED = {
    "titrants": "standardisations: what the titrants' values rest on",
    "worksheets": "assays: readings, vessels, sample, titrant",
    "lots": "what each certificate states, titrated or entered, with limits and rule",
    "products": "a product to plan with, and shelf.toml beside it: what the laboratory has",
    "production": "the lot that missed brought to strength, and the next one made",
    "what-if": "one assay and one lot once more, each with one thing changed",
}
MADE = {
    WORKING: "the calculations written out, as text and as PDF",
    CERTIFICATES: "drafts of the certificates, for what nothing holds back",
}


def opening_text(story: Story) -> str:
    """Return the text of the file that opens the folder: cautions, where things lie, what to try."""
    lines = [f"{MARK}: {story.works}, an invented works", *heading("cautions")]
    for caution in story.cautions:
        lines += paragraph(caution, WIDTH_OF_TEXT)
    rows = [[f"{name}/", what] for name, what in {**COMMENTED, **MADE}.items()]
    lines += [*heading("where things lie"), *drawn([Column("folder"), Column("holds")], rows, WIDTH_OF_TEXT)]
    lines += paragraph("Open any of the first six in a text editor: the comments say what each line is for. Change a "
                       "figure, save, and evaluate again. `assaywright demo .` puts everything back, and what you "
                       "changed is kept beside it under another name.", WIDTH_OF_TEXT)
    lines += [*heading("what to try"), *paragraph("From within this folder:", WIDTH_OF_TEXT)]
    for one in story.suggestions:
        lines += _suggestion(one, PROGRAM, "", WIDTH_OF_TEXT)
    return "\n".join(lines) + "\n"


def told_lines(story: Story, evaluated: Evaluated, typed: str, width: int) -> Iterator[str]:
    """Yield the lines that tell the demonstration.

    Arguments:
        story: what is to be told.
        evaluated: what came out.
        typed: the folder, as the person named it.
        width: of the terminal, in characters.
    """
    yield f"{story.works}, an invented works"
    yield from heading("cautions")
    for caution in story.cautions:
        yield from paragraph(caution, width)
    yield from _titrants(story, evaluated, width)
    yield from _lots(story, evaluated, width)
    yield from heading("what each lot shows")
    for one in story.lots:
        yield from _tale(one, evaluated, width)
    yield from _simulation(story, evaluated.simulated, width)
    yield from _written(evaluated, typed, width)
    yield from heading("try next")
    for suggestion in story.suggestions:
        yield from _suggestion(suggestion, program(), prefix_of(typed), width)


# --- the titrants -----------------------------------------------------------------------------------------------------


def _titrants(story: Story, evaluated: Evaluated, width: int) -> Iterator[str]:
    """Yield the table of standardisations, and how the two of one titrant compare."""
    yield from heading("titrants")
    columns = [Column("titrant", flexible=True), Column("set against", flexible=True), Column("found", right=True),
               Column("factor", right=True)]
    rows = []
    for one in story.titrants:
        outcome = evaluated.titrants[one.worksheet]
        rows.append([one.name, one.against, _stated(outcome), " ± ".join(written_factor(outcome.result))])
    yield from drawn(columns, rows, width)
    first, second = (evaluated.titrants[name].result for name in story.comparison.worksheets)
    compared = normalised_error(first.estimate, second.estimate, first_coverage_factor=first.coverage_factor,
                                second_coverage_factor=second.coverage_factor)
    verdict = "they agree, since its magnitude is at most 1" if compared.agree else "they disagree"
    yield from paragraph(f"First and second differ by {_difference(compared.difference)} {first.estimate.unit}, "
                         f"E_n = {signed(compared.normalised_error, 2)}: {verdict}. {story.comparison.told}", width)


def _stated(outcome: Outcome) -> str:
    result = outcome.result
    return f"{written_number(result.value_text)} ± {result.uncertainty_text} {result.estimate.unit}"


def _difference(number: float) -> str:
    return written_figures(abs(number), 2)


# --- the lots ---------------------------------------------------------------------------------------------------------


def _lots(story: Story, evaluated: Evaluated, width: int) -> Iterator[str]:
    """Yield the summary of titrant and lots: what was found, what was decided, what is next."""
    yield from heading("lots")
    columns = [Column("lot"), Column("product", flexible=True), Column("found", right=True),
               Column("decision"), Column("what next", flexible=True)]
    rows = [_row(evaluated.titrant_lots[one.worksheet], one.next) for one in story.titrants if one.certified]
    rows += [_row(evaluated.lots[one.file], one.next) for one in story.lots]
    yield from drawn(columns, rows, width)
    words = "draft: a certificate was drafted, for a person to check and sign. HELD: no certificate."
    yield from paragraph(words, width)


def _row(outcome: LotOutcome, what_next: str) -> list[str]:
    item = titrated(outcome)
    decision = item.decision.decision if item.decision else "not decided"
    status = "draft" if outcome.releasable else "HELD"
    return [outcome.lot.identity, outcome.lot.product, found(item), decision, f"{status}: {what_next}"]


def titrated(outcome: LotOutcome) -> CharacteristicOutcome:
    """Return the lot's first titrated characteristic."""
    return next(item for item in outcome.characteristics if item.outcome is not None)


def _tale(one: ToldLot, evaluated: Evaluated, width: int) -> Iterator[str]:
    """Yield what one lot shows, and the first steps where it is held."""
    outcome = evaluated.lots[one.file]
    item = titrated(outcome)
    sentences = [f"Found {found(item)}, limits {written_limits(item.characteristic.specification)}.", _decided(item)]
    if one.other_rule:
        other = titrated(evaluated.other_rules[one.other_rule]).decision
        sentences.append(f"By the other rule, {other.rule}: {other.decision}." if other else "")
    sentences += [*_scatter(outcome), one.told]
    first = f"  {outcome.lot.identity}  "
    yield from paragraph(" ".join(sentences), width, first=first)
    for number, step in enumerate(one.steps, start=1):
        yield from paragraph(step, width, first=f"{' ' * len(first)}{number}. ")


def _decided(item: CharacteristicOutcome) -> str:
    """Return what the rule says, with the probability that goes with it."""
    decision = item.decision
    if decision is None or decision.conformance_probability is None:
        return ""
    probability = written_probability(decision.conformance_probability)
    return f"By {decision.rule}: {decision.decision}, probability of conformity {probability}."


def _scatter(outcome: LotOutcome) -> list[str]:
    """Return what the rule of acceptance and the outlier test say, where the determinations were not accepted."""
    found_scatter = [item.statistics for item in outcome.outcomes if item.statistics.accepted is False]
    return [sentence for one in found_scatter for sentence in (one.acceptance[0], *one.outlier_tests)]


# --- the simulation, what was written, what to try --------------------------------------------------------------------


def _simulation(story: Story, outcome: Outcome, width: int) -> Iterator[str]:
    """Yield the two coverage intervals of the worksheet on which they must differ, and why they must."""
    compared, result = outcome.monte_carlo, outcome.result
    if compared is None:
        return
    yield from heading("where law of propagation and simulation must differ")
    places = len(result.value_text.partition(".")[2])
    value, expanded = result.estimate.value, result.expanded_uncertainty
    low, high = (fixed(end, places) for end in (value - expanded, value + expanded))
    simulated_low, simulated_high = (fixed(end, places) for end in compared.interval)
    unit = result.estimate.unit
    yield from paragraph(f"{outcome.worksheet.path}: 95 % coverage interval {low} to {high} {unit} by the law of "
                         f"propagation, {simulated_low} to {simulated_high} {unit} by a simulation of "
                         f"{compared.trials} trials. {story.simulation.told}", width)


def _written(evaluated: Evaluated, typed: str, width: int) -> Iterator[str]:
    """Yield what lies in the folder now."""
    yield from heading("written")
    prefix = prefix_of(typed)
    names = ", ".join(name.removeprefix(f"{CERTIFICATES}/") for name in evaluated.certificates)
    again = shown_command([program(), "demo", typed])
    rows = [[f"{prefix}{CERTIFICATES}/", f"{len(evaluated.certificates)} drafts: {names}"],
            [f"{prefix}{WORKING}/", f"{len(evaluated.workings) // 2} workings, each as text and as PDF"]]
    rows += [[f"{prefix}{name}/", what] for name, what in COMMENTED.items()]
    yield from drawn([Column("folder"), Column("holds", flexible=True)], rows, width)
    yield from paragraph(f"Open, change and break the last six, and evaluate again. To put all back: {again}", width)
    for name, aside in evaluated.kept:
        yield from paragraph(f"{prefix}{name} had another content; that copy was kept as {aside}.", width)


def _suggestion(one: Suggestion, called: str, prefix: str, width: int) -> list[str]:
    """Return a command, exactly as it is typed, and why one would; a command is never broken into lines."""
    return [f"  {command_line(one, called, prefix)}", *paragraph(one.why, width, first="      ")]


def command_line(one: Suggestion, called: str, prefix: str) -> str:
    """Return a suggested command as it is typed.

    Arguments:
        one: the suggestion.
        called: what the program is called.
        prefix: in front of each path within the folder.
    """
    words = (f"{prefix}{word}" if word.endswith(".toml") else word for word in one.command.split())
    return shown_command([called, *words])


def shown_command(words: list[str]) -> str:
    """Return a command as the system's own shell takes it."""
    return subprocess.list2cmdline(words) if os.name == "nt" else shlex.join(words)


def prefix_of(typed: str) -> str:
    """Return what stands in front of a path within the folder, seen from where the person is."""
    return "" if os.path.normpath(typed) == "." else f"{Path(typed).as_posix()}/"


def program() -> str:
    """Return how the person calls the program: by its name where the shell finds it, else by its path."""
    called = Path(sys.argv[0])
    if called.stem != PROGRAM or not called.is_file():
        return PROGRAM
    by_name = shutil.which(PROGRAM)
    if by_name and Path(by_name).resolve() == called.resolve():
        return PROGRAM
    try:
        seen = called.absolute().relative_to(Path.cwd())
    except ValueError:
        return str(called.absolute())
    return str(seen) if len(seen.parts) > 1 else f".{os.sep}{seen}"
