"""Making and mixing beside published examples: alligation, Pearson's square, weighing forms, tables of reagents."""

from collections.abc import Iterator
from decimal import Decimal

import pytest

from assaywright.assay.adjust.blend import parts_of_square
from assaywright.assay.prepare.form import MakingVessel, Preparation, Source
from assaywright.assay.prepare.measuring import Measuring
from assaywright.assay.prepare.mixture import Part, mixture_model
from assaywright.assay.prepare.prepare import prepare
from assaywright.chemistry.solute import find_solute
from assaywright.metrology.estimate import exact
from assaywright.metrology.model import evaluate_plain
from assaywright.metrology.typed import read_quantity
from tests.published.rows import PublishedRow, as_parameters, assert_agrees, read_reference, row_of

MIXING, WEIGHING = "production/mixing_examples.csv", "production/weighing_forms.csv"
REAGENTS, DENSITIES = "titrimetry/concentrated_reagents.csv", "volumetry/solution_densities.csv"
NAMES = {"ammonium hydroxide": "ammonia", "sodium hydroxide 50 %": "sodium hydroxide",
         "potassium hydroxide 45 %": "potassium hydroxide", "perchloric acid 70 %": "perchloric acid"}
# Recomputing the table's own rows: molarity and volume are rounded to 0.1 mol/L and 0.5 mL, 60 % perchloric acid bears
# the density of 70 %, and the volume of hydrochloric acid is that of its upper assay limit.
REAGENT_TOLERANCE = 0.011
MISPRINTED = ("perchloric acid 60 %",)
MIXED_PERCENT = {"sodium hydroxide": (40, 20), "hydrochloric acid": (30, 15), "sulfuric acid": (60, 30),
                 "nitric acid": (40, 20)}


def mixed(masses_and_contents: list[tuple[float, float]]) -> float:
    """Return the content by mass of a mixture, from the model."""
    parts = [Part(f"L{number}", "part", mass, exact(0.0, "g"), exact(content, "% w/w"))
             for number, (mass, content) in enumerate(masses_and_contents)]
    return evaluate_plain(mixture_model(parts, find_solute("ethanol"), "% w/w"))[0]


def made(substance: str, content: str, amount: str, source: Source, **more: object) -> Preparation:
    """Return a preparation from one source in a flask."""
    return Preparation(substance, read_quantity(content), read_quantity(amount), (source,), **more)


def solid(name: str) -> Source:
    return Source(name, "solid", Measuring(read_quantity("0.00001 g")))


def solution(name: str, content: str, step: str, density: str = "") -> Source:
    return Source(name, "solution", Measuring(read_quantity(step)), content=read_quantity(content),
                  density=read_quantity(density) if density else None)


def mixing_rows() -> Iterator[PublishedRow]:
    for row in read_reference(MIXING):
        numbers = {key: float(row[key]) for key in row if row[key] and (key.endswith("content") or key == "wanted")}
        if row["kind"] in ("alligation alternate", "Pearson square"):
            parts = parts_of_square(numbers["first_content"], numbers["second_content"], numbers["wanted"])
            ours = parts[0] if row["quantity"].endswith("first") else parts[1]
        elif row["kind"] == "alligation medial":
            ours = mixed([(float(row[key]), float(row[f"{key}_content"])) for key in ("first", "second", "third")])
        else:
            ours = float(row["first"]) * (numbers["first_content"] / numbers["wanted"] - 1)
            assert mixed([(5000, 30.45), (ours, 0)]) == pytest.approx(30.0, abs=1e-12)
        yield row_of(row, ours, quantity=f"{row['kind']}: {row['quantity']} [{row['unit']}]")


def weighing_rows() -> Iterator[PublishedRow]:
    for row in read_reference(WEIGHING):
        prepared = prepare(made(row["substance"], row["content"], row["volume"], solid(row["substance"])))
        yield row_of(row, prepared.portions[0].mass_g,
                     quantity=f"{row['substance']} for {row['volume']} of {row['content']} [g]")


def reagent_rows() -> Iterator[PublishedRow]:
    for row in read_reference(REAGENTS):
        if row["reagent"] in MISPRINTED:
            continue
        name = NAMES.get(row["reagent"], row["reagent"])
        strength = row["strength_percent_m_m"]
        if name == "ammonia":  # printed as NH4OH; its footnote's 28.0 % NH3 does not agree with its own molarity
            strength = f"{float(strength) * 17.031 / 35.046:.3f}"
        source = solution(name, f"{strength} % w/w", "0.01 mL", f"{row['density_g_per_mL']} g/mL")
        prepared = prepare(made(name, "1 mol/L", "1 L", source))
        printed = row["mL_for_1L_of_1M_printed"]
        yield PublishedRow(
            row["source"], row["clause_or_table"], f"{row['reagent']} for 1 L of 1 mol/L [mL]", printed,
            prepared.portions[0].volume_mL, tolerance=max(0.25, REAGENT_TOLERANCE * float(printed)), status="read",
            note="printed to 0.5 mL from rounded molarities")


def density_rows() -> Iterator[PublishedRow]:
    """Equal masses of a solution and of water: what a litre of the mixture holds, as the table prints it there."""
    printed = {(row["solute"], row["mass_pct"]): row for row in read_reference(DENSITIES)
               if row["source"].startswith("CRC") and row["temperature_C"] == "20"
               and row["molarity_printed_mol_per_L"]}
    for name, (strong, half) in MIXED_PERCENT.items():
        row = printed.get((name, str(half)))
        if row is None or (name, str(strong)) not in printed:
            continue
        step = Measuring(read_quantity("0.001 g"))
        water = Source("water", "diluent", step)
        wanted = row["molarity_printed_mol_per_L"]
        preparation = Preparation(
            name, read_quantity(f"{half} % w/w"), read_quantity("2 kg"),
            (solution(name, f"{strong} % w/w", "0.001 g"), water), vessel=MakingVessel(kind="bottle"))
        prepared = prepare(preparation)
        masses = [one.mass_g for one in prepared.portions]
        assert masses == pytest.approx([1000.0, 1000.0], abs=0.002)
        by_volume = prepare(Preparation(
            name, read_quantity(f"{wanted} mol/L"), read_quantity("1 L"),
            (solution(name, f"{strong} % w/w", "0.001 g"), water), vessel=MakingVessel(kind="bottle")))
        density = float(row["density_g_per_mL"])
        yield PublishedRow(
            row["source"], row["clause_or_table"],
            f"{name}: {strong} % w/w for 1 L of {wanted} mol/L, half its weight in g", f"{1000 * density / 2:.1f}",
            by_volume.portions[0].mass_g, tolerance=0.0002 * 1000 * density / 2, status="read",
            note="the printed molarity is rounded to three decimals or four digits")


def published_rows() -> Iterator[PublishedRow]:
    """Yield every published value of making and mixing."""
    yield from mixing_rows()
    yield from weighing_rows()
    yield from reagent_rows()
    yield from density_rows()


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_our_value_is_the_published_one(row):
    assert_agrees(row)


def test_no_kind_of_published_row_is_empty():
    for rows, least in ((mixing_rows, 13), (weighing_rows, 6), (reagent_rows, 8), (density_rows, 3)):
        assert len(list(rows())) >= least


def test_a_mixture_of_two_volumes_has_not_their_sum():
    """100 mL of 60 % sulfuric acid and 100 mL of water, by the densities that the handbook prints."""
    printed = {row["mass_pct"]: float(row["density_g_per_mL"]) for row in read_reference(DENSITIES)
               if row["solute"] == "sulfuric acid" and row["temperature_C"] == "20" and row["source"].startswith("CRC")}
    acid, water = 100 * printed["60"], 100 * 0.9982
    percent = mixed([(acid, 60.0), (water, 0.0)])
    around = sorted(printed, key=lambda one: abs(Decimal(one) - Decimal(percent)))[:2]
    low, high = sorted(map(float, around))
    share = (percent - low) / (high - low)
    density = (1 - share) * printed[f"{low:g}"] + share * printed[f"{high:g}"]
    assert 190 < (acid + water) / density < 197
