"""The names that were most likely meant by one that there is not."""

from collections.abc import Collection
from difflib import get_close_matches

MOST = 3


def nearest_names(typed: str, names: Collection[str]) -> list[str]:
    """Return up to three names that are most likely meant, in quotation marks; capitals and underscores are no matter.

    Arguments:
        typed: the name that there is not.
        names: those that there are, in small letters with hyphens.

    Example:
    >>> nearest_names("NAOH_by_khp", ("hcl-by-tris", "naoh-by-khp"))
    ["'naoh-by-khp'"]
    """
    plain = typed.casefold().replace("_", "-").replace(" ", "-")
    if plain in names:
        return [f"'{plain}'"]
    holding = [one for one in names if len(plain) > 2 and plain in one]
    near = list(dict.fromkeys([*get_close_matches(plain, names, MOST), *holding]))
    return [f"'{one}'" for one in near[:MOST]]
