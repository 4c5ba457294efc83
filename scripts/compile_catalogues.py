"""Compile the catalogues of languages: each .po beside its .mo, as GNU gettext's binary form has it.

The reader knows what our catalogues use: comments, msgid and msgstr, strings on lines of their own. The form of the
binary file: GNU gettext manual, "The Format of GNU MO Files" (from memory).
"""

import ast
import struct
import sys
from pathlib import Path

CATALOGUES = Path(__file__).parent.parent / "src" / "assaywright" / "reports" / "languages"
MAGIC, REVISION, HEADER_BYTES, ENTRY_BYTES = 0x950412DE, 0, 28, 8


def messages(text: str) -> dict[str, str]:
    """Return the messages of a catalogue with what they are in its language.

    Raises:
        ValueError: a line that is none of a catalogue's, a message that stands twice, or one without translation.
    """
    found: dict[str, str] = {}
    said: list[list[str]] = []
    for number, line in enumerate([*text.splitlines(), ""], start=1):
        keyword, _, quoted = line.partition(" ")
        if keyword in ("msgid", "msgstr"):
            said.append([_unquoted(quoted, number)])
        elif line.startswith('"') and said:
            said[-1].append(_unquoted(line, number))
        elif line and not line.startswith("#"):
            raise ValueError(f"line {number} is no line of a catalogue: {line}")
        if not line and said:
            msgid, msgstr = ("".join(parts) for parts in said)
            if msgid in found or not msgstr:
                raise ValueError(f"before line {number}: '{msgid}' stands twice, or has no translation")
            found[msgid], said = msgstr, []
    return found


def compiled(found: dict[str, str]) -> bytes:
    """Return messages as the bytes of a .mo file, sorted by message, without a table of hashes."""
    ordered = sorted((key.encode(), value.encode()) for key, value in found.items())
    keys_at, values_at = HEADER_BYTES, HEADER_BYTES + ENTRY_BYTES * len(ordered)
    at, tables, strings = HEADER_BYTES + 2 * ENTRY_BYTES * len(ordered), b"", b""
    for column in (0, 1):
        for pair in ordered:
            tables += struct.pack("<II", len(pair[column]), at + len(strings))
            strings += pair[column] + b"\0"
    header = struct.pack("<7I", MAGIC, REVISION, len(ordered), keys_at, values_at, 0, at)
    return header + tables + strings


def main() -> int:
    """Write every .mo anew."""
    for path in sorted(CATALOGUES.glob("*.po")):
        found = messages(path.read_text(encoding="utf-8"))
        path.with_suffix(".mo").write_bytes(compiled(found))
        sys.stdout.write(f"{path.stem}: {len(found) - 1} messages\n")
    return 0


def _unquoted(quoted: str, number: int) -> str:
    text = ast.literal_eval(quoted)
    if not isinstance(text, str):
        raise ValueError(f"line {number} holds no text: {quoted}")  # noqa: TRY004
    return text


if __name__ == "__main__":
    sys.exit(main())
