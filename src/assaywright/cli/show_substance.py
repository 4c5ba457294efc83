"""What is held about a substance, as text and as JSON: hazards before constants, every figure with its source."""

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from typing import Any

from assaywright.assay.wording import written_figures, written_number
from assaywright.chemistry.cautions import Cautions, solution_of_gas
from assaywright.chemistry.substance_constants import SubstanceConstants
from assaywright.cli.substance import Answer
from assaywright.cli.tables import Column, drawn, heading, paragraph
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.rounding import report
from assaywright.reference.substances import Substance, substance, substances

NONE_HELD = "The table holds no such substance: its molar mass is all that is known here."


def substance_lines(found: Answer, width: int) -> Iterator[str]:
    """Yield the lines that tell a substance.

    Arguments:
        found: what was asked and found.
        width: of the terminal.
    """
    yield from _head(found, width)
    if found.cautions is not None:
        yield from _cautions(found.cautions, width)
    if found.constants is not None:
        yield from _constants(found.constants, width)


def _head(found: Answer, width: int) -> Iterator[str]:
    held = found.substance
    title = f"{held.name}, {found.formula}, registry number {held.cas_number}, {held.state}" if held else found.formula
    yield from paragraph(title, width, first="")
    if held and held.aliases:
        yield from paragraph(f"also {', '.join(held.aliases)}", width)
    yield from paragraph(f"molar mass {_written(found.molar_mass)}, standard uncertainty, {found.edition}", width)
    if meant := _meant(held):
        yield from paragraph(meant, width)
    if held and held.density:
        yield from paragraph(f"density {_as_held(held.density.density_g_per_mL)} g/mL "
                             f"({held.density.source}; {held.density.status})", width)
    if held is None:
        yield from paragraph(NONE_HELD, width)


def _meant(held: Substance | None) -> str:
    """Return which of two substances of one formula is meant, the gas or its solution; empty where there is one."""
    if held is None:
        return ""
    if held.state == "gas" and (solution := solution_of_gas(held)) is not held:
        return (f"What is said of it as supplied is said of the gas. Its solutions in water are classified as "
                f"'{solution.name}', registry number {solution.cas_number}, whichever of the two is named.")
    gas = next((one for one in map(substance, substances())
                if one.state == "gas" and solution_of_gas(one).name == held.name), None)
    return "" if gas is None else f"This is the solution of {gas.name} in water; the gas is '{gas.name}'."


def _cautions(found: Cautions, width: int) -> Iterator[str]:
    yield from heading(f"cautions, {'as supplied' if found.mass_percent is None else 'in solution'}")
    if found.mass_percent is not None:
        share = written_figures(found.mass_percent, 3)
        dissolved = found.substance.removesuffix(" solution")
        yield from paragraph(f"{share} % w/w {dissolved} in {found.solvent}: {found.basis}", width)
    label = " ".join(part for part in (found.signal_word, " ".join(found.pictograms)) if part)
    yield from paragraph(label or "no signal word, no pictogram", width)
    for statement in found.statements:
        yield from paragraph(f"{statement.code}: {statement.wording}", width)
    if not found.statements:
        yield from paragraph("no hazard statement by the limits held", width)
    for one in found.classes:
        yield from paragraph(f"{one.name}: {one.reason} ({one.source}; {one.status})", width, first="    ")
    yield from paragraph(f"Wear and do: {'; '.join(found.protection)}.", width)
    for pair in found.incompatibilities:
        product = f" ({pair.product})" if pair.product else ""
        yield from paragraph(f"{pair.severity}: {pair.one} with {pair.other} {pair.effect}{product}", width)
    for stage, statements in found.precautions:
        if statements:
            told = "; ".join(f"{one.code} {one.wording}" for one in statements)
            yield from paragraph(f"{stage}, to choose from: {told}", width)
    for line in found.judged_by_test:
        yield from paragraph(f"decided by tests, not by limits: {line}", width)
    for line in found.remarks:
        yield from paragraph(f"note: {line}", width)
    yield from paragraph(found.deferral, width)


def _constants(found: SubstanceConstants, width: int) -> Iterator[str]:
    yield from heading("constants in use")
    if found.dissolution is not None:
        yield from paragraph(f"in water: {found.dissolution.reaction}", width)
    rows = [*_acid_rows(found), *_complex_rows(found), *_solubility_rows(found), *_potential_rows(found)]
    if not rows:
        yield from paragraph("none is held", width)
        return
    sources = tuple(dict.fromkeys(source for *_, source in rows))
    columns = [Column("equilibrium", flexible=True), Column("constant"), Column("value", right=True),
               Column("holds for", flexible=True), Column("source", right=True)]
    yield from drawn(columns, [[*row, f"[{sources.index(source) + 1}]"] for *row, source in rows], width)
    for number, source in enumerate(sources, start=1):
        yield from paragraph(source, width, first=f"  [{number}] ")
    others = _others(found)
    if others:
        yield from paragraph(f"{others} more from other sources are held and not in use; --json prints them.", width)


def _acid_rows(found: SubstanceConstants) -> list[list[str]]:
    return [[one.equilibrium, "pKa", _as_held(one.pKa), _where(one), _source(one)]
            for one in found.acids if one.chosen]


def _complex_rows(found: SubstanceConstants) -> list[list[str]]:
    return [[one.equilibrium, "log β", _as_held(one.log_beta), _where(one), _source(one)]
            for one in found.complexes if one.chosen]


def _solubility_rows(found: SubstanceConstants) -> list[list[str]]:
    return [[one.equilibrium, "pKsp", _as_held(one.pKsp), _where(one), _source(one)]
            for one in found.solubility if one.chosen]


def _potential_rows(found: SubstanceConstants) -> list[list[str]]:
    return [[one.half_reaction, "E° / V" if one.kind == "standard" else "E°′ / V", _as_held(one.potential_V),
             one.medium or "standard", _source(one)]
            for one in found.potentials if one.chosen]


def _source(one: Any) -> str:
    """Return author, title and year without the place within, which JSON gives."""
    return f"{one.source.rsplit(', ', 1)[0] if one.source.count(', ') > 1 else one.source}; {one.status}"


def _as_held(figure: float) -> str:
    return written_number(f"{figure:g}")


def _where(one: Any) -> str:
    strength = one.ionic_strength_mol_per_L
    medium = "ionic strength not stated" if strength is None else f"I = {strength:g} mol/L"
    return f"{one.temperature_degC:g} °C, {medium}"


def _others(found: SubstanceConstants) -> int:
    held: tuple[Any, ...] = (*found.acids, *found.complexes, *found.solubility, *found.potentials)
    return sum(not one.chosen for one in held)


def _written(estimate: Estimate) -> str:
    value, uncertainty = report(estimate.value, estimate.standard_uncertainty)
    return f"({written_number(value)} ± {written_number(uncertainty)}) {estimate.unit}"


# --- JSON -------------------------------------------------------------------------------------------------------------


def substance_record(found: Answer) -> dict[str, Any]:
    """Return what is held about a substance as plain data, constants not in use among it."""
    held = found.substance
    return {
        "substance": held.name if held else None,
        "formula": found.formula,
        "cas_number": held.cas_number if held else None,
        "state": held.state if held else None,
        "molar_mass_g_per_mol": found.molar_mass.value,
        "molar_mass_standard_uncertainty_g_per_mol": found.molar_mass.standard_uncertainty,
        "atomic_weights": found.edition,
        "density_g_per_mL": held.density.density_g_per_mL if held and held.density else None,
        "cautions": _cautions_record(found.cautions) if found.cautions else None,
        "constants": _constants_record(found.constants) if found.constants else None,
    }


def _cautions_record(found: Cautions) -> dict[str, Any]:
    record: dict[str, Any] = _plain(asdict(found))
    return record | {"precautions": {stage: _records(statements) for stage, statements in found.precautions}}


def _constants_record(found: SubstanceConstants) -> dict[str, Any]:
    return {
        "in_water": found.dissolution.reaction if found.dissolution else None,
        "acid_dissociation": _records(found.acids),
        "complex_formation": _records(found.complexes),
        "solubility": _records(found.solubility),
        "potentials": _records(found.potentials),
    }


def _records(held: Sequence[Any]) -> list[Any]:
    return [_plain(asdict(one)) for one in held]


def _plain(content: Any) -> Any:
    """Return data in which tuples are lists."""
    if isinstance(content, dict):
        return {key: _plain(value) for key, value in content.items()}
    if isinstance(content, (list, tuple)):
        return [_plain(value) for value in content]
    return content
