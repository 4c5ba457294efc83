"""From a file's bytes to its TOML table, or one sentence that says why it is not one."""

import hashlib
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from assaywright.assay.toml_trouble import not_toml
from assaywright.metrology.refusal import Refusal

T = TypeVar("T")

MOST_BYTES = 5_000_000
EMPTY = "name the file that is meant; a worksheet is begun with assaywright new"


@dataclass(frozen=True, slots=True)
class TomlFile:
    """A TOML file as read.

    Fields:
        path: as given.
        digest: SHA-256 of the file's bytes, in hexadecimal.
        table: the top-level table.
    """

    path: str
    digest: str
    table: dict[str, object]


def check_size(size_bytes: int, path: str) -> None:
    """Refuse a file that is larger than any worksheet, before it is read.

    Arguments:
        size_bytes: size of the file [byte].
        path: the file, for the sentence.

    Raises:
        Refusal: more than 5 MB, or nothing at all.
    """
    if size_bytes > MOST_BYTES:
        raise Refusal(f"the file has {size_bytes / 1e6:.1f} MB, and a worksheet has at most {MOST_BYTES / 1e6:.0f} MB",
                      where=path, remedy="name the worksheet itself")
    if size_bytes == 0:
        raise Refusal("the file is empty", where=path, remedy=EMPTY)


def read_form(data: bytes, path: str, read: Callable[[TomlFile], T]) -> T:
    """Return what a reader makes of a file's bytes; every refusal names the file.

    Arguments:
        data: the file's bytes.
        path: the file, as the person named it; it stands in every sentence of refusal.
        read: from the TOML table to what it describes.

    Raises:
        Refusal: as :func:`read_toml`, or whatever the reader refuses.
    """
    file = read_toml(data, path)
    try:
        return read(file)
    except Refusal as refusal:
        raise refusal.at(path) from None


def read_toml(data: bytes, path: str) -> TomlFile:
    """Return the TOML table that a file's bytes hold, with their digest.

    Arguments:
        data: the bytes; UTF-8, with or without a byte order mark.
        path: the file, for the sentences and the record.

    Raises:
        Refusal: too large, empty, not text, not UTF-8, or not TOML; the sentence names the line.
    """
    check_size(len(data), path)
    text = _decoded(data, path)
    if not text.strip():
        raise Refusal("the file is empty", where=path, remedy=EMPTY)
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as problem:
        raise not_toml(str(problem), text, path) from problem
    except (RecursionError, ValueError, OverflowError) as problem:
        raise Refusal("the file holds tables or numbers that no worksheet has", where=path,
                      remedy="begin anew with assaywright new") from problem
    return TomlFile(path, hashlib.sha256(data).hexdigest(), table)


def _decoded(data: bytes, path: str) -> str:
    """Return the text of the bytes."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise Refusal("the file is written in UTF-16", where=path, remedy="save it as UTF-8")
    if b"\0" in data:
        raise Refusal("the file holds NUL bytes, so it is no text file", where=path,
                      remedy="name the worksheet itself, a TOML file saved as UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        line = data.count(b"\n", 0, problem.start) + 1
        raise Refusal(f"line {line} holds a byte (0x{data[problem.start]:02x}) that is not UTF-8", where=path,
                      remedy="save the file as UTF-8") from problem
