"""Why what was typed at the bench and is not on record does not count, as the pages send it: by determination."""

import re
from collections.abc import Mapping
from typing import Any

FIELD = re.compile(r"(?:left-)?(\d{1,3})")


def reasons_of(sent: Any) -> dict[int, str]:
    """Return the reasons by the number of the determination; 0 for the blank.

    Arguments:
        sent: fields of a form ("left-4"), or what the bench page's script sends ("4"); anything else says nothing.
    """
    told = sent.items() if isinstance(sent, Mapping) else ()
    return {int(found[1]): str(text) for name, text in told if (found := FIELD.fullmatch(str(name))) and str(text)}
