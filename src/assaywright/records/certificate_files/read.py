"""A certificate's file, whichever it is, read into the table of an instrument or of a reference material."""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.records.certificate_files import calibration_xml, material_xml
from assaywright.records.certificate_files.into_table import table_from
from assaywright.records.certificate_files.sheet import read_sheet
from assaywright.records.certificate_files.stated import Stated
from assaywright.records.certificate_files.table_file import read_material_file, read_table_file
from assaywright.records.certificate_files.xml_tree import Element, read_xml

MOST_BYTES = 1_000_000
Fill = Callable[[Stated], tuple[dict[str, Any], tuple[str, ...]]]
UTF_16 = (b"\xff\xfe", b"\xfe\xff")  # the byte-order marks in front
OURS, XML, SHEET = "our own table", "digital certificate", "spreadsheet"


@dataclass(frozen=True)
class FileRead:
    """What was read from a file.

    Fields:
        name: of the file, as people know it.
        sha256: its hash [hexadecimal].
        what: kind of file, in words.
        table: the fields that it fills.
        notes: sentences about what was read how, and what was not.
    """

    name: str
    sha256: str
    what: str
    table: dict[str, Any]
    notes: tuple[str, ...]


def read_calibration_file(
    data: bytes, name: str, *, kind: str, identity: str, sign: str, against_heading: bool | None = False
) -> FileRead:
    """Return what a file states of an instrument's calibration.

    Arguments:
        name: of the file; ``.toml`` says that it is our own table.
        kind: of the instrument.
        identity: its number; empty for a new one.
        sign: what a column of glass states, a key of :data:`stated.SIGNS`; not asked of our own table.
        against_heading: whether the person says that the column's heading means the other; None where either is taken.

    Raises:
        Refusal: it is empty, too large or of a kind that is not read, or what it states is not unambiguous.
    """
    try:
        return _calibration(data, name, kind, identity,
                            partial(table_from, kind=kind, sign=sign, against_heading=against_heading))
    except Refusal as refusal:
        raise refusal.at(name[:60]) from None


def _calibration(data: bytes, name: str, kind: str, identity: str, fill: Fill) -> FileRead:
    what, root = _kind_of(data, name)
    if what == OURS:
        return FileRead(name, _sha256(data), what, read_table_file(_in_utf_8(data), kind, identity), ())
    stated = read_sheet(_in_utf_8(data)) if root is None else _of_root(root, identity)
    table, notes = fill(stated)
    if root is None and identity and stated.numbers and identity not in stated.numbers:
        raise Refusal(f"it is of {stated.numbers[0][:60]}, and this page is of {identity}",
                      remedy="read it on the page of that instrument")
    return FileRead(name, _sha256(data), what, table, notes)


def _of_root(root: Element, identity: str) -> Stated:
    if (root.space, root.name) == (material_xml.SPACE, material_xml.ROOT):
        raise Refusal("it is the certificate of a reference material, and not of an instrument", where=root.where,
                      remedy="read it where a reference material is received")
    _known(root, calibration_xml.SPACE, calibration_xml.ROOT)
    return calibration_xml.read_calibration_xml(root, identity)


def read_material_certificate(data: bytes, name: str) -> FileRead:
    """Return what a file states of a reference material.

    Raises:
        Refusal: as for :func:`read_calibration_file`; a spreadsheet is not read.
    """
    try:
        return _material(data, name)
    except Refusal as refusal:
        raise refusal.at(name[:60]) from None


def _material(data: bytes, name: str) -> FileRead:
    what, root = _kind_of(data, name)
    if what == OURS:
        return FileRead(name, _sha256(data), what, read_material_file(data), ())
    if root is None:
        raise Refusal("a reference material's certificate is not read from a spreadsheet",
                      remedy="read its digital certificate in XML, or type it in")
    _known(root, material_xml.SPACE, material_xml.ROOT)
    table, notes = material_xml.read_material_xml(root)
    return FileRead(name, _sha256(data), what, table, notes)


def _kind_of(data: bytes, name: str) -> tuple[str, Element | None]:
    """Return which kind of file it is, and the root of one in XML."""
    if not data.strip():
        raise Refusal("the file is empty", remedy="choose another")
    if len(data) > MOST_BYTES:
        raise Refusal(f"the file is larger than {MOST_BYTES // 1_000_000} MB", remedy="type the certificate in")
    if data.lstrip().startswith(b"%PDF"):
        raise Refusal("a PDF is for people to read", remedy="type the certificate in, or ask for it as a table or XML")
    if _in_utf_8(data).removeprefix(b"\xef\xbb\xbf").lstrip().startswith(b"<"):
        return XML, read_xml(data)
    return (OURS if name.casefold().endswith(".toml") else SHEET), None


def _in_utf_8(data: bytes) -> bytes:
    """Return a file that its mark says to be in UTF-16, as some programs save a table, in UTF-8; others as they are."""
    if not data.startswith(UTF_16):
        return data
    try:
        return data.decode("utf-16").encode()
    except UnicodeError:
        raise Refusal("the file begins as one in UTF-16 and is none", remedy="save it as UTF-8") from None


def _known(root: Element, space: str, name: str) -> None:
    if (root.space, root.name) != (space, name):
        raise Refusal(f"it is no {name} of the schema {space}, but {root.name[:60]} of {root.space[:60] or 'none'}",
                      where=root.where, remedy="see that it is the right file, or type the certificate in")


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()
