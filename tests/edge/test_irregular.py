"""What is merely irregular is computed, told with its kind, and not released until a person has said why it may."""

import pytest

from assaywright.assay.troubles import TROUBLES
from assaywright.metrology.remarks import Severity
from tests.assay.laboratory import CERTIFIED, assay, evaluated, kinds, standardisation
from tests.edge.house import blank, certified, mean, remarks_of

TITRES = (39.81, 39.84, 39.80)
PLAIN = 0.1 * mean(TITRES) / 10
LATE = "2027-04-01"


def sheet(before="", after="", **options):
    """Return a sound assay with one thing changed."""
    text = assay(titrant=CERTIFIED, **options)
    assert before in text
    return text.replace(before, after, 1)


IRREGULAR = {
    "too few determinations": (
        assay(titrant=CERTIFIED, titres=TITRES[:2]), "too-few-replicates", 0.1 * mean(TITRES[:2]) / 10),
    "one determination": (assay(titrant=CERTIFIED, titres=TITRES[:1]), "too-few-replicates", 0.1 * TITRES[0] / 10),
    "determinations too far apart": (
        assay(titrant=CERTIFIED, titres=(39.60, 39.84, 40.00)), "replicates-not-accepted",
        0.1 * mean((39.60, 39.84, 40.00)) / 10),
    "titrant past its own date": (
        assay(titrant=f"{CERTIFIED}\nuse_before = 2026-10-11"), "titrant-past-its-date", PLAIN),
    "titrant past its life once opened": (
        assay(titrant=f"{CERTIFIED}\nopened = 2026-09-01\nin_use_days = 28"), "titrant-past-its-date", PLAIN),
    "titrant past its certificate": (
        assay(titrant=CERTIFIED.replace("issued", "due = 2026-10-11, issued")), "titrant-past-its-date", PLAIN),
    "titrant without a certificate": (
        assay(titrant=CERTIFIED.splitlines()[0]), "titrant-without-certificate", PLAIN),
    "titrant of another substance": (
        assay(titrant=CERTIFIED, formula="KOH", name="potassium hydroxide"), "titrant-of-another-kind", PLAIN),
    "burette overdue": (
        sheet('id = "B-07"', 'id = "B-07"\ncertificate = { id = "C-5", issued = 2025-01-01, due = 2026-10-11 }'),
        "calibration-overdue", PLAIN),
    "pipette overdue": (
        sheet('id = "P-02"', 'id = "P-02"\ncertificate = { id = "C-6", issued = 2025-01-01, due = 2026-10-11 }'),
        "calibration-overdue", PLAIN),
    "balance overdue": (sheet("due = 2027-03-01", "due = 2026-10-11"), "calibration-overdue", PLAIN),
    "thermometer overdue": (sheet("due = 2027-02-01", "due = 2026-10-11"), "calibration-overdue", PLAIN),
    "excluded without a name": (
        assay(titrant=CERTIFIED, titres=(*TITRES, 38.00)) + 'excluded = "spilt"\n', "excluded-without-name", PLAIN),
    "reviewer is the analyst": (
        assay(titrant=CERTIFIED, top='reviewer = " INES  okafor "\n'.replace("  ", " ")), "reviewer-is-analyst", PLAIN),
    "blank of more than a third": (
        assay(titrant=CERTIFIED, extra=blank("15.00", "neutralised solvent")), "blank-large",
        0.1 * (mean(TITRES) - 15) / 10),
    "outside its limits": (
        assay(titrant=CERTIFIED, extra='[specification]\ncharacteristic = "HCl"\nlower = "0.4 mol/L"\n'),
        "out-of-specification", PLAIN),
}


@pytest.mark.parametrize("case", IRREGULAR)
def test_irregular_input_is_computed_and_held(case):
    """Value by hand, c V / V_s; the kind of remark; not releasable, by just that kind of remark."""
    text, kind, value = IRREGULAR[case]
    outcome = evaluated(text)
    assert outcome.result.estimate.value == pytest.approx(value, rel=1e-6)
    assert kind in kinds(outcome)
    assert not outcome.releasable
    assert kind in {one.kind for one in outcome.remarks if one.holds}
    assert TROUBLES[kind][0] is Severity.HOLD


def test_the_sound_worksheet_of_these_cases_may_be_released():
    """Else none of them would show anything."""
    outcome = evaluated(assay(titrant=CERTIFIED, top='reviewer = "Mirela Anand"\n'))
    assert outcome.releasable
    assert outcome.result.estimate.value == pytest.approx(PLAIN, rel=1e-9)


@pytest.mark.parametrize(("lines", "held"), [
    ("use_before = 2026-10-04", True), ("use_before = 2026-10-05", False), ('use_before = "2026-09"', True)])
def test_a_reference_material_past_its_date_holds_the_standardisation_and_what_rests_on_it(lines, held):
    text = standardisation().replace('basis = "dried"', f'basis = "dried"\n{lines}')
    outcome = evaluated(text)
    assert ("reference-material-past-its-date" in kinds(outcome)) is held
    resting = evaluated(assay(), {"st1.toml": text})
    told = remarks_of(resting, "titrant-not-accepted")
    assert bool(told) is held
    assert resting.releasable is not held
    if held:
        assert "ST-1 is itself held back (potassium hydrogen phthalate could be used until" in told[0].what


def test_a_standardisation_that_is_held_is_passed_over_for_one_that_is_accepted():
    """"last accepted": the later one lacks replicates, so the earlier value counts and the later is told about."""
    held = standardisation("ST-2", masses=(0.7888,), titres=(38.00,)).replace("2026-10-05", "2026-10-08")
    files = {"st1.toml": standardisation(), "st2.toml": held}
    outcome = evaluated(assay(titrant='worksheets = ["st1.toml", "st2.toml"]'), files)
    assert outcome.models[0].inputs["c_t"].estimate.value == pytest.approx(
        evaluated(files["st1.toml"]).result.estimate.value, rel=1e-12)
    assert not remarks_of(outcome, "titrant-not-accepted"), "what does not enter the result does not hold it"
    (told,) = remarks_of(outcome, "titrant-left-out")
    assert "ST-2 is held back" in told.what
    # E_n by hand from the two results, which share all but their repeatability (ISO 13528:2015, 9.7; from memory).
    first, second = (evaluated(files[one]).result for one in ("st1.toml", "st2.toml"))
    assert f"{second.estimate.value - first.estimate.value:.3g}".lstrip("-")[:4] in told.what
    assert "E_n = " in told.what


def test_a_standardisation_that_was_let_pass_counts_and_says_so_while_the_remark_reads_the_same():
    held = standardisation("ST-2", masses=(0.7888,), titres=(38.00,)).replace("2026-10-05", "2026-10-08")
    files = {"st1.toml": standardisation(), "st2.toml": held}
    (remark,) = [one for one in evaluated(held).remarks if one.holds]
    both = 'worksheets = ["st1.toml", "st2.toml"]'
    let_pass = (f'{both}\naccepted = [{{ worksheet = "ST-2", kind = "{remark.kind}", what = "{remark.what}", '
                'reason = "the bottle was nearly empty", by = "Maren Tolliver", day = 2026-10-09 }]')
    outcome = evaluated(assay(titrant=let_pass), files)
    assert outcome.models[0].inputs["c_t"].estimate.value == pytest.approx(
        evaluated(held).result.estimate.value, rel=1e-12)
    assert not remarks_of(outcome, "titrant-not-accepted")
    assert "by Maren Tolliver on 9 October 2026, because: the bottle was nearly empty" in remarks_of(
        outcome, "titrant-let-pass")[0].what
    otherwise = evaluated(assay(titrant=let_pass.replace(remark.what, f"{remark.what} then")), files)
    assert remarks_of(otherwise, "titrant-left-out")


def test_a_person_who_titrated_one_determination_does_not_review_the_worksheet():
    text = assay(titrant=CERTIFIED, top='reviewer = "Jonas Feld"\n')
    assert evaluated(text).releasable
    outcome = evaluated(text + 'analyst = "Jonas Feld"\n')
    assert "reviewer-is-analyst" in kinds(outcome)
    assert not outcome.releasable


def test_remarks_are_told_all_at_once_and_each_says_where_and_what_to_do():
    text = assay(titrant=f"{certified('0.1200')}\nuse_before = 2026-10-01", titres=TITRES[:2],
                 top='reviewer = "Ines Okafor"\n')
    outcome = evaluated(text)
    assert {"titrant-past-its-date", "titrant-far-from-nominal", "too-few-replicates", "reviewer-is-analyst"} <= set(
        kinds(outcome))
    for one in outcome.remarks:
        assert one.where.startswith("ws.toml")
        assert one.remedy
        assert "\n" not in str(one)


def test_a_standardisation_far_from_nominal_says_so_itself():
    """Whoever standardises sees it, not only whoever uses the titrant: 38.62 mL read as 3.862 mL is tenfold."""
    outcome = evaluated(standardisation(titres=(3.86, 3.89, 3.79)))
    assert remarks_of(outcome, "titrant-of-another-strength")
    assert not outcome.releasable
