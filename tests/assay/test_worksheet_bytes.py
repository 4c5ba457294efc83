"""Bytes of every kind: a worksheet, or one sentence that says why there is none."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assaywright.assay.observations import Lot, Worksheet
from assaywright.assay.toml_reader import MOST_BYTES, check_size
from assaywright.assay.worksheet import read_bytes
from assaywright.metrology.refusal import Refusal
from tests.assay.sheets import ASSAY, LOT, STANDARDISATION, back_titration

# --- bytes ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"", "the file is empty"),
        (b" \n\n", "the file is empty"),
        (b"\xef\xbb\xbf", "the file is empty"),
        (b"PK\x03\x04\x00\x00", "NUL bytes, so it is no text file"),
        (b'title = "caf\xe9"', "line 1 holds a byte (0xe9) that is not UTF-8; save the file as UTF-8"),
        (ASSAY.encode("utf-16"), "written in UTF-16; save it as UTF-8"),
        (b"a = 1\nb = \n", "not TOML at line 2 (b =): invalid value"),
        (b"a = 1\na = 2\n", "at line 2 (a = 2): a field is given twice"),
        (b'a = "x', "a text is not closed with a quotation mark"),
        (b"a = [1,", "not TOML at"),
        (b"a = " + b"[" * 20_000, "tables or numbers that no worksheet has"),
        (b"a = " + b"9" * 5_000, "tables or numbers that no worksheet has"),
        (b"a = 2026-02-30", "not TOML at"),
    ],
)
def test_bytes_that_hold_no_worksheet_are_refused(data, sentence):
    with pytest.raises(Refusal) as caught:
        read_bytes(data, "ws.toml")
    told = str(caught.value)
    assert told.startswith("ws.toml: ")
    assert sentence in told
    assert told.isprintable()


def test_a_file_above_five_megabytes_is_refused_by_its_size():
    with pytest.raises(Refusal, match=r"ws.toml: the file has 6.0 MB, and a worksheet has at most 5 MB"):
        check_size(6_000_000, "ws.toml")
    with pytest.raises(Refusal, match="at most 5 MB"):
        read_bytes(b"#" * (MOST_BYTES + 1), "ws.toml")
    padded = ASSAY.encode() + b"#" * (MOST_BYTES - len(ASSAY.encode()))
    assert read_bytes(padded, "ws.toml").identity == "WS-26-0412"


# --- anything at all --------------------------------------------------------------------------------------------------


def assert_read_or_refused(data):
    """Assert that the bytes give observations or one printable sentence; anything else that is raised is a failure."""
    try:
        found = read_bytes(data, "ws.toml")
    except Refusal as refusal:
        found = str(refusal)
    if isinstance(found, str):
        assert found.startswith("ws.toml: ")
        assert found.endswith(".")
        assert found.isprintable()
    else:
        assert isinstance(found, Worksheet | Lot)


@given(st.binary(max_size=300))
def test_any_bytes_are_read_or_refused(data):
    assert_read_or_refused(data)


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text):
    assert_read_or_refused(text.encode("utf-8", errors="replace"))


SHEETS = st.sampled_from([ASSAY, STANDARDISATION, LOT, back_titration()])
VALUES = st.sampled_from([
    '""', '"x"', "0", "-1", "1.5", "nan", "inf", "true", "[]", "[[]]", "{}", '{ id = "x" }', "2026-10-12", "09:30:00",
    "2026-10-12T09:30:00Z", '"24.50 mL"', '"nan mL"', '"1e400 mL"', '"1,002 mL"', '"-5 g"', '"2026-11"', '"\\u0000"',
    '"\\u001b[31m"', '[["0 mL", "1 mL"]]', '[["0 mL"]]', '[1, "a"]', "0x" + "f" * 5000, "'''a\nb'''",
    '"5 mL ± 1 mL"', '"99.97 % ± 0.07 %, k = 2"', "[{}]", '"±"',
])


@given(SHEETS, st.data())
def test_a_worksheet_with_any_value_in_any_field_is_read_or_refused(text, data):
    lines = text.splitlines()
    fields = [number for number, line in enumerate(lines) if " = " in line]
    for number in data.draw(st.lists(st.sampled_from(fields), min_size=1, max_size=3)):
        lines[number] = f"{lines[number].split(' = ')[0]} = {data.draw(VALUES)}"
    assert_read_or_refused("\n".join(lines).encode())


@given(SHEETS, st.data())
def test_a_worksheet_with_lines_lost_doubled_or_moved_is_read_or_refused(text, data):
    lines = text.splitlines()
    for _ in range(data.draw(st.integers(1, 4))):
        number = data.draw(st.integers(0, len(lines) - 1))
        line = lines.pop(number) if data.draw(st.booleans()) else lines[number]
        if data.draw(st.booleans()):
            lines.insert(data.draw(st.integers(0, len(lines))), line)
    assert_read_or_refused("\n".join(lines).encode())


@given(SHEETS, st.data())
def test_a_worksheet_with_letters_changed_is_read_or_refused(text, data):
    letters = list(text)
    for _ in range(data.draw(st.integers(1, 5))):
        letters[data.draw(st.integers(0, len(letters) - 1))] = data.draw(st.text(max_size=2))
    assert_read_or_refused("".join(letters).encode("utf-8", errors="replace"))
