"""The worksheets a worksheet rests on: found, read once, evaluated once, and never in a circle."""

import posixpath
from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from assaywright.metrology.refusal import Refusal

if TYPE_CHECKING:
    from assaywright.assay.observations import Worksheet
    from assaywright.assay.result import Outcome

Opener = Callable[[str], bytes]


@runtime_checkable
class KeepsEditions(Protocol):
    """An opener of records that know by which edition of its method a worksheet's result was computed."""

    def edition_of(self, method: str, path: str) -> str:
        """Return that edition; empty for the one in force."""


def resolve(named_in: str, path: str) -> str:
    """Return a path as the opener takes it: relative to the file that names it."""
    plain = path.replace("\\", "/")
    return posixpath.normpath(posixpath.join(posixpath.dirname(named_in.replace("\\", "/")), plain))


class Upstream:
    """Evaluates the worksheets that others refer to.

    Arguments:
        opener: returns the bytes of a file; raises OSError when it cannot.
        as_if: what is evaluated in place of a worksheet that another names; the worksheet itself when not given.
    """

    def __init__(self, opener: Opener, as_if: "Callable[[Worksheet], Worksheet] | None" = None) -> None:
        self.opener = opener
        self.as_if = as_if
        self.evaluated: dict[str, Outcome] = {}
        self.under_way: list[str] = []
        self.named: set[str] = set()

    def read(self, named_in: str, path: str, where: str) -> tuple[str, bytes]:
        """Return a file's resolved path and its bytes.

        Raises:
            Refusal: the file cannot be read.
        """
        resolved = resolve(named_in, path)
        self.named.add(resolved)
        try:
            return resolved, self.opener(resolved)
        except OSError as problem:
            reason = problem.strerror or "it cannot be read"
            raise Refusal(
                f"the file '{path}' is not there to be read ({reason})",
                where=f"{named_in}: {where}",
                remedy="correct the name, relative to the file that names it",
            ) from problem

    def edition_of(self, worksheet: "Worksheet") -> str:
        """Return the edition of its method that a worksheet asks for, or that its result on record keeps; else none.

        An opener that keeps results has an ``edition_of``, asked with the method and the worksheet's path.
        """
        opener: object = self.opener
        if worksheet.method_edition or not isinstance(opener, KeepsEditions):
            return worksheet.method_edition
        return opener.edition_of(worksheet.method, resolve("", worksheet.path))

    def placed(self, refusal: Refusal, path: str) -> Refusal:
        """Return a refusal that names its file: the one it names already, else the worksheet under way."""
        return refusal if any(refusal.where.startswith(one) for one in self.named) else refusal.at(path)

    def outcome(self, named_in: str, path: str, where: str) -> "Outcome":
        """Return the outcome of a worksheet that another names.

        Raises:
            Refusal: the file is missing or refused, or the chain comes back to a worksheet that is being evaluated.
        """
        from assaywright.assay.evaluate import evaluate_within
        from assaywright.assay.observations import Worksheet
        from assaywright.assay.worksheet import read_bytes

        resolved = resolve(named_in, path)
        if resolved in self.under_way:
            ring = " rests on ".join([*self.under_way[self.under_way.index(resolved) :], resolved])
            raise Refusal(
                f"the chain is circular: {ring}",
                where=f"{named_in}: {where}",
                remedy="refer to a standardisation that does not rest on this worksheet",
            )
        if resolved not in self.evaluated:
            resolved, data = self.read(named_in, path, where)
            worksheet = read_bytes(data, resolved)
            if not isinstance(worksheet, Worksheet):
                raise Refusal(
                    f"'{path}' is a lot, not a worksheet",
                    where=f"{named_in}: {where}",
                    remedy="name the worksheet of the standardisation",
                )
            self.evaluated[resolved] = evaluate_within(self.as_if(worksheet) if self.as_if else worksheet, self)
        return self.evaluated[resolved]
