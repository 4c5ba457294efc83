"""Fractions of EDTA and of free metal that textbooks print, and acids as other tables have them."""

import math
from collections.abc import Iterator

import pytest

from assaywright.reference.constants import (
    acid_constants,
    acids,
    all_acid_constants,
    complexes,
    edta_formation,
)
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

SETS_OF_EDTA = {"four": "Schwarzenbach at 0.1 mol/L", "six": "Harris at 0.1 mol/L"}
CADMIUM = "Harvey at 0.1 mol/L"
NAMES = {"carbonic acid (H2CO3*)": "carbonic acid", "hydrogen sulfide (first)": "hydrogen sulfide"}
STEPS = {"hydrogensulfate": ("sulfuric acid", 2)}
# Two other tables differ from the constants in use by more than their figures; the note of each row says why.
DISAGREEMENTS = {("oxalic acid", 1): 1.25, ("oxalic acid", 2): 3.82}


def alpha_of_edta(pH: float, data_set: str) -> float:
    """The fraction of uncomplexed EDTA without a proton: 1 / (1 + sum of 10^(pK_n + ... + pK_i - (n - i + 1) pH))."""
    total, exponent = 1.0, 0.0
    for one in reversed(acid_constants("EDTA", data_set)):
        exponent += one.pKa - pH
        total += 10**exponent
    return 1 / total


def alpha_of_metal(metal: str, ammonia_mol_per_L: float) -> float:
    """The fraction of uncomplexed metal that carries no ammonia: 1 / (1 + sum of beta_n [NH3]^n)."""
    return 1 / (1 + sum(10**one.log_beta * ammonia_mol_per_L**one.number for one in complexes(metal, "ammonia")))


def edta_rows() -> Iterator[PublishedRow]:
    for row in read_reference("titrimetry/edta_alpha_checks.csv"):
        data_set, pH = SETS_OF_EDTA[row["pKa_set"].split()[0]], float(row["pH"])
        ours, tolerance, note = alpha_of_edta(pH, data_set), None, f"constants of EDTA: {data_set}"
        if row["quantity"] != "alpha Y4-":
            ours *= 10 ** edta_formation("Cd2+", CADMIUM).log_beta
            tolerance = 10.0 ** (math.floor(math.log10(float(row["value"]))) - 1)
            note += "; the print multiplies a rounded alpha by a rounded constant: one unit of the last digit"
        yield row_of(row | {"printed": row["value"]}, ours, quantity=f"{row['quantity']} at pH {row['pH']}",
                     tolerance=tolerance, note=note)


def auxiliary_rows() -> Iterator[PublishedRow]:
    """Rows on zinc; the one on cadmium does not print the constants behind its 0.0881, and is an input, not a check."""
    for row in read_reference("titrimetry/auxiliary_alpha_checks.csv"):
        if row["metal"] == "Zn2+":
            yield row_of(row | {"printed": row["alpha_M"]}, alpha_of_metal("Zn2+", float(row["NH3_mol_L"])),
                         quantity=f"fraction of free zinc in {row['NH3_mol_L']} mol/L ammonia",
                         tolerance=3e-5 if row["NH3_mol_L"] == "0.0200" else None,
                         note="the textbook's constants have three figures, ours two decimals of log beta: 0.4 %")


def acid_rows() -> Iterator[PublishedRow]:
    """Two tables that are not the source of the constants in use: a textbook's appendix and a school's data booklet."""
    for row in read_reference("titrimetry/acid_dissociation_constants.csv"):
        name, step = STEPS.get(row["acid"], (NAMES.get(row["acid"], row["acid"]), int(row["step"])))
        textbook = row["source"].startswith("Harris, Q") and row["ionic_strength"] == "0"
        booklet = row["source"].startswith("Alberta")
        if not (textbook or booklet) or name not in acids() or (name, step) in DISAGREEMENTS:
            continue
        [ours] = [one for one in all_acid_constants(name) if one.step == step and one.chosen]
        if textbook and ours.data_set == "Harris":
            continue
        yield row_of(row | {"printed": row["pKa"]}, ours.pKa, quantity=f"pKa of {name}, step {step}",
                     tolerance=0.05 if booklet else 0.002,
                     note="printed as Ka to two figures: 0.05" if booklet else "compilations differ by 0.002")


def published_rows() -> Iterator[PublishedRow]:
    yield from edta_rows()
    yield from auxiliary_rows()
    yield from acid_rows()


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


def test_enough_of_each_kind_is_compared():
    assert (len(list(edta_rows())), len(list(auxiliary_rows()))) == (36, 2)
    assert len(list(acid_rows())) >= 25


@pytest.mark.parametrize(("acid", "step"), DISAGREEMENTS)
def test_a_source_that_disagrees_is_held_beside_the_chosen_one_with_a_reason(acid, step):
    held = [one for one in all_acid_constants(acid) if one.step == step]
    assert DISAGREEMENTS[acid, step] in {one.pKa for one in held if not one.chosen}
    [chosen] = [one for one in held if one.chosen]
    assert "chosen" in chosen.note
