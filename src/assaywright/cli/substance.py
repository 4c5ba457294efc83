"""The verb ``substance``: molar mass, constants, hazards by strength and dangerous pairs, each with its source."""

import argparse
import sys
from dataclasses import dataclass

from assaywright.chemistry.cautions import Cautions, cautions
from assaywright.chemistry.content_state import check_room
from assaywright.chemistry.formula import molar_mass, parse_formula
from assaywright.chemistry.solute import check_dissolves, check_sparing, find_solute
from assaywright.chemistry.substance_constants import SubstanceConstants, substance_constants
from assaywright.cli.typed_option import of_option
from assaywright.metrology.estimate import Estimate
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import kind_of
from assaywright.reference.editions import current
from assaywright.reference.substances import Substance, substance

WATER, ROOM_DEGC = "water", 20.0
GRAMS_PER_L_PER_PERCENT = 10.0  # at least: a litre of a solution of a salt weighs a kilogram or more


@dataclass(frozen=True, slots=True)
class Answer:
    """All that was asked and found about a substance.

    Fields:
        substance: as the table holds it; none for a formula that the table does not hold.
        formula: of it.
        molar_mass: with its uncertainty [g/mol].
        edition: of the atomic weights.
        constants: none where the substance is not held.
        cautions: none where the substance is not held.
    """

    substance: Substance | None
    formula: str
    molar_mass: Estimate
    edition: str
    constants: SubstanceConstants | None
    cautions: Cautions | None


def run(parsed: argparse.Namespace) -> int:
    """Look a substance up, and print what is held."""
    from assaywright.cli.opening import terminal_width
    from assaywright.cli.show_json import json_text
    from assaywright.cli.show_substance import substance_lines, substance_record

    found = answered(parsed)
    if parsed.json:
        plain = (sys.stdout.encoding or "").replace("-", "").casefold() != "utf8"
        print(json_text(substance_record(found), plain=plain))
    else:
        for line in substance_lines(found, terminal_width()):
            print(line)
    return 0


def answered(parsed: argparse.Namespace) -> Answer:
    """Return what the arguments ask for.

    Raises:
        Refusal: neither a substance held nor a formula that can be read; or a content that cannot be.
    """
    name = " ".join(parsed.substance)
    held = _held(name)
    if held is None:
        mass = molar_mass(name)
        if parsed.content:
            raise Refusal(f"'{name}' is not held, so nothing is known of its hazards", where="--content",
                          remedy="read its safety data sheet")
        return Answer(None, name.strip(), mass, current().name, None, None)
    return Answer(held, held.formula, molar_mass(held.formula), current().name, substance_constants(held),
                  _cautions(held, parsed))


def _held(name: str) -> Substance | None:
    """Return the substance held under a name; none for a formula that is not held; else the first refusal."""
    try:
        return substance(name)
    except Refusal as refusal:
        if "more than one" in refusal.what:
            raise
        try:
            parse_formula(name)
        except Refusal as unreadable:
            raise (refusal if _is_a_word(name) else unreadable) from None
        return None


def _is_a_word(text: str) -> bool:
    """Return whether a text looks like a name: a small letter first, or a blank between letters."""
    plain = text.strip()
    return plain[:1].islower() or any(part.isalpha() and part.islower() for part in plain.split())


def _cautions(held: Substance, parsed: argparse.Namespace) -> Cautions:
    density = None
    if parsed.density:
        density = _read("--density", parsed.density, "g/mL")
        if not parsed.content:
            raise Refusal("a density is that of a solution", where="--density", remedy="give --content too")
    if not parsed.content:
        return cautions(held.name, strictest=parsed.strictest)
    try:
        typed = read_quantity(parsed.content, "% w/w", "mol/L")
    except Refusal as refusal:
        raise of_option(refusal, "--content") from None
    if kind_of(typed.unit) == kind_of("% w/w"):
        if density is not None:
            raise Refusal("a mass fraction needs no density", where="--density", remedy="leave it out")
        percent = float(typed.to("% w/w"))
        if parsed.solvent == WATER and 0 <= percent <= 100:
            try:
                check_dissolves(find_solute(held.name), percent, ROOM_DEGC)
                if percent < 100:
                    check_sparing(find_solute(held.name), GRAMS_PER_L_PER_PERCENT * percent)
            except Refusal as refusal:
                raise of_option(refusal, "--content") from None
        return cautions(held.name, mass_percent=percent, solvent=parsed.solvent, strictest=parsed.strictest)
    concentration = float(typed.to("mol/L"))
    if parsed.solvent == WATER and density is None:
        try:
            check_room(find_solute(held.name), concentration * molar_mass(held.formula).value, ROOM_DEGC)
        except Refusal as refusal:
            raise of_option(refusal, "--content") from None
    return cautions(held.name, concentration_mol_per_L=concentration, density_g_per_mL=density,
                    solvent=parsed.solvent, strictest=parsed.strictest)


def _read(option: str, text: str, unit: str) -> float:
    try:
        return float(read_quantity(text, unit).to(unit))
    except Refusal as refusal:
        raise of_option(refusal, option) from None
