"""Every method loads, holds together, and gives its own worked example; what does not hold together is refused."""

import ast
import csv
import hashlib
import operator
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from decimal import Decimal
from functools import cache
from importlib.resources import files
from pathlib import Path

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import (
    ACID_PARTS,
    SCHEMES,
    TYPES,
    Method,
    load_method,
    method_names,
    parse_method,
)
from assaywright.assay.method_example import Example, Expected
from assaywright.assay.result import Outcome
from assaywright.assay.worksheet import parse_worksheet
from assaywright.chemistry.formula import parse_formula
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.metrology.units import conversion
from assaywright.reference.safety import hazards

TITRIMETRY = Path(__file__).parents[1] / "reference" / "titrimetry"
OPERATORS: dict[type, Callable[[Decimal, Decimal], Decimal]] = {
    ast.Add: operator.add, ast.Sub: operator.sub, ast.Mult: operator.mul, ast.Div: operator.truediv,
}
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")

PROCEDURES = {
    "naoh-by-khp": ("AP022", "C8H5KO4"), "hcl-by-sodium-carbonate": ("AP031", "Na2CO3"),
    "caustic-soda-two-endpoints": ("AP001", "NaOH"), "caustic-soda-by-acid": ("AP003", "NaOH"),
    "hydrochloric-acid-by-naoh": ("AP005", "HCl"), "acetic-acid-by-naoh": ("AP013", "CH3COOH"),
    "calcium-carbonate-by-excess-acid": ("AP037", "CaCO3"), "edta-by-calcium-carbonate": ("AP040", "CaCO3"),
    "silver-nitrate-by-sodium-chloride": ("AP049", "NaCl"), "thiosulfate-by-potassium-bromate": ("AP063", "KBrO3"),
    "thiosulfate-by-potassium-iodate": ("AP062", "KIO3"), "hypochlorite-by-thiosulfate": ("AP061", "NaClO"),
    "permanganate-by-sodium-oxalate": ("AP070", "Na2C2O4"), "hydrogen-peroxide-by-permanganate": ("AP066", "H2O2"),
    "iron-by-dichromate": ("AP073", "Fe"),
}


def own_text(name: str) -> str:
    return (files("assaywright.assay") / "methods" / f"{name}.toml").read_text(encoding="utf-8")


def arithmetic(text: str) -> Decimal:
    """Work out plain arithmetic with the four operations and brackets, in decimal, and nothing else."""
    return _worked_out(ast.parse(text.replace("×", "*").replace("−", "-").strip(), mode="eval").body, text)


def _worked_out(node: ast.expr, text: str) -> Decimal:
    if isinstance(node, ast.BinOp):
        return OPERATORS[type(node.op)](_worked_out(node.left, text), _worked_out(node.right, text))
    figure = ast.get_source_segment(text.replace("×", "*").replace("−", "-").strip(), node)
    return Decimal(str(figure))


def lines_of(working: str) -> list[tuple[str, str, str, str]]:
    """Return the lines of a working that compute: symbol, expression, figure and unit."""
    found = []
    for line in working.splitlines():
        parts = [part.strip() for part in line.split(" = ")]
        if len(parts) == 3 and NUMBER.match(parts[2]):
            figure, _, unit = parts[2].partition(" ")
            found.append((parts[0], parts[1], figure, unit))
    return found


def no_file(path: str) -> bytes:
    raise AssertionError(f"an example rests on no other file, and {path} was asked for")


@cache
def outcome_of(example: Example) -> Outcome:
    return evaluate_worksheet(parse_worksheet(example.worksheet.encode(), example.title), no_file)


def example_value(example: Example, expected: Expected) -> float:
    outcome = outcome_of(example)
    by_name = {one.measurand: one for one in outcome.results}
    result = by_name[expected.measurand] if expected.measurand else outcome.result
    factor, offset = conversion(result.estimate.unit, expected.value.unit)
    return result.estimate.value * factor + offset


@pytest.fixture(params=method_names())
def method(request: pytest.FixtureRequest) -> Method:
    return load_method(request.param)


# --- the program's own methods ----------------------------------------------------------------------------------------


def test_there_are_methods_of_every_type_and_every_scheme() -> None:
    methods = [load_method(name) for name in method_names()]
    assert len(methods) >= 12
    assert {one.type for one in methods} == set(TYPES)
    assert {one.scheme for one in methods} == set(SCHEMES)
    assert {part.part for one in methods for part in one.result.measurands} == set(ACID_PARTS)


def test_a_method_keeps_the_hash_of_its_file(method: Method) -> None:
    assert method.sha256 == hashlib.sha256(own_text(method.name).encode()).hexdigest()
    changed = parse_method(own_text(method.name).replace(f'edition = "{method.edition}"', 'edition = "99"'))
    assert (changed.edition, changed.sha256 != method.sha256) == ("99", True)


def test_the_working_of_an_example_is_right_line_by_line(method: Method) -> None:
    for example in method.examples:
        lines = lines_of(example.working)
        assert lines
        for symbol, expression, figure, _unit in lines:
            half = Decimal(5).scaleb(int(Decimal(figure).as_tuple().exponent) - 1)
            found = arithmetic(expression)
            assert abs(found - Decimal(figure)) <= half, f"{method.name}: {symbol} = {expression} is {found}: {figure}"


def test_the_working_of_an_example_arrives_at_what_is_expected(method: Method) -> None:
    for example in method.examples:
        reached = {(figure, unit) for _, _, figure, unit in lines_of(example.working)}
        for expected in example.expected:
            assert (str(expected.value.value), expected.value.unit) in reached


def test_the_working_of_an_example_takes_its_figures_from_the_worksheet(method: Method) -> None:
    """The burette readings in the working, or their difference, are those of the worksheet."""
    for example in method.examples:
        worksheet = parse_worksheet(example.worksheet.encode(), method.name)
        figures = {Decimal(number) for number in NUMBER.findall(example.working)}
        for one in worksheet.determinations:
            last, first = one.delivery.fillings[-1].final.value, one.delivery.fillings[0].initial.value
            assert last in figures or last - first in figures


def test_an_example_comes_out_through_the_whole_product(method: Method) -> None:
    for example in method.examples:
        for expected in example.expected:
            ours = example_value(example, expected)
            assert abs(ours - float(expected.value.value)) <= expected.tolerance, (
                f"{method.name}, {expected.measurand or 'main result'}: expected {expected.value.text}, ours {ours!r}"
            )


def test_a_wrong_reading_does_not_give_an_example(method: Method) -> None:
    for example in method.examples:
        before, first, titrations = example.worksheet.partition("[[determination]]")
        later = re.sub(r'(final = ")(\d+)', lambda found: f"{found[1]}{int(found[2]) + 1}", titrations)
        text = f"{before}{first}{later}"
        outcome = evaluate_worksheet(parse_worksheet(text.encode(), method.name), no_file)
        expected = example.expected[0]
        ours = outcome.result.estimate.value * conversion(outcome.result.estimate.unit, expected.value.unit)[0]
        assert abs(ours - float(expected.value.value)) > expected.tolerance


def test_an_example_with_all_its_replicates_may_be_released(method: Method) -> None:
    """Published examples give one titration, which holds the result back; the others have three and raise nothing."""
    for example in method.examples:
        outcome = outcome_of(example)
        if len(outcome.determinations) >= method.replicates:
            told = {one.kind for one in outcome.remarks if one.severity != "note"}
            assert told <= {"repeatability-not-your-own"}  # an example has no laboratory behind it
            assert outcome.releasable
        else:
            assert not outcome.releasable
            assert example.status.startswith("published")


WEIGHED = re.compile(r"about ([\d.]+) g[^.;:]*? for ([\d.]+) mL of ([\d.]+) mol/L")
TAKEN = re.compile(r"(\d+) mL(?:,| or) ")


def test_the_portion_that_a_method_names_takes_about_the_titre_it_names(method: Method) -> None:
    """By proportion to its worked example, where a portion is weighed and titrated as it is."""
    heading = tomllib.loads(method.example.worksheet)
    one = heading["determination"][0]
    if "gross" not in one or method.scheme == "back":
        return
    mass, titre = (float(one[last].split()[0]) - float(one[first].split()[0])
                   for last, first in (("gross", "tare"), ("final", "initial")))
    strength = float(str(heading["titrant"].get("nominal", "0")).split()[0])
    for sentence in (*method.sample.text, *method.procedure):
        for grams, millilitres, molar in WEIGHED.findall(sentence):
            expected = float(grams) / mass * titre * strength / float(molar)
            assert expected == pytest.approx(float(millilitres), rel=0.1), sentence


@pytest.mark.parametrize("name", ["naoh-against-hcl", "hcl-against-naoh"])
def test_the_pipettes_of_every_example_are_among_those_the_steps_name(name: str) -> None:
    """Two solutions as strong as one another: what is pipetted is what runs from the burette."""
    chosen = load_method(name)
    (step,) = [one for one in chosen.procedure if "for a burette of 50 mL" in one]
    of_50, of_25 = (TAKEN.findall(part) + re.findall(r"or (\d+) mL", part)
                    for part in step.split(" for a burette of 50 mL"))
    for example in chosen.examples:
        vessels = tomllib.loads(example.worksheet)["vessels"]
        size = vessels["pipette"]["nominal"].split()[0]
        assert size in (of_50 if vessels["burette"]["nominal"] == "50 mL" else of_25)


def test_a_stated_tolerance_wider_than_half_a_unit_has_its_reason(method: Method) -> None:
    for expected in (figure for example in method.examples for figure in example.expected):
        assert expected.reason or expected.tolerance <= expected.value.resolution / 2 * (1 + 1e-9)


def test_the_list_of_methods_in_the_guide_is_the_list_of_files() -> None:
    guide = (Path(__file__).parents[2] / "docs" / "methods.md").read_text(encoding="utf-8")
    for name in method_names():
        one = load_method(name)
        rests_on = "; ".join(dict.fromkeys(example.status for example in one.examples))
        assert f"| `{name}` | {one.determines} | {one.type} | {one.scheme} | {rests_on} |" in guide
    assert len(re.findall(r"(?m)^\| `[a-z0-9-]+` \| ", guide)) == len(method_names())


# --- against publications ---------------------------------------------------------------------------------------------


@cache
def rows(name: str) -> tuple[dict[str, str], ...]:
    with (TITRIMETRY / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def test_a_published_titrimetric_equivalent_that_was_read_stands_in_the_reference_table(method: Method) -> None:
    substance = parse_formula((method.standard or method.against or method.analyte).formula)
    stated = [(method.titrimetric_equivalent, substance)]
    stated += [(one.titrimetric_equivalent, parse_formula(one.formula)) for one in method.result.measurands
               if one.titrimetric_equivalent]
    for equivalent, formula in stated:
        if equivalent.published_status == "read":
            printed = {
                Decimal(row["factor_mg_per_mL"]) for row in rows("equivalence_factors")
                if row["status"] == "read" and parse_formula(row["formula_counted"]).is_same_entity(formula)
            }
            assert Decimal(equivalent.published_mg_per_mL) in printed


@pytest.mark.parametrize("name", PROCEDURES)
def test_equivalents_are_those_of_the_published_procedure(name: str) -> None:
    """Pharmacopoeia and standard procedures as listed in assay_procedures.csv, column equivalents_per_mol."""
    procedure, formula = PROCEDURES[name]
    row = next(row for row in rows("assay_procedures") if row["procedure_id"] == procedure)
    method = load_method(name)
    counted = method.standard or method.analyte
    assert parse_formula(counted.formula).is_same_entity(parse_formula(formula))
    assert parse_formula(row["formula_counted"]).is_same_entity(parse_formula(formula))
    assert counted.equivalents == int(row["equivalents_per_mol"])
    assert ("back" in row["mode"]) == (method.scheme == "back")


@pytest.mark.parametrize(
    ("substance", "mass_percent", "needle"),
    [
        ("sodium hydroxide", 17, "5 % w/w and more"), ("sodium hydroxide", 4, "2 % to under 5 % w/w"),
        ("sodium hydroxide", 1, "0.5 % to under 2 % w/w"), ("hydrochloric acid", 36, "25 % w/w and more"),
        ("hydrochloric acid", 15, "10 % to under 25 % w/w"), ("acetic acid", 36, "25 % to under 90 % w/w"),
        ("acetic acid", 15, "10 % to under 25 % w/w"), ("sulfuric acid", 30, "15 % w/w and more"),
        ("hydrogen peroxide", 6, "5 % to under 8 % w/w"),
    ],
)
def test_hazards_by_strength_are_those_of_the_limits(substance: str, mass_percent: float, needle: str) -> None:
    """CLP Annex VI specific limits by way of the reference tables; H290 is what suppliers add."""
    limits = {one.code for entry in hazards(substance, mass_percent) for one in entry.statements}
    stated = [
        one for name in method_names() for one in load_method(name).cautions.hazards
        if one.substance.startswith(substance) and needle in one.substance
    ]
    assert stated
    for one in stated:
        assert set(one.codes) - {"H290"} <= limits
        assert set(one.codes) & limits


def test_sulfuric_and_hydrochloric_acid_of_any_strength_corrode_metals() -> None:
    """H290: hydrochloric acid of 10 % to under 25 %, GISChem document 4520; weaker, and sulfuric acid, from memory."""
    stated = [
        (name, one) for name in method_names() for one in load_method(name).cautions.hazards
        if one.substance.startswith(("sulfuric acid", "hydrochloric acid")) and "%" in one.substance
    ]
    assert {one.substance.partition(" acid")[0] for _, one in stated} == {"sulfuric", "hydrochloric"}
    assert not [name for name, one in stated if "H290" not in one.codes]


# --- what a method gives ----------------------------------------------------------------------------------------------


def test_the_law_of_thermal_expansion_goes_by_the_nominal_concentration() -> None:
    titrant = load_method("naoh-by-khp").titrant
    assert titrant.thermal_for(read_quantity("1 mol/L")) == "half_H2SO4_1_NaOH_1"
    assert titrant.thermal_for(read_quantity("1.0 mol/L")) == "half_H2SO4_1_NaOH_1"
    assert titrant.thermal_for(read_quantity("0.3 mol/L")) == ""
    assert titrant.thermal_for(None) == ""


def test_a_single_law_of_thermal_expansion_holds_for_every_concentration() -> None:
    text = re.sub(r"(?m)^thermal = .*$", 'thermal = "0.0011 /K"', own_text("naoh-by-khp"))
    assert parse_method(text).titrant.thermal_for(None) == "0.0011 /K"


def test_what_a_standardisation_determines_is_its_titrant() -> None:
    method = load_method("naoh-by-khp")
    assert method.analyte == method.titrant


def test_reading_about_methods_loads_no_engine() -> None:
    slow = "{'numpy', 'GTC', 'scipy', 'tomllib'}"
    code = f"import sys, assaywright.assay.method; print(sorted({slow} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


# --- what is refused --------------------------------------------------------------------------------------------------

REFUSED = {
    "a misspelt key": (
        "caustic-soda-by-acid", 'indicator = "methyl', 'indicater = "methyl', "did you mean 'indicator'"),
    "an unknown key": (
        "caustic-soda-by-acid", 'required = false', 'required = false\nremark = "x"', "'remark' is not known"),
    "a missing key": ("caustic-soda-by-acid", 'edition = "2"\n', "", "'edition' is missing"),
    "an empty text": ("caustic-soda-by-acid", 'edition = "2"', 'edition = " "', "'edition' is empty"),
    "another format": ("caustic-soda-by-acid", "assaywright method 1", "assaywright method 9", "'format' is"),
    "a misspelt scheme": ("caustic-soda-by-acid", 'scheme = "direct"', 'scheme = "dirct"', "did you mean 'direct'"),
    "an assay by the scheme of a standardisation": (
        "naoh-by-khp", 'kind = "standardisation"\nscheme', 'kind = "assay"\nscheme', "'analyte' is missing"),
    "an unbalanced reaction": (
        "caustic-soda-by-acid", "NaOH + HCl -> NaCl + H2O", "NaOH + HCl -> NaCl + 2 H2O", "does not balance in O .* H"),
    "equivalents against the reaction": (
        "hcl-by-sodium-carbonate", 'formula = "Na2CO3"\nequivalents = 2', 'formula = "Na2CO3"\nequivalents = 1',
        "takes 2 mol of HCl .* say 1"),
    "equivalents of the excess reagent against its reaction": (
        "calcium-carbonate-by-excess-acid", 'reaction_with_titrant = "HCl + NaOH -> NaCl + H2O"',
        'reaction_with_titrant = "2 HCl + CaCO3 -> CaCl2 + H2O + CO2"', "holds no NaOH"),
    "equivalents of one of two endpoints": (
        "caustic-soda-two-endpoints", 'formula = "Na2CO3"\nequivalents = 2', 'formula = "Na2CO3"\nequivalents = 1',
        "takes 2 mol of HCl .* say 1"),
    "a substance that is not in the reaction": (
        "hypochlorite-by-thiosulfate", 'reacts_as = "ClO^-"', 'reacts_as = "ClO3^-"', "holds no ClO3"),
    "a titrimetric equivalent that is wrong": (
        "caustic-soda-by-acid", 'mg_per_mL = "39.997"', 'mg_per_mL = "36.458"', "is not the 39.997 mg/mL"),
    "a published titrimetric equivalent of another substance": (
        "caustic-soda-by-acid", 'published_mg_per_mL = "40.00"', 'published_mg_per_mL = "56.11"', "is not the 39.997"),
    "an unknown hazard statement": (
        "caustic-soda-by-acid", '"H314", "H290"', '"H999", "H290"',
        "own.toml, cautions, hazards .*, codes: there is no hazard statement 'H999'"),
    "a danger without a hazard statement": (
        "caustic-soda-by-acid", 'codes = ["H301"]', "codes = []", "do not go together"),
    "cautions that do not defer": (
        "caustic-soda-by-acid", "See the safety data sheet and local rules.", "Take care.", "safety data sheet"),
    "a primary standard under another's name": (
        "naoh-by-khp", 'name = "potassium hydrogen phthalate"\nformula = "C8H5KO4"\nequivalents',
        'name = "benzoic acid"\nformula = "C8H5KO4"\nequivalents', "benzoic acid is C7H6O2"),
    "a law of thermal expansion that no table holds": ("naoh-by-khp", '"aq_0.1_0.2"', '"aq_0.1"', "'aq_0.1' is no law"),
    "a titration error without its uncertainty": (
        "caustic-soda-by-acid", '"0 mL ± 0.02 mL, rectangular"', '"0 mL"', "must be zero with an uncertainty"),
    "an error and an indicator blank for one volume": (
        "caustic-soda-by-acid", 'treatment = "in the uncertainty"', 'treatment = "applied"', "the same volume away"),
    "a treatment without a titration error": (
        "caustic-soda-by-acid", 'titration_error = "0 mL ± 0.02 mL, rectangular"\n', "", "not stated"),
    "a limit that is no percentage": ("caustic-soda-by-acid", 'limit = "0.3 %"', 'limit = "0.3 mL"', "give it in %"),
    "a range without a limit": ("caustic-soda-by-acid", 'limit = "0.3 %"\n', "", "has no limit"),
    "a handling nobody knows": (
        "caustic-soda-by-acid", '"pipetted", "weighed"', '"poured", "weighed"', "lists 'poured'"),
    "no replicates": ("caustic-soda-by-acid", "number = 3", "number = 0", "above zero"),
    "a number of replicates in words": ("caustic-soda-by-acid", "number = 3", 'number = "three"', "not a whole number"),
    "a working that ends elsewhere": (
        "caustic-soda-by-acid", 'expected = "19.90 % w/v"', 'expected = "19.97 % w/v"', "does not arrive at 19.97"),
    "a wide tolerance without a reason": (
        "caustic-soda-by-acid", 'expected = "19.90 % w/v"', 'expected = "19.90 % w/v"\ntolerance = "0.1 % w/v"',
        "'tolerance_reason' is missing"),
    "a worksheet of another method": (
        "caustic-soda-by-acid", 'method = "caustic-soda-by-acid"', 'method = "naoh-by-khp"', "worksheet is not of"),
    "a further result that the method has not": (
        "caustic-soda-two-endpoints", 'measurand = "sodium carbonate"', 'measurand = "soda"',
        "is not one of the results"),
    "a repeatability of nothing": ("caustic-soda-by-acid", 'pooled = "0.', 'pooled = "0 %" # "0.', "repeats without"),
    "a bell in its title": ("caustic-soda-by-acid", 'title = "', 'title = "\\u0007', "that cannot be printed"),
    "something that is not TOML": ("caustic-soda-by-acid", "[analyte]", "[analyte", "is not TOML"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_method_is_refused_with(case: str) -> None:
    name, old, new, sentence = REFUSED[case]
    text = own_text(name)
    assert old in text
    with pytest.raises(Refusal, match=sentence) as refusal:
        parse_method(text.replace(old, new), "own.toml")
    assert str(refusal.value).startswith("own.toml")
    assert refusal.value.remedy


def test_a_method_without_a_worked_example_does_not_load() -> None:
    text = own_text("caustic-soda-by-acid")
    with pytest.raises(Refusal, match="there is no worked example"):
        parse_method(text[: text.index("[example]")])


def test_an_unknown_method_is_refused_with_the_nearest_name() -> None:
    with pytest.raises(Refusal, match="did you mean 'caustic-soda-by-acid'"):
        load_method("caustic-soda-by-acids")


def test_an_example_worksheet_with_a_misspelt_key_is_refused_by_the_worksheet_reader() -> None:
    text = load_method("caustic-soda-by-acid").example.worksheet.replace("final =", "finale =", 1)
    with pytest.raises(Refusal, match="finale"):
        parse_worksheet(text.encode(), "example")
