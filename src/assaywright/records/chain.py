"""How events are chained: each carries the hash of the one before, so that none can be changed unnoticed."""

import hashlib
import json
from collections.abc import Mapping
from typing import Any

FIRST = "0" * 64  # what the first event carries in place of a predecessor's hash


def canonical(value: Any) -> str:
    """Return a value as JSON text that is the same wherever it is written: keys sorted, no spaces, no NaN.

    Raises:
        ValueError: the value holds NaN or an infinity.
    """
    return json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def digest_of(fields: Mapping[str, Any], previous: str) -> str:
    """Return an event's hash: SHA-256 [hexadecimal] over its fields and the hash of the event before.

    Arguments:
        fields: number, recorded_at, schema, kind, subject, by, reason, act and payload, all as stored.
        previous: hash of the event before; :data:`FIRST` for the first.

    Source: FIPS 180-4 for SHA-256.
    """
    return hashlib.sha256(canonical([previous, *(fields[name] for name in CHAINED)]).encode()).hexdigest()


CHAINED = ("number", "recorded_at", "schema", "kind", "subject", "by", "reason", "act", "payload")
