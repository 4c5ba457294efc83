"""Earlier editions of the program's own methods, kept so that results on record keep their digits."""

from functools import cache

EARLIER, EDITION = "earlier", ".edition-"  # their folder, and what stands between name and number of a file there


def earlier_editions(name: str) -> tuple[str, ...]:
    """Return the editions of a method that are no longer in force, oldest first; none of a method that has no other."""
    return _earlier().get(name, ())


@cache
def _earlier() -> dict[str, tuple[str, ...]]:
    from importlib.resources import files

    found: dict[str, tuple[str, ...]] = {}
    for entry in sorted((files("assaywright.assay") / "methods" / EARLIER).iterdir(), key=lambda one: one.name):
        name, mark, edition = entry.name.removesuffix(".toml").partition(EDITION)
        if mark:
            found[name] = (*found.get(name, ()), edition)
    return found
