"""Of two standardisations the page and the next worksheet go by the same one: the last that counts.

That a value held back does not serve until somebody in charge has judged it: common practice, no source. E_n itself is
checked among the comparisons of the metrology floor.
"""

from datetime import date
from decimal import Decimal

import pytest

from tests.records.test_acts import act, reviewed_all
from tests.records.test_irregularities import accept, holds_of

pytestmark = pytest.mark.usefixtures("laboratory")


def two_of_one_titrant():
    """The later standardisation of the acid with one reading far from the others, both reviewed; earlier and later."""
    from assaywright.records.models import Assay, Determination

    earlier, later = Assay.objects.filter(about="T-0917", kind="standardisation").order_by("performed", "identity")
    row = Determination.objects.filter(assay=later.pk).order_by("place").first()
    final = Decimal(row.content["final"].removesuffix(" mL")) + Decimal("0.60")
    act("assays.determination_correct", identity=later.pk, place=row.place, by="ines",
        fields={**row.content, "final": f"{final} mL"}, reason="read from the protocol")
    reviewed_all(earlier.pk, later.pk)
    assert holds_of(later.pk)
    assert not holds_of(earlier.pk)
    return earlier, later


def shown():
    from assaywright.records.models import Solution
    from assaywright.records.selectors.solutions import solution_shown

    return solution_shown(Solution.objects.get(pk="T-0917"), date(2026, 11, 30))


def listed():
    from assaywright.records.models import Solution
    from assaywright.records.selectors.solutions import solution_lines

    (line,) = solution_lines(date(2026, 11, 30), [Solution.objects.get(pk="T-0917")])
    return line.in_force.worksheet


def stated():
    from assaywright.actions.headings import Chosen, known_solution

    return known_solution(Chosen("sodium-carbonate-by-acid", "0941", {"titrant": "T-0917"}), "titrant")[0]


def used_by(table):
    """The value that a worksheet goes by whose heading states the solution so."""
    from assaywright.assay.evaluate import evaluate_worksheet
    from assaywright.assay.worksheet import FORMAT, parse_worksheet
    from assaywright.records.bridge import determinations_of, open_by_path
    from assaywright.records.models import Assay
    from assaywright.records.toml_text import toml_text

    assay = Assay.objects.get(pk="WS-26-0878")
    heading = {**assay.content, "against": {**assay.content["against"], **table}}
    text = toml_text({"format": FORMAT, **heading, "determination": [one for _, one in determinations_of(assay)]})
    outcome = evaluate_worksheet(parse_worksheet(text.encode(), "new.toml"), open_by_path)
    return outcome, [one.identity for one in next(
        link for link in outcome.chain.rests_on if link.kind == "titrant").rests_on]


def test_where_both_count_both_figures_are_shown_with_what_each_worksheet_takes():
    """0.50178 and 0.50189 mol/L make 0.501835; soda and the hydroxide were titrated by the mean, as their files say."""
    found = shown()
    assert (found.in_force.worksheet, found.in_force.value) == ("WS-26-0874", "0.50189")
    assert found.several.of == ("WS-26-0871", "WS-26-0874")
    mean, _, uncertainty = found.several.mean.removesuffix(" mol/L").partition(" ± ")
    assert float(mean) == pytest.approx((0.50178 + 0.50189) / 2, abs=1.1e-5)
    assert float(uncertainty) < float(found.in_force.uncertainty), "what they do not share is averaged"
    taken = dict(found.several.taken)
    assert set(taken) == {"mean of accepted"}
    assert {"WS-26-0878", "WS-26-0906"} <= set(taken["mean of accepted"])
    (told,) = found.several.compared
    assert told.startswith("WS-26-0871 and WS-26-0874: E_n = −0.")
    assert "they agree" in told
    two_of_one_titrant()
    assert shown().several is None, "one is held back"


def test_one_that_is_held_back_is_left_out_on_the_page_in_the_list_and_in_the_next_worksheet_alike():
    earlier, later = two_of_one_titrant()
    assert shown().in_force.worksheet == earlier.pk == listed()
    (told,) = shown().left_out
    assert told.startswith(f"{later.pk} does not count: ")
    assert f"{earlier.pk} counts; between the two E_n = " in told
    assert "accepted" not in stated()
    outcome, rests_on = used_by(stated())
    assert rests_on == [earlier.pk]
    assert "titrant-left-out" in {one.kind for one in outcome.remarks}


def test_once_it_is_let_pass_it_counts_for_what_is_begun_from_then_on_and_changes_nothing_before():
    earlier, later = two_of_one_titrant()
    before = stated()
    for one in holds_of(later.pk):
        accept(later.pk, one)
    assert shown().in_force.worksheet == later.pk == listed()
    assert "let pass by Maren Tolliver" in shown().in_force.let_pass
    assert shown().left_out == ()
    assert used_by(before)[1] == [earlier.pk], "what was begun before goes by what was in force then"
    outcome, rests_on = used_by(stated())
    assert rests_on == [later.pk]
    kinds = {one.kind for one in outcome.remarks}
    assert "titrant-let-pass" in kinds
    assert "titrant-not-accepted" not in kinds


def test_a_certificate_lists_what_was_let_pass_of_a_standardisation_that_enters_the_result_and_of_no_other():
    from assaywright.assay.evaluate_lot import evaluate_lot
    from assaywright.assay.worksheet import read_bytes
    from assaywright.records.bridge import evaluate_lot_record, lot_bytes, open_by_path
    from assaywright.records.models import Assay, Lot

    _, later = two_of_one_titrant()
    held = holds_of(later.pk)
    for one in held:
        accept(later.pk, one)
    lot = Lot.objects.get(pk="0941")
    assert evaluate_lot_record(lot).accepted == (), "the hydroxide was set before, by the earlier value"
    heading = Assay.objects.get(pk="WS-26-0878").content
    act("assays.assay_amend", identity="WS-26-0878", by="ines", reason="the value that was let pass counts",
        heading={**heading, "against": {**heading["against"], **stated()}}, rests_on=["WS-26-0871", "WS-26-0874"])
    found = evaluate_lot_record(lot).accepted
    assert [one.what for one in found] == [one["what"] for one in held]
    assert {one.where for one in found} == {f"worksheet {later.pk}"}
    as_files = evaluate_lot(read_bytes(lot_bytes(lot), "lot-0941.toml"), open_by_path)
    assert as_files.accepted == found, "the files that are taken along say the same to a certificate made of them"
