"""What cannot be is refused: dates out of order, amounts nobody has, limits below zero, results no method gives.

Contents are not negative, and a stated nominal is above zero: by definition of the quantities (ISO 80000-9). The bounds
of 1990, 30 mol/L and 100 000 L: common practice, no source.
"""

import json
from dataclasses import asdict

import pytest

from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, issued
from tests.records.test_irregularities import pdf_text

pytestmark = pytest.mark.usefixtures("laboratory")
SOLUTION = {"name": "sodium hydroxide", "formula": "NaOH", "nominal": "0.5 mol/L"}


def prepared(volume="1 L", day="2026-11-02", **table):
    return act("solutions.solution_prepare", identity="T-0999", by="ines", prepared=day, volume=volume,
               table={**SOLUTION, **table})


def test_a_solution_that_cannot_be_is_refused():
    for refused, said in {
        "has not come yet": {"day": "2099-01-01"}, "before 1990": {"day": "1989-12-31"},
        "before the day on which it was prepared": {"use_before": "2026-10"},
        "is above 30 mol/L": {"nominal": "31 mol/L"},
        "is above 100000 L": {"volume": "100001 L"}, "is not above zero": {"volume": "0 L"},
    }.items():
        with pytest.raises(Refusal, match=refused):
            prepared(**said)
    prepared(use_before="2026-11", nominal="30 mol/L", volume="100000 L")


def test_a_lot_and_a_sample_that_cannot_be_are_refused():
    with pytest.raises(Refusal, match="before 1990"):
        act("lots.lot_make", identity="0951", by="ines",
            table={"product": "acetic acid 30 % w/w", "made": {"date": "1989-12-31"}})
    with pytest.raises(Refusal, match="before the sample was taken"):
        act("lots.lot_sample", identity="0941", by="ines", taken="2026-11-28", where="tank 3",
            retained_until="2026-11-27")


def test_maker_and_storage_are_asked_for_in_one_sentence():
    act("products.product_define", name="vinegar", by="jonas",
        definition={"characteristics": [{"name": "appearance", "required": "clear"}]})
    with pytest.raises(Refusal, match="the maker and the storage are missing"):
        act("lots.lot_make", identity="0951", by="ines", table={"product": "vinegar"})


ACID = {"name": "content of acetic acid", "method": "acetic-acid-by-naoh", "lower": "29.5 % w/w"}


def test_a_specification_that_no_method_can_answer_is_refused():
    for refused, one in {
        "is in mol/L, and the method acetic-acid-by-naoh": {**ACID, "lower": "1 mol/L"},
        "gives no result 'hydroxide'": {**ACID, "measurand": "hydroxide"},
        "is for standardising a solution": {**ACID, "method": "naoh-by-khp"},
        "names the result of a method, and no method": {"name": "x", "lower": "1 g/L", "measurand": "x"},
        "lies below zero": {**ACID, "lower": "-1 % w/w"},
        'belongs to the rule "rounding method"': {**ACID, "rounding_step": "0.1"},
    }.items():
        with pytest.raises(Refusal, match=refused):
            act("products.product_define", name="vinegar", by="jonas", definition={"characteristics": [one]})
    act("products.product_define", name="vinegar", by="jonas", definition={
        "characteristics": [{**ACID, "rule": "rounding method", "rounding_step": "0.1"}]})


def test_limits_of_a_titrant_have_their_unit():
    with pytest.raises(Refusal, match="lower"):
        act("solutions.solution_specify", identity="T-0917", by="jonas", table={
            "maker": "Tarn Hollow Reagents", "limits": {"name": "amount concentration", "lower": "0.49"}})


def test_the_label_of_a_discarded_solution_says_so():
    from assaywright.records.models import Solution
    from assaywright.records.selectors.labels import label_of_solution

    assert not label_of_solution(Solution.objects.get(pk="T-0917"), "").warning
    act("solutions.solution_discard", identity="T-0917", by="ines", reason="all of it was used up")
    assert label_of_solution(Solution.objects.get(pk="T-0917"), "").warning == "DISCARDED"


def test_in_place_of_a_withdrawn_certificate_a_new_one_is_issued_that_says_so_in_german_too():
    from assaywright.records.files import read
    from assaywright.records.models import Certificate
    from assaywright.records.selectors.certificates import certificate_shown

    issued()
    number = Certificate.objects.get(lot="0941").number
    act("certificates.certificate_withdraw", number=number, by="maren", reason="sent to the wrong customer")
    event = act("certificates.certificate_amend", number=number, by="maren", changed="sent to the right customer",
                language="de")
    told = json.loads(event.payload)
    assert (event.kind, event.subject, told["supersedes"]) == ("certificate.issued", f"{number[:-1]}2", number)
    shown = certificate_shown(Certificate.objects.get(pk=event.subject))
    assert asdict(shown.replaces) == told["replaces_withdrawn"]
    assert (shown.replaces.number, shown.replaces.because) == (number, "sent to the wrong customer")
    printed = pdf_text(read(told["pdf_sha256"]))
    assert f"Dieses Zertifikat ersetzt {number}, zurückgezogen am" in printed
    assert "sent to the wrong customer" in printed
