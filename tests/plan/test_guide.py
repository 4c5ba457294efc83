"""The bench guide: the interval of the endpoint, the sheet, and its bar code."""

import io
import json
from dataclasses import replace

import pikepdf
import pytest

from assaywright.assay.method import load_method, method_names
from assaywright.assay.plan.guide import LONGEST_NUMBER, bench_guide
from assaywright.assay.plan.guide_steps import Figures, flask_steps, made_beforehand, sample_steps, titrating_steps
from assaywright.assay.plan.setup import PIPETTED, WEIGHED, WEIGHED_DILUTION
from assaywright.assay.plan.standardise import plan_standardisation
from assaywright.cli.entry import main
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.reference.bar_code import bar_widths, symbol_values
from assaywright.reference.load import table
from assaywright.reports.render import guide_pdf
from tests.plan.shelves import (
    BALANCE,
    CAUSTIC,
    DAY,
    EIGHT,
    NORMAL_ACID,
    by_way,
    no_file,
    planned,
    shelf_of,
    shelf_text,
    vessel,
)

SHELF = (vessel("burette", 50), EIGHT, BALANCE, NORMAL_ACID)


def guided(way: str = PIPETTED, **extra):
    plan = planned(shelf_of(*SHELF))
    return bench_guide(plan, by_way(plan, way), DAY, no_file, **extra)


def test_the_interval_is_that_of_the_limits_and_dropwise_begins_a_millilitre_before():
    guide = guided()
    # 8 mL × 198 g/L / 39.997 g/mol = 39.603 mL at the lower limit, 40.403 mL at the upper, by hand
    assert guide.specified.low_mL == pytest.approx(39.603, abs=0.01)
    assert guide.specified.high_mL == pytest.approx(40.403, abs=0.01)
    assert guide.free_to_mL == pytest.approx(38.6, abs=0.01)


def test_earlier_replicates_narrow_the_interval_by_the_pooled_repeatability():
    guide = guided(earlier=(read_quantity("40.02 mL"), read_quantity("40.06 mL")))
    # mean 40.04; t(24) = 2.064 (JCGM 100, table G.2: 2.06); 0.08 % of it × sqrt(1.5) × t = 0.081 mL, by hand
    assert guide.earlier.low_mL == pytest.approx(40.04 - 0.081, abs=0.001)
    assert guide.earlier.high_mL == pytest.approx(40.04 + 0.081, abs=0.001)
    assert guide.free_to_mL == pytest.approx(38.96, abs=0.01)
    with pytest.raises(Refusal, match="not on the 50 mL burette"):
        guided(earlier=(read_quantity("60 mL"),))


@pytest.mark.parametrize(("titre", "free_mL"), [("30.00 mL", 28.9), ("0.50 mL", 0.0)])
def test_earlier_titres_that_the_product_cannot_have_are_told_of_and_the_smaller_volume_counts(titre, free_mL):
    # 39.60 to 40.40 mL belong to the limits; 30.00 mL × 0.08 % × sqrt(2) × 2.06 = 0.07 mL, and a millilitre before
    guide = guided(earlier=(read_quantity(titre),))
    assert "do not go with the 39.60 to 40.40 mL of the limits of the specification" in guide.take[0]
    assert guide.free_to_mL == pytest.approx(free_mL, abs=0.05)
    assert guide.titrate[0].startswith("Nothing is run freely: dropwise from the start") is (free_mL == 0)
    assert not any("do not go with" in one for one in guided(earlier=(read_quantity("40.30 mL"),)).take)


def test_cautions_come_first_and_the_steps_name_colour_drops_and_bubbles():
    guide = guided()
    assert guide.cautions[0].startswith("Wear safety goggles")
    assert any("H314" in sentence for sentence in guide.cautions)
    assert "two or three drops of methyl orange" in guide.indicator
    assert guide.stop_at == "yellow to the first orange"
    words = " ".join(guide.burette)
    assert all(word in words for word in ("Rinse", "bubbles", "zero", "touch off"))
    assert "8 mL with pipette P-8" in " ".join(guide.take)


def test_a_kelvin_not_noted_moves_the_result_by_what_the_liquids_expand():
    # 1 mol/L HCl: -0.29 mL/L by GB/T 601 annex A from 20 to 21 °C, about 0.03 % a kelvin (read)
    figure = float(guided().temperature.rpartition("by ")[2].removesuffix(" %."))
    assert 0.01 < figure < 0.05


def test_a_weighed_portion_is_told_in_grams_and_a_standardisation_has_its_interval_too():
    # as much as 8 mL of 20 % w/v: m = 8 mL × 1.185 g/mL = 9.480 g in vacuo, 9.471 g less what the air carries, 0.1 %
    assert "about 9.47 g" in guided(WEIGHED).take[0]
    shelf = shelf_of(*SHELF, '[[reference_material]]\nname = "sodium carbonate"\ncontent = "99.97 % ± 0.04 %, k = 2"\n'
                     'certificate = { id = "RM-204" }\n')
    plan = plan_standardisation("hcl-by-sodium-carbonate", shelf, DAY, no_file).plan
    guide = bench_guide(plan, plan.options[0], DAY, no_file)
    assert guide.specified.low_mL == pytest.approx(40 / 1.05, abs=0.01)
    assert guide.specified.high_mL == pytest.approx(40 / 0.95, abs=0.01)


@pytest.mark.parametrize("name", method_names())
def test_a_guide_carries_every_step_of_its_method_in_the_methods_order(name):
    # the source is the method's own file: nothing of it may be left out or put out of its order on the sheet
    method = load_method(name)
    setup = by_way(planned(shelf_of(*SHELF)), PIPETTED).setup
    setup = replace(setup, method=method, carbonate=0.2)
    sheet = [*made_beforehand(method), *flask_steps(setup), *titrating_steps(setup, Figures(20.0, 21.0))]
    places = [next((n for n, one in enumerate(sheet) if step in one), None) for step in method.procedure]
    assert None not in places
    assert places == sorted(places)
    assert sample_steps(method)[:len(method.sample.text)] == method.sample.text
    begins = next(n for n, one in enumerate(sheet) if one.startswith("In what follows run freely"))
    # what is done at the end stands behind the volumes, what is dissolved stands before them
    assert not any("Dissolve the" in one or "Dissolve the portion" in one for one in sheet[begins:])
    assert all(n > begins for n, one in enumerate(sheet) if one.startswith(("Read ", "Stop at")))


@pytest.mark.parametrize(("name", "first"), [
    ("iodine-by-arsenic-trioxide", "Make the titrant with 13 g of iodine"),
    ("permanganate-by-sodium-oxalate", "Make the permanganate a week ahead"),
])
def test_a_titrant_is_made_before_the_burette_is_filled_and_not_in_the_flask(name, first):
    setup = replace(by_way(planned(shelf_of(*SHELF)), WEIGHED).setup, method=load_method(name))
    (beforehand,) = made_beforehand(setup.method)
    assert "ready beforehand" in beforehand
    assert first in beforehand
    assert not any(first in one for one in flask_steps(setup))
    assert "Dissolve the portion" in flask_steps(setup)[0]


def test_a_blank_that_is_not_planned_is_not_asked_for():
    # with the reagent's own concentration its blank drops out of the equation: the method's own [blank], not required
    method = load_method("calcium-carbonate-by-excess-acid")
    setup = replace(by_way(planned(shelf_of(*SHELF)), WEIGHED).setup, method=method)
    (alone,) = (one for one in titrating_steps(setup, Figures(20.0, 21.0)) if "Titrate a blank likewise" in one)
    assert alone.startswith("Not planned here")
    assert "a blank is not part of it" in alone
    with_blanks = titrating_steps(replace(setup, blanks=3), Figures(20.0, 21.0))
    assert "Titrate a blank likewise with each series." in with_blanks
    required = replace(setup, method=load_method("phenol-by-excess-bromine"))
    assert not any("Not planned here" in one for one in titrating_steps(required, Figures(20.0, 21.0)))


def test_a_flask_that_is_weighed_counts_with_its_own_mass_on_the_balance():
    """A volumetric flask of 250 mL of glass weighs about 90 g, of 100 mL about 55 g: common practice, no source."""
    roomy = BALANCE.replace('"220 g"', '"320 g"')

    def weighed_in(*parts: str):
        plan = planned(shelf_of(vessel("burette", 50), NORMAL_ACID, *parts))
        return plan, [one for one in plan.options if one.setup.way == WEIGHED_DILUTION]

    # 80 % of 250 mL and the flask are 290 g, of 100 mL 135 g
    assert weighed_in(BALANCE, vessel("flask", 250))[1] == []
    for parts, size, told in (((roomy, vessel("flask", 250)), 250, ("290 g", "takes 320 g")),
                              ((BALANCE, vessel("flask", 100)), 100, ("135 g", "takes 220 g")),
                              ((BALANCE.replace('capacity = "220 g"\n', ""), vessel("flask", 100)), 100,
                               ("135 g", "see first that the balance takes it"))):
        plan, (option, *_others) = weighed_in(*parts)
        assert option.setup.flask.nominal.to("mL") == size
        take = " ".join(bench_guide(plan, option, DAY, no_file).take)
        assert all(piece in take for piece in told), take


@pytest.mark.parametrize("method", ["caustic-soda-two-endpoints", "caustic-soda-by-barium-chloride"])
def test_a_strong_alkali_pipetted_as_it_is_is_remarked_on_by_every_method_that_dilutes_it(method):
    # 200 g/L / 39.997 g/mol = 5.00 mol/L, by hand; above 1 mol/L it is weighed or diluted: common practice, no source
    plan = planned(shelf_of(*SHELF))
    (option,) = (one for one in plan.options if one.setup.way == PIPETTED and one.setup.method.name == method)
    guide = bench_guide(plan, option, DAY, no_file)
    first = next(one for one in guide.take if one.startswith("5.00 mol/L are pipetted as they are"))
    assert "diluted first" in first
    assert guide.take.index(first) < next(n for n, one in enumerate(guide.take) if one.startswith("Rinse the pipette"))
    assert any("bove about 1 mol/L" in one for one in guide.sample)


def test_hypochlorite_iodide_goes_before_the_acid_and_the_caution_before_both():
    # hypochlorite in acid without iodide gives chlorine: the method's own step, common practice, no source
    setup = replace(by_way(planned(shelf_of(*SHELF)), WEIGHED).setup, method=load_method("hypochlorite-by-thiosulfate"))
    first = flask_steps(setup)[0]
    assert first.startswith("Caution, sodium hypochlorite and acids: chlorine is set free.")
    assert first.index("potassium iodide") < first.index("6 mol/L acetic acid")
    told = titrating_steps(setup, Figures(37.3, 38.3))
    pale, starch = (next(n for n, one in enumerate(told) if word in one) for word in ("straw yellow", "starch"))
    assert pale < starch


def test_after_barium_chloride_the_second_aliquot_is_a_titration_of_its_own():
    setup = by_way(planned(shelf_of(*SHELF)), PIPETTED).setup
    setup = replace(setup, method=load_method("caustic-soda-by-barium-chloride"), carbonate=0.01, titre_mL=40.0)
    told = titrating_steps(setup, Figures(38.6, 39.6))
    first, second = (n for n, one in enumerate(told) if one.startswith("Stop at"))
    barium = next(n for n, one in enumerate(told) if "10 mL of 10 % barium chloride" in one)
    again = next(n for n, one in enumerate(told) if one.startswith("That is the total alkali. Fill the burette again"))
    assert first < again < barium < second
    assert "methyl orange" in setup.method.endpoint.indicator
    assert setup.method.endpoint.colour_change in told[first]
    assert setup.method.first_endpoint.colour_change in told[second]
    # 1 % of the alkali is carbonate and takes no acid there: 0.99 × 39.6 mL less 1 mL, by hand
    assert any("dropwise from 38.2 mL on" in one for one in told)


def test_the_free_volume_goes_with_the_mass_weighed_in():
    # m grams of a solution of 19.80 % w/v and 1.1848 g/mL take m/1.1848 × 198/39.997 mL of 1.0004 mol/L acid at least;
    # a tenth less than planned ends a tenth earlier, by hand, and one stops running a millilitre before
    guide = guided(WEIGHED)
    assert [round(one.mass_g / guide.by_mass[2].mass_g, 2) for one in guide.by_mass] == [0.9, 0.95, 1.0, 1.05, 1.1]
    assert guide.by_mass[2].free_to_mL == pytest.approx(guide.free_to_mL, abs=1e-4)
    low = guide.specified.low_mL
    for one, share in zip(guide.by_mass, (0.9, 0.95, 1.0, 1.05, 1.1), strict=True):
        assert one.free_to_mL == pytest.approx(share * low - 1, abs=0.01)
    assert guided().by_mass == ()
    assert any("between two masses the smaller volume" in one for one in guide.titrate)


def test_the_same_plan_gives_the_same_number_and_another_option_another():
    assert guided().number == guided().number
    assert guided().number != guided(WEIGHED).number
    plan = planned(shelf_of(*SHELF))
    alike = [one for one in plan.options if one.setup.pipette is not None and one.setup.way == PIPETTED]
    assert len({one.setup.method.name for one in alike}) > 1  # one pipette and one acid, by several methods
    assert len({bench_guide(plan, one, DAY, no_file).number for one in plan.options}) == len(plan.options)
    assert guided(identity="WS-26-0412").number == "WS-26-0412"


# --- the bar code -----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("text", "check"), [("Wikipedia", 88), ("PJJ123C", 55)])
def test_the_check_symbol_is_that_of_examples_in_print(text, check):
    # Worked examples of the encyclopaedia article on Code 128 (from memory): "Wikipedia" in code set B gives 88;
    # PJJ123C gives 54 in code set A, whose start counts one less and whose letters count the same: 55 in code set B.
    assert symbol_values(text)[-2] == check


def test_the_symbols_keep_the_rules_of_the_symbology():
    rows = table("code_128").rows
    patterns = [row["widths"] for row in rows]
    assert len(set(patterns)) == 107
    for pattern in patterns[:-1]:  # ISO/IEC 15417: 11 modules in three bars and three spaces, even parity of the bars
        assert sum(map(int, pattern)) == 11
        assert len(pattern) == 6
        assert sum(map(int, pattern[::2])) % 2 == 0
        assert max(pattern) <= "4"
    assert patterns[106] == "2331112"


def test_the_bars_read_back_as_the_text():
    widths = "".join(map(str, bar_widths("WP-261102-AB57E6")))
    values = {row["widths"]: int(row["key"]) for row in table("code_128").rows}
    read = [values[widths[place:place + 6]] for place in range(0, len(widths) - 7, 6)]
    assert "".join(chr(value + 32) for value in read[1:-1]) == "WP-261102-AB57E6"
    with pytest.raises(Refusal, match="bar code"):
        bar_widths("Nr. 7 µ")


# --- paper and command line -------------------------------------------------------------------------------------------


def test_the_sheet_is_a_PDF_that_carries_the_guides_data():
    guide = guided()
    with pikepdf.open(io.BytesIO(guide_pdf(guide))) as pdf:
        attached = json.loads(pdf.attachments["document.json"].get_file().read_bytes())
        assert 1 <= len(pdf.pages) <= 3
    assert attached["number"] == guide.number
    assert attached["free_to_mL"] == guide.free_to_mL


def test_the_guide_on_the_command_line(tmp_path, capsys):
    (tmp_path / "shelf.toml").write_text(shelf_text(*SHELF), encoding="utf-8")
    product = tmp_path / "caustic.toml"
    product.write_text(CAUSTIC.replace("[[char", 'shelf = "shelf.toml"\n[[char', 1), encoding="utf-8")
    sheet = tmp_path / "sheet.txt"
    asked = ["guide", str(product), "--day", "2026-11-02"]
    assert main([*asked, "--earlier", "40.02", "mL", "40.06 mL", "-o", str(sheet)]) == 0
    text = sheet.read_text(encoding="utf-8")
    assert "2 earlier titres" in text
    assert text.index("CAUTIONS") < text.index("TAKE") < text.index("TITRATE")
    assert text.count("Initial, mL ____") == 4  # three determinations and a line for one more
    assert main([*asked, "--option", "9"]) == 2
    assert main([*asked, "--id", ""]) == 2
    assert main([*asked, "--id", "W" * 80]) == 2
    assert main([*asked, "-o", str(tmp_path / "sheet.doc")]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert "no option of the plan" in told
    assert "--id: the worksheet's number is empty" in told
    assert "number of 80 characters has no room on the sheet; shorten it to 32" in told


def test_bars_of_the_longest_number_fit_between_the_margins():
    # 35 modules of start, check and stop (ISO/IEC 15417), 11 for each character, 10 clear at either end; on A4
    assert 0.33 * (sum(map(int, bar_widths("W" * LONGEST_NUMBER))) + 20) < 210 - 2 * 22
    assert sum(map(int, bar_widths("W" * 3))) == 35 + 3 * 11
