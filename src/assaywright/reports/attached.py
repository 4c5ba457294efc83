"""The figures that a document carries for programs, read back out of its file.

Only files that this program has set are read; they hold one embedded file, compressed as the typesetter does it
(ISO 32000-1:2008, 7.4.4 and 7.11.4).
"""

import json
import re
import zlib
from typing import Any

_EMBEDDED = re.compile(rb"/Type\s*/EmbeddedFile\b")
_STREAM = re.compile(rb"stream\r?\n")


def attached_document(data: bytes) -> dict[str, Any]:
    """Return the document that a PDF of this program carries.

    Raises:
        ValueError: the file carries none that can be read.
    """
    embedded = _EMBEDDED.search(data)
    begins = _STREAM.search(data, embedded.end()) if embedded else None
    if begins is None:
        raise ValueError("the file carries no document")
    try:
        document = json.loads(zlib.decompressobj().decompress(data[begins.end():]))
    except zlib.error as problem:
        raise ValueError("the document in the file cannot be read") from problem
    return dict(document)
