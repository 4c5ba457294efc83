"""The worked examples of method files that a publication prints, each evaluated end to end from its worksheet."""

from collections.abc import Iterator

import pytest

from assaywright.assay.evaluate import evaluate_worksheet
from assaywright.assay.method import load_method, method_names
from assaywright.assay.worksheet import parse_worksheet
from assaywright.metrology.units import conversion
from tests.published.rows import PublishedRow, as_parameters, assert_agrees

NOT_PRINTED = {("caustic-soda-two-endpoints", ""): "the item prints the two components, not their total"}


def no_file(path: str) -> bytes:
    raise AssertionError(f"an example rests on no other file, and {path} was asked for")


def published_rows() -> Iterator[PublishedRow]:
    for name, example in ((one, each) for one in method_names() for each in load_method(one).examples):
        if not example.status.startswith("published"):
            continue
        status = "from memory" if "from memory" in example.status else "read"
        outcome = evaluate_worksheet(parse_worksheet(example.worksheet.encode(), name), no_file)
        by_name = {one.measurand: one for one in outcome.results}
        for expected in example.expected:
            if (name, expected.measurand) in NOT_PRINTED:
                continue
            result = by_name[expected.measurand] if expected.measurand else outcome.result
            ours = result.estimate.value * conversion(result.estimate.unit, expected.value.unit)[0]
            yield PublishedRow(
                example.source, example.clause.partition(":")[0], f"{result.measurand} [{expected.value.unit}]",
                str(expected.value.value), ours, expected.tolerance if expected.reason else None, status,
                expected.reason,
            )


@pytest.mark.parametrize("row", as_parameters(published_rows()))
def test_the_example_of_a_method_is_the_published_one(row: PublishedRow) -> None:
    assert_agrees(row)


def test_published_examples_stand_for_acids_silver_iodine_and_dichromate() -> None:
    methods = [load_method(name) for name in method_names()]
    published = [one for one in methods for example in one.examples if example.status.startswith("published")]
    assert {one.type for one in published} >= {"acid-base", "argentometric", "iodometric", "dichromate"}
    expected = [figure for one in methods for example in one.examples if example.status.startswith("published")
                for figure in example.expected]
    assert len(list(published_rows())) == len(expected) - len(NOT_PRINTED)
