"""The folder of the demonstration: only ever its own, and nothing a person changed in it is lost."""

import os
from pathlib import Path

from assaywright.cli.files import read_file, write_whole
from assaywright.metrology.refusal import Refusal

OPENING_FILE = "READ-ME-FIRST.txt"
MARK = "The demonstration laboratory of Assaywright"
LONGEST_MARK = 200


class DemonstrationFolder:
    """A folder that the demonstration made, or one it may make.

    Arguments:
        path: as typed.

    Raises:
        Refusal: something stands there that the demonstration did not make, or the folder cannot be made.
    """

    def __init__(self, path: str) -> None:
        self.path = Path(path)
        self.typed = path
        try:
            _check(self.path, path)
            self.path.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise Refusal(f"the folder cannot be made ({(problem.strerror or str(problem)).lower()})", where=path,
                          remedy="name one in a place that can be written to") from problem

    def read(self, name: str) -> bytes:
        """Return a file's bytes by its path within the folder.

        Raises:
            OSError: it cannot be read.
        """
        return read_file(str(self.path / name))

    def write(self, name: str, data: bytes) -> None:
        """Write what is made anew on each run, in place of what the last run made.

        Raises:
            Refusal: it cannot be written.
        """
        target = self.path / name
        if _content(target) == data:
            return
        try:
            target.parent.mkdir(parents=True, exist_ok=True)
        except OSError as problem:
            raise Refusal(f"the folder cannot be made ({(problem.strerror or str(problem)).lower()})",
                          where=str(target.parent), remedy="move away what stands there") from problem
        write_whole(str(target), data)

    def write_keeping(self, name: str, data: bytes) -> str:
        """Write a file of the laboratory; one that was changed since is first put aside under another name.

        Returns: path within the folder of the copy that was kept; empty when there was nothing to keep.
        """
        found = _content(self.path / name)
        kept = ""
        if found is not None and found != data:
            kept = self._free_name(name)
            self.write(kept, found)
        self.write(name, data)
        return kept

    def _free_name(self, name: str) -> str:
        """Return the first name that is not taken: worksheet.kept-1.toml, worksheet.kept-2.toml ..."""
        stem, dot, ending = name.rpartition(".")
        number = 1
        while os.path.lexists(self.path / f"{stem}.kept-{number}{dot}{ending}"):
            number += 1
        return f"{stem}.kept-{number}{dot}{ending}"


def _check(path: Path, typed: str) -> None:
    """Refuse a place where something stands that the demonstration did not make."""
    if not os.path.lexists(path):
        return
    if not path.is_dir():
        raise Refusal("it is there already and is no folder", where=typed, remedy="name another folder")
    if any(path.iterdir()) and not _made_here(path):
        raise Refusal("the folder holds files that the demonstration did not make, and is left as it is", where=typed,
                      remedy="name a new or an empty folder")


def _made_here(path: Path) -> bool:
    """Whether the folder's opening file bears the mark of the demonstration."""
    try:
        with (path / OPENING_FILE).open("rb") as file:
            return file.read(LONGEST_MARK).startswith(MARK.encode("utf-8"))
    except OSError:
        return False


def _content(target: Path) -> bytes | None:
    """Return what a file holds; None where there is none that can be read."""
    try:
        return target.read_bytes()
    except OSError:
        return None
