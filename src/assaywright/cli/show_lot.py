"""The evaluation of a lot as a person reads it: its characteristics, each decided, then what holds the lot back."""

from collections.abc import Iterator

from assaywright.assay.evaluate_lot import CharacteristicOutcome, LotOutcome
from assaywright.assay.wording import written_limits, written_number
from assaywright.cli.show_outcome import decision_lines, release_lines, remark_lines
from assaywright.cli.tables import Column, drawn, heading, paragraph


def lot_lines(outcome: LotOutcome, width: int) -> Iterator[str]:
    """Yield the lines that tell a lot's outcome.

    Arguments:
        outcome: of a lot.
        width: of the terminal, in characters.
    """
    lot = outcome.lot
    yield f"{lot.product}, lot {lot.identity}"
    yield from paragraph(lot.maker, width)
    yield from heading("characteristics")
    columns = [Column("characteristic", flexible=True), Column("found", right=True), Column("limits", flexible=True),
               Column("decision"), Column("from", flexible=True)]
    yield from drawn(columns, [_row(one) for one in outcome.characteristics], width)
    for one in outcome.characteristics:
        if one.decision is not None:
            yield from heading("decision", one.name)
            yield from decision_lines(one.decision, width)
    yield from remark_lines(outcome.remarks, width)
    yield ""
    yield from release_lines(outcome.remarks, width)


def _row(one: CharacteristicOutcome) -> list[str]:
    origin = f"worksheet {one.outcome.worksheet.identity}" if one.outcome else one.characteristic.source
    return [one.name, found(one), written_limits(one.characteristic.specification) or "reported only",
            one.decision.decision if one.decision else "none", origin or "no source stated"]


def found(one: CharacteristicOutcome) -> str:
    """Return what was found, in one phrase."""
    entered = one.characteristic
    if entered.less_than and entered.value is not None:
        return f"< {written_number(format(entered.value.value, 'f'))} {entered.value.unit}".removesuffix(" 1")
    if one.result is not None:
        unit = one.result.estimate.unit
        stated = f"{written_number(one.result.value_text)} ± {one.result.uncertainty_text}"
        return stated if unit == "1" else f"{stated} {unit}"
    if entered.value is not None:
        return f"{written_number(format(entered.value.value, 'f'))} {entered.value.unit}".removesuffix(" 1")
    return entered.text
