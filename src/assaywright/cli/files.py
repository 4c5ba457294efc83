"""The only part of the command line that touches files: read within bounds, written whole or not at all."""

import errno
import os
import stat
import tempfile
from pathlib import Path

from assaywright.assay.toml_reader import MOST_BYTES, check_size
from assaywright.metrology.refusal import Refusal

MOST_KIND_BYTES = 50_000_000
KINDS = {"PDF": b"%PDF-", "PNG picture": b"\x89PNG", "saved result": b'{\n  "format": "assaywright result ',
         "SVG picture": b"<svg", "bench guide": b"Worksheet "}
DOCUMENTS = {"certificate": b"Certificate of analysis ", "working": b"Working of worksheet "}  # as their titles begin
ATTACHED = b"document.json"  # the name of the figures attached to every document of this program
FOREIGN_PDF = "PDF of another program"

_read_by_command: set[tuple[int, int]] = set()


def begin_command() -> None:
    """Forget what an earlier command of this process has read."""
    _read_by_command.clear()


def read_file(path: str) -> bytes:
    """Return a file's bytes; what it is and its size are looked at before it is opened, for a pipe may never end.

    Raises:
        Refusal: the file is larger than any worksheet, or empty, or a pipe or device.
        OSError: it cannot be read.
    """
    status = Path(path).stat()
    if stat.S_ISDIR(status.st_mode):
        raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
    if not stat.S_ISREG(status.st_mode):
        raise Refusal("it is not a regular file", where=path, remedy="save what it gives as a file, and name that")
    check_size(status.st_size, path)
    _read_by_command.add((status.st_dev, status.st_ino))
    with Path(path).open("rb") as file:
        return file.read(MOST_BYTES + 1)


def read_named(path: str) -> bytes:
    """Return the bytes of a file that the person named.

    Raises:
        Refusal: it cannot be read, or is larger than any worksheet, or empty.
    """
    try:
        return read_file(path)
    except (OSError, ValueError) as problem:
        if isinstance(problem, Refusal):
            raise
        if isinstance(problem, IsADirectoryError):
            raise Refusal("it is a folder", where=path, remedy="name a file in it") from problem
        raise Refusal(f"the file cannot be read ({_reason(problem)})", where=path,
                      remedy="check its name and its permissions") from problem


def write_new(path: str, data: bytes) -> None:
    """Write a file that must not exist yet.

    Raises:
        Refusal: it exists, or cannot be written.
    """
    if os.path.lexists(path):
        raise Refusal("the file exists already and is left as it is", where=path,
                      remedy="name another, or move that one")
    write_whole(path, data)


def check_ending(path: str, ending: str) -> None:
    """Refuse a file to be written whose name does not end as its kind does.

    Raises:
        Refusal: it ends otherwise.
    """
    if not path.casefold().endswith(ending):
        raise Refusal(f"the file is written as PDF, and its name does not end in {ending}", where=path,
                      remedy=f"name it like {Path(path).stem or 'name'}{ending}")


def check_replacing(path: str | None, option: str, *, replace: bool, verb: str) -> None:
    """Refuse --replace where no file is to be written that could take the place of another.

    Arguments:
        path: of the file to be written; None where none is.
        option: that names it.
        replace: whether --replace is given.
        verb: of the command.

    Raises:
        Refusal: there is nothing to replace.
    """
    if replace and path is None:
        raise Refusal("there is nothing to replace: no file to write is named", where=f"assaywright {verb}",
                      remedy=f"add {option} FILE, or leave --replace out")


def write_output(path: str, data: bytes, *, replace: bool) -> None:
    """Write what a command was asked to write, by the rule that all commands have in common.

    An earlier file is replaced only when that is asked for and it is of the same kind; a file that the same command has
    read, never.

    Raises:
        Refusal: something stands there already, or it cannot be written.
    """
    _check_place(path, data)
    if os.path.lexists(path):
        if _was_read(path):
            raise Refusal("the command itself has read that file, which is left as it is", where=path,
                          remedy="name another file")
        if not replace:
            raise Refusal("the file exists already and is left as it is", where=path,
                          remedy="name another file, or add --replace")
    write_whole(path, data)


def _was_read(path: str) -> bool:
    """Whether the command has read the file, under this name or another."""
    try:
        status = Path(path).stat()
    except OSError:
        return False
    return (status.st_dev, status.st_ino) in _read_by_command


def write_whole(path: str, data: bytes) -> None:
    """Write a file whole or not at all: beside it first, then in its place.

    A document or picture replaces only one of its own kind, so that no worksheet is lost to a name typed twice.

    Raises:
        Refusal: it cannot be written, or a file of another kind stands there; it still stands there then.
    """
    _check_place(path, data)
    try:
        _replace(Path(path), data)
    except (OSError, ValueError) as problem:
        raise Refusal(f"the file cannot be written ({_reason(problem)})", where=path,
                      remedy="name a file in a folder that can be written to") from problem


def _check_place(path: str, data: bytes) -> None:
    """Refuse a place where something stands that this may not take the place of."""
    target = Path(path)
    try:
        if not target.exists():
            return
        if target.is_dir():
            raise Refusal("the file cannot be written (it is a folder)", where=path, remedy="name a file in it")
        if not target.is_file():
            raise Refusal("it is not a regular file", where=path, remedy="name another file")
        with target.open("rb") as file:
            there = _kind(file.read(MOST_KIND_BYTES))
    except (OSError, ValueError) as problem:
        if isinstance(problem, Refusal):
            raise
        raise Refusal(f"the file cannot be written ({_reason(problem)})", where=path,
                      remedy="name another file") from problem
    wanted = _kind(data)
    if wanted is None or there == wanted:
        return
    both = wanted.startswith("PDF") and (there or "").startswith("PDF")
    if both and there == FOREIGN_PDF:
        raise Refusal("the PDF that stands there was not written by this program, and is left as it is", where=path,
                      remedy="name another file")
    what = (f"the PDF that stands there is no {wanted.removeprefix('PDF, a ')}" if both
            else f"a file stands there that is no {wanted.partition(',')[0]}")
    raise Refusal(f"{what}, and is left as it is", where=path, remedy="name another file")


def _kind(content: bytes) -> str | None:
    """Return what kind of document or picture this is, a PDF's by its title; None for any other text.

    A PDF without the figures that this program attaches to its own is another program's.
    """
    kind = next((kind for kind, mark in KINDS.items() if content.startswith(mark)), None)
    if kind != "PDF":
        return kind
    if ATTACHED not in content:
        return FOREIGN_PDF
    return f"PDF, a {next((name for name, title in DOCUMENTS.items() if title in content), 'sheet')}"


def _replace(target: Path, data: bytes) -> None:
    descriptor, beside = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name[:40]}.", suffix=".part")
    try:
        with os.fdopen(descriptor, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(beside).chmod(_usual_permissions(target))
        Path(beside).replace(target)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise


def _usual_permissions(target: Path) -> int:
    """Return the permissions of the file that is replaced, else those of a new file."""
    try:
        return stat.S_IMODE(target.stat().st_mode)
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask


def _reason(problem: Exception) -> str:
    """Return why, in the system's words."""
    text = problem.strerror if isinstance(problem, OSError) and problem.strerror else str(problem)
    return text[:1].lower() + text[1:]
