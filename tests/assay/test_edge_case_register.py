"""Every edge case of the job has a test that names it, or a reason why it waits for another part of the product."""

import re
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
NAMED = re.compile(r"[Ee]dge cases? (\d+(?:(?:, | and |, and )\d+)*)")

ELSEWHERE = {
    2: "a name of a strength: content units and their conversion",
    7: "non-aqueous titration",
    11: "factors of dilutions: preparation of solutions",
    18: "a blank in another bulk is told by the method's text; nothing in a worksheet shows it",
    19: "size of Mohr's blank: indicators and their error",
    21: "a standard addition at the end point: no method of that kind yet",
    22: "carbon dioxide in water: equilibria",
    23: "carbonate and the indicator: equilibria",
    24: "ageing of thiosulfate: stability",
    27: "temperature of a Volhard titration: stability of the end point",
    28: "fixed-pH end points: equilibria",
    29: "a Volhard titration without coating is told by the method's text",
    30: "chlorate beside hypochlorite: no method for it yet",
    39: "titrant by grams: tested with the simulated bench",
    47: "volumes not additive on dilution: preparation and adjustment",
    51: "significant figures: tests/metrology/test_rounding.py",
    52: "range of four against of eight: tests/metrology/test_acceptance.py",
    54: "mean of replicates correlated by titrant: tests/assay/test_evaluate.py, by its name",
    56: "relative scatter of a near-zero blank: tests/metrology/test_replicates.py",
    68: "a renamed person or instrument: records",
}


def numbers_named():
    """Return the numbers that docstrings of the tests name."""
    found = set()
    for path in TESTS.rglob("test_*.py"):
        if path.name == Path(__file__).name:
            continue
        for match in NAMED.finditer(path.read_text(encoding="utf-8")):
            found |= {int(number) for number in re.findall(r"\d+", match[1])}
    return found


def test_every_edge_case_is_tested_or_waits_for_a_reason():
    named = numbers_named()
    assert sorted(set(range(1, 72)) - named - set(ELSEWHERE)) == []


def test_no_reason_stands_for_an_edge_case_that_is_tested():
    assert sorted(numbers_named() & set(ELSEWHERE)) == []
