"""Edge cases 59 to 71: dates, order, identities, editions and chains. Figures by hand beside each check."""

import json
import math

import pytest

from assaywright.assay.stored import store
from assaywright.chemistry.formula import molar_mass
from assaywright.metrology.estimate import correlation
from assaywright.metrology.refusal import Refusal
from assaywright.reference.editions import editions
from tests.assay.laboratory import CERTIFIED, VESSELS, assay, evaluated, kinds, standardisation
from tests.edge.house import certified, mean, remarks_of


def performed(text, when, zone=""):
    """Return a worksheet performed at another time."""
    top = f'zone = "{zone}"\n' if zone else ""
    return text.replace("performed = 2026-10-12", f"{top}performed = {when}").replace(
        "performed = 2026-10-05", f"{top}performed = {when}")


@pytest.mark.parametrize(("line", "day", "late"), [
    ('use_before = "2026-11"', "2026-11-30", False), ('use_before = "2026-11"', "2026-12-01", True),
    ("use_before = 2026-11-02", "2026-11-02", False), ("use_before = 2026-11-02", "2026-11-03", True),
    ('use_before = "2028-02"', "2028-02-29", False), ('use_before = "2028-02"', "2028-03-01", True),
])
def test_a_titrant_may_be_used_through_its_last_day_and_no_longer(line, day, late):
    """Edge case 59: a month lasts through its last day, a leap year's February through the 29th."""
    outcome = evaluated(performed(assay(titrant=f"{CERTIFIED}\n{line}").replace("due = 2027", "due = 2029"), day))
    assert ("titrant-past-its-date" in kinds(outcome)) is late
    assert outcome.releasable is not late


@pytest.mark.parametrize(("due", "late"), [('"2026-10"', False), ("2026-10-12", False), ("2026-10-11", True)])
def test_a_certificate_of_a_titrant_and_of_a_standard_ends_with_its_last_day(due, late):
    """Edge case 59: the certificate's own last day counts too, used on 12 October 2026."""
    line = CERTIFIED.replace("issued = 2026-01-12", f"issued = 2026-01-12, due = {due}")
    assert ("titrant-past-its-date" in kinds(evaluated(assay(titrant=line)))) is late
    text = performed(standardisation().replace("due = 2028-01-31", f"due = {due}"), "2026-10-12")
    assert ("reference-material-past-its-date" in kinds(evaluated(text))) is late


def test_the_day_is_that_of_the_laboratory_and_not_of_greenwich():
    """Edge case 60: 00:30 on 1 December in Auckland is 30 November in Greenwich; the titrant's November is over.

    Auckland is 13 h ahead in December (from memory).
    """
    titrant = f'{CERTIFIED}\nuse_before = "2026-11"'
    late = evaluated(performed(assay(titrant=titrant), "2026-12-01T00:30:00", "Pacific/Auckland"))
    same_moment = evaluated(performed(assay(titrant=titrant), "2026-11-30T11:30:00", "Etc/UTC"))
    assert late.worksheet.performed == same_moment.worksheet.performed
    assert "titrant-past-its-date" in kinds(late)
    assert "titrant-past-its-date" not in kinds(same_moment)


def test_a_run_through_midnight_uses_the_titrant_on_both_days():
    """Edge case 60: begun on 30 November at 23:00, the last determination at 00:10; calibrations likewise."""
    text = performed(assay(titrant=f'{CERTIFIED}\nuse_before = "2026-11"'), "2026-11-30T23:00:00", "Europe/London")
    assert "titrant-past-its-date" not in kinds(evaluated(text))
    night = evaluated(text + "at = 2026-12-01T00:10:00\n")
    assert "titrant-past-its-date" in kinds(night)
    overdue = text.replace("due = 2027-02-01", "due = 2026-11-30")
    assert "calibration-overdue" not in kinds(evaluated(overdue))
    assert "calibration-overdue" in kinds(evaluated(overdue + "at = 2026-12-01T00:10:00\n"))


@pytest.mark.parametrize(("found", "used", "afterwards"), [
    ("2026-10-12T09:00:00Z", "2026-10-12T11:00:00Z", False), ("2026-10-12T15:00:00Z", "2026-10-12T11:00:00Z", True),
    ("2026-10-12T10:30:00+02:00", "2026-10-12T09:00:00Z", False),
    ("2026-10-12T10:30:00-02:00", "2026-10-12T09:00:00Z", True),
    ("2026-10-12T11:00:00Z", "2026-10-12T11:00:00Z", False),
    ("2026-10-12", "2026-10-12T11:00:00Z", False), ("2026-10-13", "2026-10-12T11:00:00Z", True),
    ("2026-10-12", "2026-10-12", False), ("2026-10-13", "2026-10-12", True),
])
def test_a_titrant_standardised_after_the_assay_holds_it(found, used, afterwards):
    """Edge case 61: by the clock where both have a time, whatever the zone; else by the day."""
    outcome = evaluated(performed(assay(), used), {"st1.toml": performed(standardisation(), found)})
    assert ("titrant-standardised-afterwards" in kinds(outcome)) is afterwards
    assert outcome.releasable is not afterwards


def test_a_standardisation_ends_with_its_last_determination():
    """Edge case 61: begun before the assay and finished after it."""
    found = performed(standardisation(), "2026-10-12T09:00:00Z")
    used = performed(assay(), "2026-10-12T11:00:00Z")
    assert evaluated(used, {"st1.toml": found}).releasable
    outcome = evaluated(used, {"st1.toml": found + "at = 2026-10-12T11:30:00Z\n"})
    assert "titrant-standardised-afterwards" in kinds(outcome)


def test_a_certificate_issued_after_the_use_holds_the_result():
    """Edge case 61: a purchased titrant's value was not known on the day."""
    outcome = evaluated(assay(titrant=CERTIFIED.replace("issued = 2026-01-12", "issued = 2026-10-13")))
    assert "titrant-standardised-afterwards" in kinds(outcome)
    assert not outcome.releasable


def test_of_two_standardisations_the_later_one_by_its_day_is_in_force_and_none_after_the_assay():
    """Edge case 61: found on the 5th, the 10th and, after the assay of the 12th, on the 13th."""
    files = {}
    for number, (day, short) in enumerate((("2026-10-05", 0.0), ("2026-10-10", 0.02), ("2026-10-13", 0.04)), 1):
        titres = [round(titre - short, 2) for titre in (38.62, 38.93, 37.90)]
        files[f"st{number}.toml"] = performed(standardisation(f"ST-{number}", titres=titres), day)
    values = [evaluated(text).result.estimate.value for text in files.values()]
    outcome = evaluated(assay(titrant='worksheets = ["st3.toml", "st2.toml", "st1.toml"]'), files)
    assert outcome.models[0].inputs["c_t"].estimate.value == pytest.approx(values[1], rel=1e-12)
    assert values[0] < values[1] < values[2]


@pytest.mark.parametrize(("opened", "days", "late"), [
    ("2026-09-12", 30, False), ("2026-09-11", 30, True), ("2026-10-12", 1, False)])
def test_an_opened_bottle_lasts_as_long_as_it_lasts_opened(opened, days, late):
    """Edge case 62: 12 September and 30 days end on 12 October, whatever the date on the label."""
    titrant = f'{CERTIFIED}\nuse_before = "2027-12"\nopened = {opened}\nin_use_days = {days}'
    outcome = evaluated(assay(titrant=titrant))
    assert ("titrant-past-its-date" in kinds(outcome)) is late
    assert outcome.releasable is not late


def test_an_opened_bottle_does_not_outlast_its_own_date():
    """Edge case 62: the earlier of both."""
    titrant = f"{CERTIFIED}\nuse_before = 2026-10-11\nopened = 2026-10-10\nin_use_days = 30"
    assert "titrant-past-its-date" in kinds(evaluated(assay(titrant=titrant)))


def test_a_worksheet_with_decimal_commas_and_thin_spaces_gives_the_same_result():
    """Edge case 63: the same readings as another country types them."""
    plain = evaluated(assay(titrant=CERTIFIED)).result
    text = assay(titrant=CERTIFIED)
    for number in ("0.1000", "0.0001", "39.81", "39.84", "39.80", "0.00", "20.0", "0.15", "0.3", "0.02", "0.1 mol"):
        text = text.replace(f'"{number}', f'"{number.replace(".", ",")}').replace(
            f"± {number} ", f"± {number.replace('.', ',')} ")
    text = 'decimal_mark = ","\n' + text.replace('"50 mL"', '"50\u2009mL"')
    assert evaluated(text).result == plain


def test_minus_signs_micro_and_degree_signs_of_every_kind_give_the_same_result():
    """Edge case 65: U+2212 and U+2013, µ and μ, ° and degC."""
    extra = '[blank]\nkind = "reagent blank"\nvolume = "{} ± 20 {}L, rectangular"\n'
    found = [evaluated(assay(titrant=CERTIFIED, temperature=f"20.0 {degree}", extra=extra.format(f"{minus}30 {micro}L",
                                                                                                micro))).result
             for minus, micro, degree in (("-", "\u00b5", "°C"), ("\u2212", "\u03bc", "degC"), ("−", "u", "℃"))]
    assert found[0].estimate.value == pytest.approx(0.1 * (mean([39.81, 39.84, 39.80]) + 0.030) / 10, rel=1e-9)
    assert [one.estimate.value for one in found] == [found[0].estimate.value] * 3


@pytest.mark.parametrize("lot", ["0417", "3E5", "007"])
def test_a_lot_number_stays_a_text_to_the_end(lot):
    """Edge case 66: the chain names the lot as typed."""
    outcome = evaluated(assay(titrant=f'{CERTIFIED}\nlot = "{lot}"'))
    assert any(f"lot {lot}" in node.identity for node in outcome.chain.rests_on)


def bottle(name, factor):
    """Return a standardisation of one bottle of a lot."""
    titres = [round(titre / factor, 2) for titre in (38.62, 38.93, 37.90)]
    return standardisation(f"ST-{name}", titres=titres, titrant=f'lot = "T-9"\nbottle = "{name}"')


def test_two_bottles_of_one_lot_have_two_factors_two_worksheets_and_two_keys():
    """Edge case 67: one worksheet a bottle; only what both share, the standard and the bench, correlates them."""
    files = {"a.toml": bottle("A", 1.000), "b.toml": bottle("B", 1.004)}
    found = [evaluated(assay(titrant=f'worksheets = ["{one}.toml"]\nlot = "T-9"\nbottle = "{one.upper()}"',
                             identity=f"WS-{one}"), files) for one in "ab"]
    assert found[1].result.estimate.value / found[0].result.estimate.value == pytest.approx(1.004, abs=2e-4)
    own = [{part.key for part in one.result.estimate.contributions if "repeatability" in part.key} for one in found]
    assert not own[0] & own[1]
    assert 0.1 < correlation(found[0].result.estimate, found[1].result.estimate) < 0.99
    assert all(one.releasable for one in found)


@pytest.mark.parametrize(("lines", "what"), [
    ('lot = "T-9"\nbottle = "B"', "bottle A"), ('lot = "T-8"\nbottle = "A"', "lot T-9")])
def test_a_bottle_used_with_another_bottles_factor_is_held(lines, what):
    """Edge case 67: the standardisation names its package, and so does the assay."""
    outcome = evaluated(assay(titrant=f'worksheets = ["a.toml"]\n{lines}'), {"a.toml": bottle("A", 1.000)})
    told = remarks_of(outcome, "titrant-of-another-package")
    assert [what in one.what for one in told] == [True]
    assert not outcome.releasable


def test_a_stored_factor_keeps_the_bottle_it_was_found_for():
    """Edge case 67: a file kept for later names its package too; one written without it is not compared."""
    record = store(evaluated(bottle("A", 1.000)))
    titrant = 'stored = "a.json"\nlot = "T-9"\nbottle = "B"'
    outcome = evaluated(assay(titrant=titrant), {"a.json": json.dumps(record)})
    assert remarks_of(outcome, "titrant-of-another-package")
    without = {key: value for key, value in record.items() if key not in ("lot", "bottle")}
    assert evaluated(assay(titrant=titrant), {"a.json": json.dumps(without)}).releasable


def test_a_package_that_nobody_named_is_not_compared():
    """Edge case 67."""
    outcome = evaluated(assay(titrant='worksheets = ["a.toml"]\nlot = "T-9"'), {"a.toml": bottle("A", 1.000)})
    assert not remarks_of(outcome, "titrant-of-another-package")


def test_the_edition_of_atomic_weights_is_named_and_an_old_one_is_still_there():
    """Edge case 69: chain and keys name the edition; M(KHP) moves by parts in a million from edition to edition."""
    outcome = evaluated(standardisation())
    assert any(node.kind == "table" and "2021" in node.identity for node in outcome.chain.rests_on)
    assert all("2021" in line.key for line in outcome.budget if line.key.startswith("atomic weight"))
    names = [one.name for one in editions()]
    assert len(names) >= 3
    masses = [molar_mass("C8H5KO4", name).value for name in names]
    assert max(masses) / min(masses) - 1 < 2e-5


def test_a_titrant_that_was_stored_keeps_its_value_under_new_atomic_weights():
    """Edge case 69: a stored result is read and not computed anew: 1e-4 more in the file is 1e-4 more in the assay."""
    record = store(evaluated(standardisation()))
    plain = evaluated(assay(titrant='stored = "st1.json"'), {"st1.json": json.dumps(record)}).result.estimate.value
    record["result"]["value"] = record["result"]["value"] * (1 + 1e-4)
    moved = evaluated(assay(titrant='stored = "st1.json"'), {"st1.json": json.dumps(record)}).result.estimate.value
    assert moved / plain == pytest.approx(1 + 1e-4, rel=1e-9)


def test_a_spreadsheets_figure_is_used_as_typed_and_keeps_its_digits():
    """Edge case 70: 0.100 shown and 0.09962 held differ by 0.4 %; what is typed is what counts, as text."""
    for typed in ("0.100", "0.09962"):
        outcome = evaluated(assay(titrant=certified(typed)))
        assert outcome.models[0].inputs["c_t"].estimate.value == float(typed)
        assert outcome.worksheet.titrant.concentration.text.startswith(f"{typed} mol/L")
    with pytest.raises(Refusal, match=r"is a bare number, and 24\.5 and 24\.50 say different things"):
        evaluated(assay(titrant=CERTIFIED).replace('final = "39.81 mL"', "final = 39.81"))


def set_against(identity, method, sought, known, path):
    """Return a standardisation of one solution against another whose value stands on a further worksheet."""
    return ('format = "assaywright worksheet 1"\nkind = "standardisation"\n'
            f'id = "{identity}"\nmethod = "{method}"\nperformed = 2026-10-05\nanalyst = "Ines Okafor"\n'
            f'[titrant]\nname = "{sought}"\nformula = "{sought}"\nnominal = "0.1 mol/L"\n'
            f'[against]\nname = "{known}"\nformula = "{known}"\nworksheets = ["{path}"]\n{VESSELS.format(pipette=25)}'
            + '[[determination]]\npipette = "pipette"\nsample_temperature = "20.0 °C"\ninitial = "0.00 mL"\n'
              'final = "25.00 mL"\ntemperature = "20.0 °C"\n' * 3)


def test_an_acid_set_by_a_base_set_by_the_same_acid_is_refused_with_the_ring():
    """Edge case 71: one line, the ring by its files."""
    files = {"acid.toml": set_against("A-1", "hcl-against-naoh", "HCl", "NaOH", "base.toml"),
             "base.toml": set_against("B-1", "naoh-against-hcl", "NaOH", "HCl", "acid.toml")}
    with pytest.raises(Refusal) as caught:
        evaluated(assay(titrant='worksheets = ["base.toml"]'), files)
    assert str(caught.value) == (
        "acid.toml: against, worksheets: the chain is circular: base.toml rests on acid.toml rests on base.toml; refer "
        "to a standardisation that does not rest on this worksheet.")


def test_a_worksheet_that_rests_on_itself_is_refused_however_its_path_is_written():
    """Edge case 71."""
    files = {"base.toml": set_against("B-1", "naoh-against-hcl", "NaOH", "HCl", "./sub/../base.toml")}
    with pytest.raises(Refusal, match=r"the chain is circular: base\.toml rests on base\.toml"):
        evaluated(assay(titrant='worksheets = ["base.toml"]'), files)


def test_two_ways_down_to_one_standard_are_no_circle():
    """Edge case 71: the acid of an assay and its own check rest on one base; that is a tree and it is computed once."""
    files = {"base.toml": standardisation(), "acid.toml": set_against(
        "A-1", "hcl-against-naoh", "HCl", "NaOH", "base.toml")}
    outcome = evaluated(assay("caustic-soda-by-acid", name="HCl", formula="HCl", titrant='worksheets = ["acid.toml"]'),
                        files)
    assert outcome.releasable
    assert math.isfinite(outcome.result.expanded_uncertainty)
