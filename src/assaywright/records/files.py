"""Attached files and issued certificates: kept by their hash in the folder of the records, and never written over."""

import hashlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings

from assaywright.metrology.refusal import Refusal

HEX = 64
BLOCK = 1_000_000


def folder() -> Path:
    """Return the folder of the files."""
    return Path(settings.FILES_FOLDER)


def path_of(sha256: str) -> Path:
    """Return where a file lies: in a folder of the first two characters of its hash."""
    return folder() / sha256[:2] / sha256


def keep(data: bytes) -> str:
    """Keep a file, safely on disk before this returns, and return its hash [hexadecimal].

    Raises:
        Refusal: it cannot be written.
    """
    sha256 = hashlib.sha256(data).hexdigest()
    target = path_of(sha256)
    if not target.exists() or digest_of_file(target) != sha256:
        try:
            write_safely(target, data)
        except OSError as problem:
            raise Refusal(f"the file cannot be kept ({(problem.strerror or str(problem)).lower()})",
                          where=str(folder()), remedy="see that there is room and leave to write") from problem
    return sha256


def read(sha256: str) -> bytes:
    """Return a file by its hash, which is looked at again.

    Raises:
        Refusal: it is not there, or is another one.
    """
    try:
        data = path_of(sha256).read_bytes()
    except OSError as problem:
        raise Refusal(f"the file {sha256[:16]}… is not there", where=str(folder()),
                      remedy="bring it back from a backup") from problem
    if hashlib.sha256(data).hexdigest() != sha256:
        raise Refusal(f"the file {sha256[:16]}… was changed after it was kept", where=str(folder()),
                      remedy="bring it back from a backup")
    return data


def kept() -> Iterator[str]:
    """Yield the names of all files that are there."""
    for file in sorted(folder().glob("??/*")):
        if file.is_file() and len(file.name) == HEX:
            yield file.name


def digest_of_file(file: Path) -> str:
    """Return a file's hash [hexadecimal], without reading it whole into memory.

    Raises:
        OSError: it cannot be read.
    """
    digest = hashlib.sha256()
    with file.open("rb") as opened:
        while block := opened.read(BLOCK):
            digest.update(block)
    return digest.hexdigest()


def write_safely(target: Path, data: bytes) -> None:
    """Write a file whole or not at all, and its name in the folder too.

    Raises:
        OSError: it cannot be written; nothing is left behind.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    descriptor, beside = tempfile.mkstemp(dir=target.parent, prefix=".part-")
    try:
        with os.fdopen(descriptor, "wb") as opened:
            opened.write(data)
            opened.flush()
            os.fsync(opened.fileno())
        Path(beside).replace(target)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
    sync_folder(target.parent)


def sync_folder(place: Path) -> None:
    """Let a folder's entries reach the disk, where the system can be told so."""
    if os.name == "nt":
        return
    descriptor = os.open(place, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
