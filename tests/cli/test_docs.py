"""The pages about worksheets and commands: every field and option stands there, and every example is evaluated."""

import json
import re
from pathlib import Path

import pytest

from assaywright.assay.lot import CHARACTERISTIC_FIELDS, LOT_FIELDS
from assaywright.assay.reading.determinations import BLANK_FIELDS, DETERMINATION_FIELDS, DILUTION_FIELDS
from assaywright.assay.reading.equipment import (
    AIR_FIELDS,
    BALANCE_FIELDS,
    CERTIFICATE_FIELDS,
    THERMOMETER_FIELDS,
    VESSEL_FIELDS,
)
from assaywright.assay.reading.materials import AGAINST_FIELDS, SAMPLE_FIELDS, STANDARD_FIELDS
from assaywright.assay.reading.report import REPORT_FIELDS, RULES, SPECIFICATION_FIELDS
from assaywright.assay.worksheet import HEADING_FIELDS, TABLE_FIELDS
from assaywright.cli.opening import VERBS
from assaywright.metrology.units import UNITS
from tests.cli.terminal import call

DOCS = Path(__file__).resolve().parents[2] / "docs"
WORKSHEETS = (DOCS / "worksheet.md").read_text(encoding="utf-8")
COMMANDS = (DOCS / "commands.md").read_text(encoding="utf-8")
EXAMPLES = dict(re.findall(r"<!-- file: (\S+) -->\n```toml\n(.*?)```", WORKSHEETS, re.DOTALL))

FIELDS = (
    *AGAINST_FIELDS, *AIR_FIELDS, *BALANCE_FIELDS, *BLANK_FIELDS, *CERTIFICATE_FIELDS, *CHARACTERISTIC_FIELDS,
    *DETERMINATION_FIELDS, *DILUTION_FIELDS, *HEADING_FIELDS, *LOT_FIELDS, *REPORT_FIELDS, *SAMPLE_FIELDS,
    *SPECIFICATION_FIELDS, *STANDARD_FIELDS, *THERMOMETER_FIELDS, *VESSEL_FIELDS,
)


@pytest.fixture
def laboratory(tmp_path):
    """Return a folder with the files that the page shows."""
    for name, text in EXAMPLES.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def test_every_field_and_table_of_a_worksheet_is_explained():
    named = set(re.findall(r"`([a-z_]+)(?: = [^`]*)?`", WORKSHEETS))
    assert not set(FIELDS) - named
    assert not {table for table in TABLE_FIELDS if not re.search(rf"\[{table}[.\]]|`\[{table}\]`", WORKSHEETS)}


def test_every_unit_and_every_decision_rule_is_named():
    assert not {unit.symbol for unit in UNITS if f"`{unit.symbol}`" not in WORKSHEETS}
    assert not {rule for rule in RULES if f'`"{rule}"`' not in WORKSHEETS}


@pytest.mark.parametrize("verb", VERBS)
def test_every_verb_and_every_option_is_explained(verb):
    section = COMMANDS.split(f"\n## `{verb}", 1)[1].split("\n## ", 1)[0]
    options = set(re.findall(r"(?<![\w-])--?[a-z][a-z-]*", call(verb, "--help").output)) - {"-h", "--help"}
    assert not {option for option in options if option not in section}


def test_every_key_of_the_json_is_explained(laboratory):
    def keys(record):
        if isinstance(record, dict):
            return set(record).union(*map(keys, record.values()))
        return set().union(*map(keys, record)) if isinstance(record, list) else set()

    found = keys(json.loads(call("evaluate", laboratory / "0417.toml", "--json").output)) - {"text", "less_than"}
    found |= keys(json.loads(call("evaluate", laboratory / "ws.toml", "--json", "--monte-carlo", 2000).output))
    assert not {key for key in found if f"`{key}`" not in COMMANDS}


def test_the_examples_are_evaluated_and_rest_on_one_another(laboratory):
    standardisation = json.loads(call("evaluate", laboratory / "std-1.toml", "--json").output)
    assert standardisation["result"]["factor"] == pytest.approx(1.0016, abs=0.0005)
    keys = {line["key"] for line in standardisation["budget"]}
    assay = json.loads(call("evaluate", laboratory / "ws.toml", "--json").output)
    assert keys & {line["key"] for line in assay["budget"]}


def test_the_weighed_assay_of_the_page_is_what_a_pocket_calculator_makes_of_it(laboratory):
    """Hand calculation: 39.98 mL × 1.0016 mol/L × 39.997 g/mol / 9.7648 g × 1.2191 g/mL / 10 = 19.996 % w/v, less what
    burette temperature (−0.05 %) and air buoyancy (−0.08 % of the result) take."""
    assay = json.loads(call("evaluate", laboratory / "ws.toml", "--json").output)
    by_hand = 39.98 * 1.0016 * 39.997 / 9.7648 * 1.2191 / 10
    assert assay["determinations"][0]["value"] == pytest.approx(by_hand, rel=0.002)


def test_the_lot_of_the_page_is_certified(laboratory):
    answer = call("certify", laboratory / "0417.toml", "-o", laboratory / "c.pdf")
    assert (answer.status, answer.errors) == (0, "")
