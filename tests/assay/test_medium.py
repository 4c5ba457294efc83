"""The medium that a method states is what its curve is computed in; what it does not state is not guessed."""

import re
from importlib.resources import files

import pytest

from assaywright.assay.method import load_method, method_names, parse_method
from assaywright.assay.titrated import titrated_system
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity


def text_of(name: str) -> str:
    return (files("assaywright.assay") / "methods" / f"{name}.toml").read_text(encoding="utf-8")


def with_medium(name: str, lines: str) -> str:
    """Return a method's file with another medium."""
    head, _, rest = text_of(name).partition("\n[medium]\n")
    return f"{head}\n[medium]\n{lines}\n\n[sample]{rest.partition(chr(10) + '[sample]')[2]}"


def test_a_hardness_holds_the_magnesium_and_the_ammonia_that_its_file_states() -> None:
    stated = """source = "water of the spring"
flask = "80 mL"
pH = "9.8"
ionic_strength = "0.05 mol/L"
followed = "Mg2+"
ligands = [{ name = "ammonia", concentration = "0.2 mol/L" }]
titrated = [{ substance = "Ca2+", moles = "0.6" }, { substance = "Mg2+", moles = "0.4" }]"""
    system = titrated_system(parse_method(with_medium("hardness-by-edta", stated)), read_quantity("0.02 mol/L"))
    assert (system.pH, system.flask_mL, system.ionic_strength_mol_per_L) == (9.8, 80, 0.05)
    assert system.free_ligands == (("ammonia", 0.2),)
    calcium, magnesium = (one.concentration_mol_per_L for one in system.analyte)
    assert calcium == pytest.approx(0.6 * 0.02 * 25 / 80)
    assert magnesium == pytest.approx(0.4 * 0.02 * 25 / 80)


def test_a_complexometric_method_without_a_ph_has_no_curve() -> None:
    method = parse_method(with_medium("edta-by-zinc", 'source = "nobody"'))
    with pytest.raises(Refusal, match=r"does not say at which pH .* state it in \[medium\]"):
        titrated_system(method)


def test_no_ligand_is_guessed_at_a_ph_where_ammonia_is_usual() -> None:
    method = parse_method(with_medium("edta-by-zinc", 'source = "nobody"\npH = "10.0"'))
    assert titrated_system(method).free_ligands == ()


def test_formal_potentials_are_those_of_the_medium_stated() -> None:
    stated = 'source = "handbook"\npotentials = "1 mol/L HCl"'
    assert titrated_system(parse_method(with_medium("iron-by-dichromate", stated))).medium == "1 mol/L HCl"
    couples = [(one.name, one.medium) for one in titrated_system(load_method("cerium-by-sodium-oxalate")).couples]
    assert couples == [("Ce4+/Ce3+", "1 mol/L H2SO4"), ("CO2/H2C2O4", "")]


def test_carbon_dioxide_boiled_off_leaves_the_jump_of_a_strong_acid() -> None:
    boiled = titrated_system(load_method("hcl-by-sodium-carbonate"))
    assert boiled.open_to_air
    kept = with_medium("hcl-by-sodium-carbonate", 'source = "nobody"')
    assert not titrated_system(parse_method(kept)).open_to_air


def test_an_acid_that_the_tables_do_not_hold_brings_its_constants() -> None:
    """The complex of boric acid with mannitol behaves as an acid of pK 5 or so: from memory."""
    stated = 'source = "books"\ntitrated = [{ substance = "mannitoboric acid", moles = "1", pKa = ["5.1"] }]'
    (own,) = titrated_system(parse_method(with_medium("acetic-acid-by-naoh", stated))).analyte
    assert own.own is not None
    assert own.own.pKa == (5.1,)


@pytest.mark.parametrize("name", [one for one in method_names() if load_method(one).type == "complexometric"])
def test_every_complexometric_method_states_its_ph(name: str) -> None:
    medium = load_method(name).medium
    assert medium is not None
    assert medium.pH is not None


@pytest.mark.parametrize(
    ("line", "needle"),
    [
        ('ph = "10"', "the key 'ph' is not known; use flask, pH,"),
        ('buffer = "ammonia"', "the key 'buffer' is not known"),
        ('pH = "ten"', "pH"),
        ('pH = "17"', "give a pH from 0 to 16"),
        ("pH = 10.0", "'pH' is not a text in quotes"),
        ('flask = "100 g"', "'flask' is in g; give it in mL"),
        ('flask = "0 mL"', "give more than zero"),
        ('carbon_dioxide = "boiled"', "did you mean 'boiled off'?"),
        ('ligands = [{ name = "ammonia" }]', "'concentration' is missing"),
        ('ligands = [{ name = "ammonia", concentration = "0.1 g" }]', "give it in mol/L"),
        ('titrated = [{ substance = "Ca2+" }]', "'moles' is missing"),
        ('titrated = [{ substance = "Ca2+", moles = "0.8 mL" }]', "give a plain number"),
        ('titrated = [{ substance = "acid", moles = "1", pKa = ["5 g"] }]', "give plain numbers"),
        ('titrated = [{ substance = "acid", moles = "1", pKa = ["5"], charge = "one" }]', "not a small whole number"),
        ('couples = [{ name = "Fe3+/Fe2+" }]', "'medium' is missing"),
    ],
)
def test_a_medium_that_cannot_be_is_refused_with_its_key(line: str, needle: str) -> None:
    with pytest.raises(Refusal, match=re.escape(needle)) as refused:
        parse_method(with_medium("edta-by-zinc", f'source = "nobody"\n{line}'), "ours.toml")
    assert "ours.toml, medium" in str(refused.value)


def test_a_medium_says_where_it_comes_from() -> None:
    with pytest.raises(Refusal, match="'source' is missing"):
        parse_method(with_medium("edta-by-zinc", 'pH = "5.5"'))


def test_every_key_of_a_medium_is_explained() -> None:
    from pathlib import Path

    from assaywright.assay.method_medium import FreeLigand, Medium, Titrated

    page = (Path(__file__).parents[2] / "docs" / "methods.md").read_text(encoding="utf-8")
    section = page.partition("## The medium")[2].partition("\n## ")[0]
    for kind in (Medium, FreeLigand, Titrated):
        for field in kind.__dataclass_fields__:
            assert field in section
