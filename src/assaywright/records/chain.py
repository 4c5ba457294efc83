"""How events are chained: each carries the hash of the one before, so that none can be changed unnoticed."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any

_ENCODER = json.JSONEncoder(sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
FIRST = "0" * 64  # what the first event carries in place of a predecessor's hash


def canonical(value: Any) -> str:
    """Return a value as JSON text that is the same wherever it is written: keys sorted, no spaces, no NaN.

    Raises:
        ValueError: the value holds NaN or an infinity.
    """
    return _ENCODER.encode(value)


def digest_of(fields: Mapping[str, Any], previous: str) -> str:
    """Return an event's hash: SHA-256 [hexadecimal] over its fields and the hash of the event before.

    Arguments:
        fields: number, recorded_at, schema, kind, subject, by, reason, act and payload, all as stored.
        previous: hash of the event before; :data:`FIRST` for the first.

    Source: FIPS 180-4 for SHA-256.
    """
    return digest_of_row(previous, (fields[name] for name in CHAINED))


def digest_of_row(previous: str, values: Iterable[Any]) -> str:
    """Return an event's hash as :func:`digest_of` does, from its values in the order of :data:`CHAINED`."""
    return hashlib.sha256(_ENCODER.encode([previous, *values]).encode()).hexdigest()


CHAINED = ("number", "recorded_at", "schema", "kind", "subject", "by", "reason", "act", "payload")
