"""The library of methods is as wide as it says: counted from the files, two that differ only in strength once."""

import csv
from collections import Counter
from collections.abc import Callable
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest

from assaywright.assay.method import Method, load_method, method_names
from assaywright.chemistry.formula import parse_formula

HOUSE = Path(__file__).parents[2]
FACTORS = Path(__file__).parents[1] / "reference" / "titrimetry" / "equivalence_factors.csv"
METHODS = tuple(load_method(name) for name in method_names())
ASSAYS = tuple(one for one in METHODS if one.kind == "assay")
REDOX = ("iodometric", "iodimetric", "permanganate", "dichromate", "cerimetric", "diazotisation")
CHLORIDE_ENDPOINTS = {
    "Mohr": ("direct", "potassium chromate"),
    "Volhard": ("back", "ammonium iron(III) sulfate"),
    "Fajans": ("direct", "dichlorofluorescein"),
    "potentiometric": ("direct", "silver electrode against a double-junction reference without chloride"),
}


def identity(method: Method) -> tuple[str, ...]:
    """Return what makes a method another one; nominal strengths are no part of it."""
    reagent = method.reagent.formula if method.reagent else ""
    first = method.first_endpoint.indicator if method.first_endpoint else ""
    return (method.analyte.name, method.reaction, method.titrant.formula, reagent, method.scheme, method.route, first,
            method.endpoint.indicator)


def distinct(methods: tuple[Method, ...]) -> int:
    return len({identity(one) for one in methods})


def test_every_assay_is_another_one() -> None:
    twice = [one for one, count in Counter(identity(method) for method in ASSAYS).items() if count > 1]
    assert twice == []


def test_there_are_at_least_45_assays_over_at_least_35_products() -> None:
    assert distinct(ASSAYS) >= 45
    assert len({one.analyte.name.partition(",")[0] for one in ASSAYS}) >= 35


def test_standardisations_rest_on_at_least_14_primary_standards() -> None:
    assert len({one.standard.name for one in METHODS if one.standard is not None}) >= 14


KINDS: dict[str, Callable[[Method], bool]] = {
    "complexometric": lambda one: one.type == "complexometric",
    "argentometric": lambda one: one.type == "argentometric",
    "redox": lambda one: one.type in REDOX,
    "back": lambda one: one.scheme == "back",
    "non-aqueous": lambda one: one.type == "non-aqueous",
    "acid-base": lambda one: one.type == "acid-base",
}


@pytest.mark.parametrize("kind", KINDS)
def test_there_are_at_least_five_assays_of_each_kind(kind: str) -> None:
    assert distinct(tuple(one for one in ASSAYS if KINDS[kind](one))) >= 5


SPECIAL: dict[str, Callable[[Method], bool]] = {
    "replacement": lambda one: one.route == "replacement",
    "two-endpoint alkalinity": lambda one: one.scheme == "two endpoints",
    "barium chloride": lambda one: one.scheme == "barium chloride",
    "distillate": lambda one: one.route == "distillation",
    "hardness": lambda one: one.type == "complexometric" and "hardness" in one.analyte.name,
    "hypochlorite": lambda one: one.analyte.formula == "NaClO",
    "peroxide": lambda one: one.analyte.formula == "H2O2",
    "sulfite by iodine, titrated back": lambda one: one.analyte.formula == "Na2SO3" and one.scheme == "back",
    "ascorbic acid": lambda one: one.analyte.name == "ascorbic acid",
    "volumetric Karl Fischer": lambda one: one.type == "Karl Fischer",
    "perchloric acid": lambda one: one.type == "non-aqueous" and one.titrant.formula == "HClO4",
}


@pytest.mark.parametrize("what", SPECIAL)
def test_the_library_holds_an_assay_for(what: str) -> None:
    assert [one.name for one in ASSAYS if SPECIAL[what](one)]


@pytest.mark.parametrize("name", CHLORIDE_ENDPOINTS)
def test_chloride_is_titrated_to_each_of_its_endpoints(name: str) -> None:
    scheme, indicator = CHLORIDE_ENDPOINTS[name]
    found = [one for one in ASSAYS if one.analyte.reacts_as == "Cl^-" and one.scheme == scheme]
    assert [one.name for one in found if one.endpoint.indicator == indicator]


# --- examples ---------------------------------------------------------------------------------------------------------


def test_at_least_25_examples_are_readings_with_their_result_in_print() -> None:
    """What was recalled from print counts apart; invented titres times a printed equivalent do not count at all."""
    statuses = [example.status for one in METHODS for example in one.examples]
    read, recalled, equivalent = (statuses.count(status) for status in
                                  ("published", "published, from memory", "printed equivalent"))
    assert read + recalled >= 25
    assert read >= 18
    page = (HOUSE / "docs" / "methods.md").read_text(encoding="utf-8")
    assert f"{read} are readings with their result" in page
    assert f"{recalled} more were recalled" in page
    assert f"{equivalent} multiply invented titres" in " ".join(page.split())


@pytest.mark.parametrize("method", METHODS, ids=lambda one: one.name)
def test_the_page_says_what_an_example_rests_on(method: Method) -> None:
    page = (HOUSE / "docs" / "methods.md").read_text(encoding="utf-8")
    for example in method.examples:
        if example.status != "hand calculation":
            (line,) = [one for one in page.splitlines() if one.startswith(f"- `{method.name}`: {example.title}: ")]
            assert f"{example.source}, {example.clause}." in line
            assert ("invented titres" in line) == (example.status == "printed equivalent")
            assert ("recalled and not seen again" in line) == ("from memory" in example.status)


@pytest.mark.parametrize("method", METHODS, ids=lambda one: one.name)
def test_a_published_example_names_its_source_and_place(method: Method) -> None:
    for example in method.examples:
        assert example.source
        assert example.clause
        if example.status != "hand calculation":
            assert any(sign.isdigit() for sign in example.clause)
            assert "calculation" not in example.source
    assert all(example.status.startswith("published") for example in method.further_examples)


@cache
def printed_equivalents() -> tuple[dict[str, str], ...]:
    """Return the titrimetric equivalents that were read in print."""
    with FACTORS.open(encoding="utf-8", newline="") as file:
        return tuple(row for row in csv.DictReader(file) if row["status"] == "read")


@pytest.mark.parametrize(
    "method", [one for one in METHODS if one.example.status == "printed equivalent"], ids=lambda one: one.name
)
def test_an_example_on_a_printed_equivalent_computes_with_its_printed_digits(method: Method) -> None:
    """The figure that the working multiplies by is that of the named clause in equivalence_factors.csv, read there.

    Iodine is printed as its atoms.
    """
    figure = method.example.working.partition("printed equivalent, ")[2].partition(" mg")[0]
    counted = parse_formula("I" if method.analyte.formula == "I2" else method.analyte.formula)
    assert f"× {figure}" in method.example.working
    assert [row for row in printed_equivalents()
            if row["factor_mg_per_mL"] == figure and parse_formula(row["formula_counted"]).is_same_entity(counted)
            and row["clause_or_table"].partition(",")[0] in method.example.clause]
    assert figure in method.example.clause or str(Decimal(figure) / 1000) in method.example.clause
    if method.titrimetric_equivalent.published_mg_per_mL:
        assert method.titrimetric_equivalent.published_mg_per_mL == figure
        assert method.titrimetric_equivalent.published_status == "read"


def test_the_borax_weighed_for_each_strength_dissolves_in_the_water_that_is_stated() -> None:
    """40 mL take 40 c/2 mmol of 381.37 g/mol; 100 g of water dissolve 4.7 g at 20 °C (handbooks, from memory)."""
    method = load_method("hcl-by-borax")
    (step,) = [one for one in method.procedure if one.startswith("Dissolve the portion")]
    water = {"0.1": 50, "0.2": 50, "0.5": 100, "1": 200}
    for volume in ("50 mL of water for 0.1 mol/L and 0.2 mol/L", "100 mL for 0.5 mol/L", "200 mL for 1 mol/L"):
        assert volume in step
    for nominal in method.titrant.nominal:
        portion_g = 40 * nominal.to("mol/L") / 2 * 381.37 / 1000
        assert portion_g < 4.7 * water[f"{nominal.to('mol/L'):g}"] / 100


# --- what decides the result, and what can hurt -----------------------------------------------------------------------

PREPARATION = {
    "caustic free of carbonate": ("NaOH", "acid-base", ("carbonat", "carbon dioxide")),
    "permanganate aged": ("KMnO4", "permanganate", ("boil", "week", "stand")),
    "permanganate filtered": ("KMnO4", "permanganate", ("filter",)),
    "thiosulfate stabilised": ("Na2S2O3", "iodometric", ("sodium carbonate",)),
    "thiosulfate left to stand": ("Na2S2O3", "iodometric", ("stand",)),
    "iodine with iodide": ("I2", "iodimetric", ("iodide",)),
    "edetate in plastic": ("C10H14N2Na2O8", "complexometric", ("plastic", "polyethylene")),
    "silver nitrate in the dark": ("AgNO3", "argentometric", ("brown glass", "dark")),
    "Karl Fischer reagent kept from moisture": ("I2", "Karl Fischer", ("moist",)),
}


@pytest.mark.parametrize("what", PREPARATION)
def test_standardisations_tell_how_the_titrant_is_made_and_kept(what: str) -> None:
    formula, kind, words = PREPARATION[what]
    found = [one for one in METHODS if one.kind == "standardisation" and one.titrant.formula == formula
             and one.type == kind and one.standard is not None]
    assert found
    for one in found:
        told = " ".join((*one.procedure, *one.sample.text)).lower()
        assert any(word in told for word in words), one.name


@pytest.mark.parametrize("method", METHODS, ids=lambda one: one.name)
def test_every_method_says_what_to_wear_what_is_dangerous_and_where_to_look(method: Method) -> None:
    cautions = method.cautions
    assert any("goggles" in one for one in cautions.protective_equipment)
    assert cautions.hazards
    assert all(one.source for one in cautions.hazards)
    assert cautions.text == "See the safety data sheet and local rules."


@pytest.mark.parametrize(
    ("substance", "words"),
    [("silver nitrate", "ammonia"), ("iodine,", "ammonia"), ("perchloric acid", "organic"), ("arsenic", "arsine"),
     ("sodium nitrite", "acids"), ("sodium hypochlorite", "acids"), ("potassium dichromate, solid", "organic")],
)
def test_dangerous_pairs_stand_with_the_substance(substance: str, words: str) -> None:
    found = [one for one in METHODS if any(each.substance.startswith(substance) for each in one.cautions.hazards)]
    assert found
    for one in found:
        assert words in " ".join((*one.cautions.incompatibilities, *one.cautions.notes)), one.name
