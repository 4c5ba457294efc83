"""What the fields of one determination come to, as far as they are filled in: titre, net mass, portion."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from assaywright.assay.bench.figures import in_unit

Fields = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Run:
    """One filling of the burette as far as it is read [mL], with the fields that its two readings stand in."""

    initial: Decimal | None
    final: Decimal | None
    initial_field: str
    final_field: str

    @property
    def delivered_mL(self) -> Decimal | None:
        """Final less initial reading [mL]; None while one is missing."""
        return None if self.initial is None or self.final is None else self.final - self.initial


def runs_of(fields: Fields, decimal_mark: str = ".") -> tuple[Run, ...]:
    """Return the fillings of a determination in order; ``initial`` and ``final`` stand behind those of ``fillings``.

    Arguments:
        fields: as a worksheet names them, with texts as typed.
        decimal_mark: of the worksheet.
    """
    found = []
    listed = fields.get("fillings")
    for number, pair in enumerate(listed if isinstance(listed, Sequence) and not isinstance(listed, str) else (), 1):
        first, last = (*pair, None, None)[:2] if isinstance(pair, list | tuple) else (None, None)
        found.append(Run(in_unit(first, "mL", decimal_mark), in_unit(last, "mL", decimal_mark),
                         f"fillings.{number}.initial", f"fillings.{number}.final"))
    if not found or fields.get("initial") or fields.get("final"):
        found.append(_run(fields, "initial", "final", decimal_mark))
    return tuple(found)


def runs_to_first(fields: Fields, decimal_mark: str = ".") -> tuple[Run, ...]:
    """Return the fillings up to the one in which the first of two endpoints was read; that one is the last.

    Arguments:
        fields, decimal_mark: as for :func:`runs_of`.
    """
    runs, number = runs_of(fields, decimal_mark), fields.get("first_filling")
    return runs[:number] if isinstance(number, int) and number > 0 else runs[:1]


def run_with_barium(fields: Fields, decimal_mark: str = ".") -> Run:
    """Return the titration of the aliquot after barium chloride.

    Arguments:
        fields, decimal_mark: as for :func:`runs_of`.
    """
    return _run(fields, "hydroxide_initial", "hydroxide_final", decimal_mark)


def _run(fields: Fields, initial: str, final: str, decimal_mark: str) -> Run:
    return Run(in_unit(fields.get(initial), "mL", decimal_mark), in_unit(fields.get(final), "mL", decimal_mark),
               initial, final)


def titre_mL(fields: Fields, decimal_mark: str = ".") -> Decimal | None:
    """Return the titre, exactly, over all fillings [mL]; None while a reading is missing.

    Arguments:
        fields, decimal_mark: as for :func:`runs_of`.

    Example:
        >>> titre_mL({"initial": "0.12", "final": "24.60 mL"})
        Decimal('24.48')
    """
    parts = [one.delivered_mL for one in runs_of(fields, decimal_mark)]
    whole = [one for one in parts if one is not None]
    return sum(whole, Decimal(0)) if len(whole) == len(parts) else None


def titre_to(reading: str, fields: Fields, decimal_mark: str = ".") -> Decimal | None:
    """Return the titre up to a reading: "final", "first" of two endpoints, or "hydroxide_final" [mL]; None without it.

    Arguments:
        reading: name of the field.
        fields, decimal_mark: as for :func:`runs_of`.
    """
    if reading == "hydroxide_final":
        return run_with_barium(fields, decimal_mark).delivered_mL
    if reading == "first":
        first, (*before, run) = in_unit(fields.get("first"), "mL", decimal_mark), runs_to_first(fields, decimal_mark)
        parts = [one.delivered_mL for one in before]
        whole = [one for one in parts if one is not None]
        if first is None or run.initial is None or len(whole) < len(parts):
            return None
        return sum(whole, first - run.initial)
    return titre_mL(fields, decimal_mark)


def net_g(fields: Fields, decimal_mark: str = ".") -> Decimal | None:
    """Return the mass of the portion [g]: on a tared balance, else gross less tare; None while it is not known.

    Arguments:
        fields, decimal_mark: as for :func:`runs_of`.
    """
    net, gross, tare = (in_unit(fields.get(name), "g", decimal_mark) for name in ("net", "gross", "tare"))
    if net is not None:
        return net
    return gross - tare if gross is not None and tare is not None else None


def is_by_mass(fields: Fields) -> bool:
    """Whether the titrant of a determination is weighed, so that there is no burette to read."""
    return any(fields.get(f"titrant_{name}") for name in ("gross", "tare", "net"))
