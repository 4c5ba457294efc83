"""Names that come near to one that is not held, for a refusal that helps."""

from collections.abc import Iterable
from difflib import get_close_matches

GREATEST_NUMBER = 6


def near(wanted: str, names: Iterable[str]) -> tuple[str, ...]:
    """Return the names that share a longer word with the wanted one, or are spelt much like it; at most six.

    Those that begin with the wanted one, as its hydrates do, stand first.

    Example:
        >>> near("lactic acid, racemic", ("lactic acid", "acetic acid", "ammonium"))
        ('lactic acid',)
        >>> near("barium chloride", ("calcium chloride", "barium chloride dihydrate"))[0]
        'barium chloride dihydrate'
    """
    held = tuple(dict.fromkeys(names))
    plain = {name.casefold(): name for name in held}
    words = [word.strip(",;") for word in wanted.casefold().split()]
    hydrates = [name for low, name in plain.items() if low.startswith(f"{wanted.strip().casefold()} ")]
    telling = [word for word in words if len(word) > 3 and word not in {"acid", "hydrogen", "solution"}]
    spelt = [plain[low] for low in get_close_matches(wanted.casefold(), plain, n=3, cutoff=0.75)]
    sharing = [name for low, name in plain.items() if any(word in low for word in telling)]
    return tuple(dict.fromkeys([*hydrates, *spelt, *sharing]))[:GREATEST_NUMBER]
