"""Worksheets in the records give the same digits as the files they came from, and go out again as files.

The evaluation of the files themselves is what the outside references check; here the two roads to it are compared.
"""

import pytest

pytestmark = pytest.mark.usefixtures("laboratory")


def from_files(demonstration, number):
    from assaywright.assay.evaluate import evaluate_worksheet
    from assaywright.assay.worksheet import parse_worksheet

    name = next(name for name, data in demonstration.items()
                if f'id = "{number}"'.encode() in data and not name.startswith("what-if"))
    return evaluate_worksheet(parse_worksheet(demonstration[name], name), demonstration.__getitem__)


def test_every_assay_gives_the_digits_of_its_file(demonstration):
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    assays = list(Assay.objects.all())
    assert len(assays) == 7
    for assay in assays:
        ours, theirs = evaluate_assay(assay), from_files(demonstration, assay.identity)
        assert ours.result.estimate.value == theirs.result.estimate.value
        assert ours.result.expanded_uncertainty == theirs.result.expanded_uncertainty
        assert [one.kind for one in ours.remarks] == [one.kind for one in theirs.remarks]
        assert {p.key: p.amount for p in ours.result.estimate.contributions} == {
            p.key: p.amount for p in theirs.result.estimate.contributions}


def test_an_exported_assay_gives_the_same_digits_on_the_command_line(tmp_path, capsys):
    import json

    from assaywright.cli import main
    from assaywright.records.bridge import evaluate_assay, export
    from assaywright.records.models import Assay

    assay = Assay.objects.get(pk="WS-26-0903")
    for name, data in export(assay).items():
        (tmp_path / name).write_bytes(data)
    assert sorted(one.name for one in tmp_path.iterdir() if one.suffix == ".toml") == [
        "WS-26-0871.toml", "WS-26-0874.toml", "WS-26-0878.toml", "WS-26-0903.toml"]
    assert main(["evaluate", str(tmp_path / "WS-26-0903.toml"), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)["result"]
    outcome = evaluate_assay(assay)
    assert told["value"] == outcome.result.estimate.value
    assert told["standard_uncertainty"] == outcome.result.estimate.standard_uncertainty


def test_every_lot_is_decided_as_its_file_is(demonstration):
    from assaywright.assay.evaluate_lot import evaluate_lot
    from assaywright.assay.worksheet import read_bytes
    from assaywright.records.bridge import evaluate_lot_record
    from assaywright.records.models import Lot

    for lot in Lot.objects.all():
        name = next(name for name in demonstration if name.startswith(f"lots/{lot.identity}"))
        theirs = evaluate_lot(read_bytes(demonstration[name], name), demonstration.__getitem__)
        ours = evaluate_lot_record(lot)
        assert ours.releasable == theirs.releasable
        assert [one.decision and (one.decision.decision, one.decision.compared) for one in ours.characteristics] == [
            one.decision and (one.decision.decision, one.decision.compared) for one in theirs.characteristics]


def test_the_tables_can_be_made_anew_from_the_events():
    from assaywright.records import rebuild
    from assaywright.records.check import check_records
    from assaywright.records.projections import projected_models

    before = {model: list(rebuild.rows(model)) for model in projected_models()}
    assert sum(map(len, before.values())) > 30
    assert rebuild.rebuild() > 30
    assert {model: list(rebuild.rows(model)) for model in projected_models()} == before
    assert not check_records().faults


def test_a_table_changed_by_hand_is_named():
    from assaywright.records.check import check_records
    from assaywright.records.models import Assay, Lot, Person

    Lot.objects.filter(pk="0943").update(state="released")
    Person.objects.filter(pk="ines").update(roles="authorised signatory")
    Assay.objects.filter(pk="WS-26-0903").delete()
    told = check_records().faults
    assert sorted(told) == [
        "assay WS-26-0903 is missing from the table, though an event made it",
        "lot 0943: state is 'released', by the events 'made'",
        "person ines: roles is 'authorised signatory', by the events 'analyst'",
    ]


def test_a_second_import_leaves_what_is_there(laboratory, demonstration):
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.records.models import Event

    number = Event.objects.count()
    again = WorksheetImport(demonstration.__getitem__, "maren")
    assert again.worksheet("worksheets/0941-acetic-acid.toml") == "WS-26-0903"
    assert Event.objects.count() == number


def changed_files(demonstration, before, after):
    files = {**demonstration}
    name = "worksheets/0941-acetic-acid.toml"
    assert before in files[name].decode()
    return {**files, name: files[name].decode().replace(before, after, 1).encode()}, name


@pytest.mark.parametrize(("before", "after", "named"), [
    ('final = "40.42 mL"', 'final = "40.24 mL"', "determination 2, final is '40.42 mL' there and '40.24 mL' here"),
    ('analyst = "', 'note = "typed once more"\nanalyst = "', "note is not stated there and 'typed once more' here"),
])
def test_a_worksheet_on_record_with_other_contents_is_refused_and_the_field_named(demonstration, before, after, named):
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.metrology.refusal import Refusal
    from assaywright.records.models import Event

    files, name = changed_files(demonstration, before, after)
    number = Event.objects.count()
    with pytest.raises(Refusal, match="is on record otherwise") as refused:
        WorksheetImport(files.__getitem__, "runa").worksheet(name)
    assert named in str(refused.value)
    assert Event.objects.count() == number


def test_whoever_imports_has_worked_on_it_and_a_second_person_looks_at_all_of_it(demonstration):
    """That nobody checks their own work: common practice, no source."""
    from assaywright.actions.assays import assay_review, assay_send, sha256_of
    from assaywright.actions.characteristics import characteristic_check
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.metrology.refusal import Refusal
    from assaywright.records.investigated import unchecked
    from assaywright.records.models import Assay

    assay_send(identity="WS-26-0903", by="ines")
    sheet = Assay.objects.get(pk="WS-26-0903")
    with pytest.raises(Refusal, match="Runa Eklund has worked on WS-26-0903"):
        assay_review(identity="WS-26-0903", by="runa", worksheet_sha256=sha256_of(sheet))
    name = "lots/0941.toml" if "lots/0941.toml" in demonstration else next(
        one for one in demonstration if one.startswith("lots/0941"))
    files = {**demonstration, name: demonstration[name].replace(b'id = "0941"', b'id = "0971"', 1)}
    assert WorksheetImport(files.__getitem__, "runa").lot(name) == "0971"
    assert len(unchecked("0971")) == 3
    with pytest.raises(Refusal, match="Runa Eklund has entered"):
        characteristic_check(identity="0971", by="runa")
    characteristic_check(identity="0971", by="jonas")
    assert unchecked("0971") == []
