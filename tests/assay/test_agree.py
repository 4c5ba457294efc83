"""Why don't we agree? Each size against a calculation by hand from published figures.

Volume expansion: GB/T 601, Annex A (tests/reference/volumetry). Density of 20 % w/w caustic soda: 1.219 g/mL at 20 °C,
common handbook tables; 20 % w/w is then 24.4 % w/v. Buoyancy: OIML D 28, weights of 8000 kg/m³ in air of 1.2 kg/m³.
"""

import csv
import math
from pathlib import Path
from statistics import NormalDist

import pytest

from assaywright.assay.agree.causes import causes
from assaywright.assay.agree.discrepancy import AGREED, DISCREPANT, NOT_STATED, WITHIN_OURS, compared
from assaywright.assay.agree.finding import finding
from assaywright.assay.agree.limits import against_limits
from assaywright.assay.agree.ourselves import ourselves
from assaywright.assay.specification import Specification
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.typed import read_quantity
from tests.assay.laboratory import assay, standardisation

TABLE = Path(__file__).parents[1] / "reference/volumetry/temperature_correction_standard_solutions.csv"
CERTIFIED = ('concentration = "{} mol/L ± 0.0001 mol/L, k = 2"\n'
             'certificate = {{ id = "C-118", issued = 2026-01-12, traceable_to = "SI" }}')
WEIGHED = ('[[determination]]\ngross = "{:.4f} g"\ntare = "50.0000 g"\ninitial = "0.00 mL"\nfinal = "{} mL"\n'
           'temperature = "20.0 °C"\n')


def ours_and(text, files=None, **told):
    """Our figure, what they told, and the causes by their code."""
    texts = {name: one.encode() for name, one in (files or {}).items()}
    theirs = finding(told)
    ours = ourselves(parse_worksheet(text.encode(), "ws.toml"), texts.__getitem__, unit=theirs.found.unit)
    comparison = compared(ours.result, theirs)
    return ours, comparison, causes(ours, theirs, comparison.difference)


def weighed_acid(**said):
    """About 2.5 g of acetic acid 30 % w/w with 0.5 mol/L caustic."""
    rows = "".join(WEIGHED.format(50 + mass, titre) for mass, titre in ((2.5, "25.00"), (2.4, "24.00")))
    return assay("acetic-acid-by-naoh", **{
        "rows": rows, "nominal": "0.5 mol/L", "name": "sodium hydroxide 0.5 mol/L",
        "titrant": CERTIFIED.format("0.4975"), "sample": 'density = "1.0000 g/mL ± 0.0005 g/mL, k = 2"', **said})


def size(found, code):
    return next(one.size for one in (*found.told, *found.ranked) if one.code == code)


def relative(text, code, **told):
    ours, _, found = ours_and(text, **told)
    return size(found, code) / ours.value


def test_warm_solutions_by_the_published_table():
    with TABLE.open(encoding="utf-8") as file:
        rows = [one for one in csv.DictReader(file) if one["solution_key"] == "half_H2SO4_0.5_NaOH_0.5"]
    by_degree = {one["temperature_C"]: float(one["correction_mL_per_L"]) for one in rows}
    for degrees in ("25", "15"):
        # the table is for soda-lime glass, 25e-6 /K; the burette is of borosilicate, 9.9e-6 /K (ISO 4787)
        by_hand = -by_degree[degrees] / 1000 + (25e-6 - 9.9e-6) * (float(degrees) - 20)
        found = relative(weighed_acid(), "temperature", found="31 % w/w", temperature=degrees)
        assert found == pytest.approx(by_hand, abs=0.00002)


def test_volumes_of_both_warm_nearly_cancel():
    text = assay(titrant=CERTIFIED.format("0.1000"))
    assert abs(relative(text, "temperature", found="0.5 mol/L", temperature="25")) < 0.0004


def test_twenty_per_cent_caustic_read_by_volume_comes_first():
    """1 g of 20 % w/w caustic takes 5 mmol of acid, 10 mL of 0.5 mol/L."""
    rows = "".join(WEIGHED.format(50 + mass, titre) for mass, titre in ((4.0, "40.00"), (4.2, "42.00")))
    text = assay("caustic-soda-by-acid", rows=rows, name="hydrochloric acid 0.5 mol/L", formula="HCl",
                 nominal="0.5 mol/L", titrant=CERTIFIED.format("0.5000"), extra='[report]\nunit = "% w/w"\n',
                 sample='density = "1.219 g/mL ± 0.001 g/mL, k = 2"')
    ours, comparison, found = ours_and(text, found="24.4 % w/w")
    assert ours.value == pytest.approx(20.0, abs=0.05)
    assert (comparison.difference, found.ranked[0].code) == (pytest.approx(4.4, abs=0.05), "w/v")
    assert size(found, "w/v") / ours.value == pytest.approx(0.219, rel=1e-6)
    assert 20 * (1 + size(found, "w/v") / ours.value) == pytest.approx(24.4, abs=0.05)
    assert "density tells" in found.ranked[0].experiment


def test_buoyancy_of_a_liquid_and_of_the_standard_behind_the_titrant():
    liquid = (1 - 1.2 / 8000) / (1 - 1.2 / 1000)
    assert relative(weighed_acid(), "buoyancy", found="31 % w/w") == pytest.approx(liquid - 1, rel=1e-6)
    files = {"st1.toml": standardisation()}
    ours, _, found = ours_and(assay(), files, found="0.4 mol/L")
    phthalate = (1 - 1.2 / 8000) / (1 - 1.2 / 1636)  # 1.636 g/mL; 0.058 % in all
    assert size(found, "standard") / ours.value == pytest.approx(1 / phthalate - 1, abs=2e-6)


def test_nominal_concentration_a_drop_a_burette_and_a_blank():
    text = weighed_acid()
    assert relative(text, "factor", found="31 % w/w") == pytest.approx(0.5 / 0.4975 - 1, rel=1e-6)
    drop = (0.05 / 25 + 0.05 / 24) / 2  # each titre in proportion to its portion
    assert relative(text, "drop", found="31 % w/w") == pytest.approx(drop, rel=1e-3)
    # ISO 385 class B, 50 mL: 0.10 mL, either way
    assert relative(text, "burette", found="20 % w/w") == pytest.approx(-2 * drop, rel=1e-3)
    blank = '[blank]\nkind = "reagent blank"\nvolume = "0.05 mL ± 0.02 mL, rectangular"\n'
    ours, _, found = ours_and(weighed_acid(extra=blank), found="31 % w/w", blank="none")
    assert size(found, "blank") / ours.value == pytest.approx((0.05 / 24.95 + 0.05 / 23.95) / 2, rel=1e-3)
    _, _, subtracted = ours_and(weighed_acid(extra=blank), found="31 % w/w", blank="subtracted")
    assert "blank" not in {one.code for one in subtracted.ranked}


def test_what_they_told_stands_apart_and_is_worked_out_together():
    """Factor and temperature multiply; the titrant's factor 0.5/0.4975 is by hand, the temperature's as above."""
    told = {"titrant": "caustic 0.5 mol/L, by its label", "temperature": "25", "blank": "none"}
    ours, comparison, found = ours_and(weighed_acid(), found="31 % w/w", **told)
    assert [one.code for one in found.told] == ["factor", "temperature", "blank"]
    assert (found.told[-1].size, "ours has none either" in found.told[-1].words) == (0.0, True)
    assert not {"factor", "temperature", "blank"} & {one.code for one in found.ranked}
    warm = size(found, "temperature") / ours.value
    assert found.together / ours.value == pytest.approx(0.5 / 0.4975 * (1 + warm) - 1, rel=1e-6)
    assert found.left == pytest.approx(comparison.difference - found.together, rel=1e-9)
    for titrant in ("0.5 mol/L by its label, factor 1.003", "standardised, labelled 0.5 mol/L", ""):
        _, _, other = ours_and(weighed_acid(), found="31 % w/w", titrant=titrant)
        assert (other.told, other.together, other.left) == ((), 0.0, comparison.difference)


@pytest.mark.parametrize(("found", "where"), [
    ("0.4949 mol/L", "below"), ("0.4950 mol/L", "within"), ("495.0 mmol/L", "within"), ("494.9 mmol/L", "below"),
    ("0.5051 mol/L", "above"), ("18.1 g/L", "not comparable")])
def test_theirs_by_the_limits_beside_whether_ours_conforms(found, where):
    """Limits 0.495 to 0.505 mol/L, a limit belonging to what is within; the chance by the normal distribution."""
    text = assay(titrant=CERTIFIED.format("0.1244"), extra='[report]\nunit = "mol/L"\n')
    limits = Specification("strength", "mol/L", read_quantity("0.495 mol/L"), read_quantity("0.505 mol/L"))
    ours, _, _ = ours_and(text, found="0.4 mol/L")
    held = against_limits(ours.as_on_record, limits, finding({"found": found}))
    assert (held.theirs, held.outside) == (where, where in ("below", "above"))
    assert held.passed == {"below": "0.495 mol/L", "above": "0.505 mol/L"}.get(where, "")
    normal, estimate = NormalDist(), ours.result.estimate
    by_hand = normal.cdf((0.505 - estimate.value) / estimate.standard_uncertainty) - normal.cdf(
        (0.495 - estimate.value) / estimate.standard_uncertainty)
    assert 0.5 < by_hand < 0.99
    assert held.ours.conformance_probability == pytest.approx(by_hand, abs=2e-3)
    assert against_limits(ours.as_on_record, Specification("strength"), finding({"found": found})) is None


def test_equivalents_stated_as_moles_and_a_figure_as_the_hydrate():
    acid = assay("sulfuric-acid-by-naoh", titrant=CERTIFIED.format("0.1000"), extra='[report]\nunit = "mol/L"\n')
    assert relative(acid, "equivalents", found="0.4 mol/L") == pytest.approx(1.0, rel=1e-9), "two protons"
    salt = assay("sodium-carbonate-by-acid", titrant=CERTIFIED.format("0.1000"), formula="HCl",
                 name="hydrochloric acid 0.1 mol/L", extra='[report]\nunit = "g/L"\n')
    ours, _, found = ours_and(salt, found="50 g/L")
    ratios = [one.size / ours.value + 1 for one in found.ranked if one.code == "species"]
    assert any(ratio == pytest.approx(286.14 / 105.99, abs=1e-3) for ratio in ratios), "decahydrate over anhydrous"


def test_a_solid_has_no_content_by_volume_and_another_unit_keeps_the_buoyancy():
    text = assay("potassium-iodate-by-thiosulfate", formula="Na2S2O3", name="sodium thiosulfate 0.1 mol/L",
                 titrant=CERTIFIED.format("0.1000"), rows=WEIGHED.format(50.107, "30.00"),
                 sample='density = "3.89 g/mL"', extra='[report]\nunit = "% w/w"\n')
    ours, _, found = ours_and(text, found="90 % w/w")
    assert ours.value > 95
    assert "w/v" not in {one.code for one in found.ranked}
    in_moles = relative(weighed_acid(), "buoyancy", found="5.3 mol/L")
    assert in_moles == pytest.approx((1 - 1.2 / 8000) / (1 - 1.2 / 1000) - 1, rel=1e-6)


def test_a_titrant_that_a_customer_standardises_anew():
    """0.1 mol/L at 25 °C by the table: 1.1 mL/L more is read, so that much less is found."""
    ours, _, found = ours_and(standardisation(), found="0.0987 mol/L", temperature="25")
    by_hand = 1.1e-3 + (25e-6 - 9.9e-6) * 5
    assert size(found, "temperature") / ours.value == pytest.approx(-by_hand, abs=0.00002)
    assert size(found, "standard") / ours.value == pytest.approx(-0.00058, abs=0.00001)
    assert size(found, "drop") / ours.value == pytest.approx(-0.05 / 38.48, rel=0.01)
    assert {"factor", "w/v", "blank"}.isdisjoint(one.code for one in found.ranked)


def test_whether_it_is_a_discrepancy_at_all():
    ours, _, _ = ours_and(weighed_acid(), found="31 % w/w")
    value, expanded = ours.value, ours.result.expanded_uncertainty

    def verdict(distance, **told):
        return compared(ours.result, finding({"found": f"{value + distance:.9f} % w/w", **told}))

    near = verdict(0.9 * math.hypot(expanded, 0.1), uncertainty="0.1 % w/w")
    assert (near.verdict, near.is_discrepancy) == (AGREED, False)
    assert near.normalised_error == pytest.approx(0.9, abs=1e-6)
    assert verdict(-1.1 * math.hypot(expanded, 0.1), uncertainty="0.1", coverage_factor="2").verdict == DISCREPANT
    assert verdict(0.9 * expanded).verdict == WITHIN_OURS
    far = verdict(5 * expanded)
    assert far.verdict == NOT_STATED
    assert math.hypot(far.would_agree_from, expanded) == pytest.approx(5 * expanded, rel=1e-6)
