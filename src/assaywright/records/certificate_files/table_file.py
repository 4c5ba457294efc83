"""Our own files: the table of one instrument, or a worksheet that states it among others."""

import tomllib
from typing import Any

from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.records.instruments import BALANCE, THERMOMETER, read_instrument, read_material
from assaywright.records.toml_text import from_toml, toml_text

FORMAT = "assaywright instrument 1"
GROUPS = {BALANCE: "balances", THERMOMETER: "thermometers"}


def instrument_file(kind: str, table: dict[str, Any]) -> bytes:
    """Return the table of an instrument as a file that :func:`read_table_file` reads."""
    return toml_text({"format": FORMAT, **table, "kind": kind}).encode()


def read_table_file(data: bytes, kind: str, identity: str) -> dict[str, Any]:
    """Return the table of an instrument from our own file.

    Arguments:
        identity: the number under which it is known; empty for a new one.

    Raises:
        Refusal: it is no TOML, states no instrument of this kind and number or several, or states what cannot be.
    """
    whole = _toml(data)
    found = [_plain(kind, one) for one in _tables(whole, kind)]
    if identity:
        found = [one for one in found if one.get("id") == identity]
    if len(found) != 1:
        of = f"the {kind} {identity}" if identity else f"a {kind}"
        raise Refusal(f"the file states {'several' if found else 'nothing'} of {of}",
                      remedy="see that it is the right file, with one table of it")
    read_instrument(kind, found[0])
    return found[0]


def read_material_file(data: bytes) -> dict[str, Any]:
    """Return the table of a reference material from our own file: a worksheet's, or the table alone.

    Raises:
        Refusal: it is no TOML, or a worksheet would refuse the table.
    """
    whole = _toml(data)
    table = whole.get("standard", whole)
    found = {key: value for key, value in table.items() if key != "format"} if isinstance(table, dict) else {}
    read_material(found)
    return found


def _toml(data: bytes) -> dict[str, Any]:
    try:
        whole = from_toml(tomllib.loads(data.decode("utf-8-sig")))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as problem:
        raise Refusal(f"the file is no TOML ({shown(str(problem))})", remedy="correct it there") from None
    return dict(whole)


def _tables(whole: dict[str, Any], kind: str) -> list[dict[str, Any]]:
    if "id" in whole and whole.get("kind") == kind:
        return [whole]
    group = whole.get(GROUPS.get(kind, "vessels"), {})
    tables = [(role, one) for role, one in group.items() if isinstance(one, dict)] if isinstance(group, dict) else []
    return [one for role, one in tables if kind in GROUPS or one.get("kind", role) == kind]


def _plain(kind: str, table: dict[str, Any]) -> dict[str, Any]:
    """Return a table without what says what the file is; glass keeps its kind."""
    plain = {key: value for key, value in table.items() if key not in ("format", "kind")}
    return plain if kind in GROUPS else {"kind": kind, **plain}
