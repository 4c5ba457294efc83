"""Names that come near to one that is not held, for a refusal that helps; and figures that may be blank."""

from collections.abc import Iterable
from difflib import get_close_matches

GREATEST_NUMBER = 6


def near(wanted: str, names: Iterable[str]) -> tuple[str, ...]:
    """Return the names that share a longer word with the wanted one, or are spelt much like it; at most six.

    Example:
        >>> near("lactic acid, racemic", ("lactic acid", "acetic acid", "ammonium"))
        ('lactic acid',)
    """
    held = tuple(dict.fromkeys(names))
    plain = {name.casefold(): name for name in held}
    words = [word.strip(",;") for word in wanted.casefold().split()]
    telling = [word for word in words if len(word) > 3 and word not in {"acid", "hydrogen", "solution"}]
    sharing = [name for low, name in plain.items() if any(word in low for word in telling)]
    spelt = [plain[low] for low in get_close_matches(wanted.casefold(), plain, n=3, cutoff=0.75)]
    return tuple(dict.fromkeys([*sharing, *spelt]))[:GREATEST_NUMBER]


def number(text: str) -> float | None:
    """Return the figure that a field of a table holds, none where it is blank."""
    return float(text) if text else None
