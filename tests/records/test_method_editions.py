"""A result keeps the edition of its method, and with it its digits, when a later edition comes into force.

A result on record is reproduced from the raw data of its time: ISO/IEC 17025:2017, 7.5.1 and 7.11.3.
"""

import tomllib

import pytest

from assaywright.assay import method as methods
from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.refusal import Refusal
from tests.records.test_acts import act, sent

pytestmark = pytest.mark.usefixtures("laboratory")
NAME = "caustic-soda-two-endpoints"


def no_file(path):
    raise AssertionError(f"nothing rests on another file, and {path} was asked for")


@pytest.fixture
def as_before_the_later_edition(monkeypatch):
    """The program as it was when edition 2 was in force; called, it is as it is now again."""
    now = methods.library_text
    with monkeypatch.context() as before:
        before.setattr(methods, "library_text", lambda name, edition="": now(name, "2" if name == NAME else edition))
        before.setattr(methods, "earlier_editions", lambda _name: ())
        methods.load_method.cache_clear()
        yield before.undo
    methods.load_method.cache_clear()


def test_a_result_on_record_keeps_its_edition_and_a_new_worksheet_has_the_one_in_force(as_before_the_later_edition):
    from assaywright.assay.method import load_method
    from assaywright.records.bridge import evaluate_assay, export, worksheet_bytes
    from assaywright.records.methods import method_by
    from assaywright.records.models import Assay, Result
    from assaywright.records.recompute import recompute
    from assaywright.records.toml_text import from_toml

    heading = from_toml(tomllib.loads(load_method(NAME).example.worksheet))
    readings = heading.pop("determination") * 3
    first = heading["id"]
    for number, one in enumerate([first, "WS-EX-LATER"]):
        if number:
            as_before_the_later_edition()
            methods.load_method.cache_clear()
        lot = f"04{number}9"
        act("assays.assay_begin", heading={**heading, "id": one, "sample": {**heading["sample"], "lot": lot}},
            about=lot, rests_on=[], by="ines")
        for place, fields in enumerate(readings, 1):
            final = f"{float(fields['final'].split()[0]) + place / 100:.2f} mL"
            act("assays.determination_record", identity=one, place=place, fields={**fields, "final": final}, by="ines")
        sent(one)
    kept, later = (Assay.objects.get(pk=one) for one in (first, "WS-EX-LATER"))
    for assay, edition in ((kept, "2"), (later, "3")):
        outcome, row = evaluate_assay(assay), Result.objects.get(assay=assay.identity)
        assert outcome.method_edition == row.content["method_edition"] == edition
        assert repr(outcome.result.estimate.value) == row.value
        assert method_by(assay).edition == edition
    assert Result.objects.get(assay=first).value != Result.objects.get(assay="WS-EX-LATER").value
    assert [one.differences for one in recompute([first, "WS-EX-LATER"])] == [(), ()]
    # what is taken along says its edition, so that it gives the same elsewhere; what was signed stays as it was
    taken = export(kept)[kept.path]
    assert b'method_edition = "2"' in taken
    assert b"method_edition" not in worksheet_bytes(kept) + export(later)[later.path]
    again = evaluate_worksheet(parse_worksheet(taken, kept.path), no_file)
    assert repr(again.result.estimate.value) == Result.objects.get(assay=first).value
    assert evaluate_assay(kept).worksheet.digest == Result.objects.get(assay=first).worksheet_sha256


def test_an_edition_that_is_not_held_is_refused_with_those_that_are():
    text = methods.load_method(NAME).example.worksheet.replace("analyst", 'method_edition = "9"\nanalyst', 1)
    with pytest.raises(Refusal, match=r"has no edition '9' here.*its editions are 2 and 3"):
        evaluate_worksheet(parse_worksheet(text.encode(), "sheet.toml"), no_file)
