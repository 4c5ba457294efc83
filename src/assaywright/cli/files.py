"""The only part of the command line that touches files: read within bounds, written whole or not at all."""

import os
import stat
import tempfile
from pathlib import Path

from assaywright.assay.toml_reader import MOST_BYTES, check_size
from assaywright.metrology.refusal import Refusal


def read_file(path: str) -> bytes:
    """Return a file's bytes; its size is looked at before it is read.

    Raises:
        Refusal: the file is larger than any worksheet, or empty.
        OSError: it cannot be read.
    """
    with Path(path).open("rb") as file:
        status = os.fstat(file.fileno())
        if stat.S_ISREG(status.st_mode):
            check_size(status.st_size, path)
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


def write_whole(path: str, data: bytes) -> None:
    """Write a file whole or not at all: beside it first, then in its place.

    Raises:
        Refusal: it cannot be written; whatever stood there before still stands there.
    """
    try:
        _replace(Path(path), data)
    except (OSError, ValueError) as problem:
        raise Refusal(f"the file cannot be written ({_reason(problem)})", where=path,
                      remedy="name a file in a folder that can be written to") from problem


def _replace(target: Path, data: bytes) -> None:
    if target.is_dir():
        raise IsADirectoryError(0, "it is a folder")
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
