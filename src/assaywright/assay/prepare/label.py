"""What the name on a label says: a substance that is held, so that one bottle is not taken for another."""

import re
from functools import cache

from assaywright.chemistry.solute import Solute, find_solute
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import shown
from assaywright.reference.substances import substance, substances

WATER = "water"
CORROSIVE = ("acids", "strong alkali")
_BEFORE = r"(?:(?:concentrated|conc[.]?|diluted?|dil[.]?|fuming|glacial|aqueous|anhydrous|pure|purified|technical) +)*"
_AFTER = (r"(?=$|\s*[,;:/]|\s*[(]?[0-9]|\s+(?:solution|liquor|concentrated|conc|diluted?|fuming|glacial|aqueous|pure|"
          r"anhydrous|technical|pellets|lot)\b)")


def named_on(label: str) -> Solute | None:
    """Return the substance held whose name, other name or formula a label begins with; none where it is none.

    What follows has to be a content, a remark or nothing: silver sulfate is no silver.

    Example:
        >>> named_on("hydrochloric acid 37 %").formula.text, named_on("silver sulfate")
        ('HCl', None)
    """
    bare = re.sub(f"^{_BEFORE}", "", label.strip(), flags=re.IGNORECASE)
    for text, key in _names():
        begun = bare.startswith(text) if key[1] else bare.casefold().startswith(text)
        if begun and re.match(_AFTER, bare[len(text):], re.IGNORECASE):
            return find_solute(key[0])
    return None


@cache
def _names() -> tuple[tuple[str, tuple[str, bool]], ...]:
    """Return every name, the longest first, with its substance and whether it is a formula, whose case counts."""
    found: dict[str, tuple[str, bool]] = {}
    for one in map(substance, substances()):
        found.setdefault(one.formula, (one.name, True))
        found |= {text.casefold(): (one.name, False) for text in (one.name, *one.aliases)}
    return tuple(sorted(found.items(), key=lambda pair: -len(pair[0])))


def check_label(label: str, wanted: Solute) -> None:
    """Refuse what is called by the name of another substance; a hydrate is the same one.

    Arguments:
        label: name of what is taken.
        wanted: of which it has to be.

    Raises:
        Refusal: it is called by another's name.
    """
    named = named_on(label)
    if named is None or named.anhydrous.is_same_entity(wanted.anhydrous):
        return
    raise Refusal(f"“{shown(label)}” is by its name {_told(named)}, and {_told(wanted)} is wanted",
                  remedy="correct the name or the substance, whichever is wrong, before anything is mixed")


def check_diluent(label: str, solute: Solute) -> None:
    """Refuse as a diluent what is called by the name of the substance itself, or of an acid or alkali.

    Arguments:
        label: name of the diluent.
        solute: of the solution.

    Raises:
        Refusal: it holds something that counts, or that reacts.
    """
    named = named_on(label)
    if named is None or named.name == WATER:
        return
    same = named.anhydrous.is_same_entity(solute.anhydrous)
    if same or any(one in CORROSIVE for one in substance(named.name).groups):
        raise Refusal(f"“{shown(label)}” is by its name {_told(named)}, and no diluent",
                      remedy="name what is added, such as purified water, or give it with its content as what it is")


def _told(one: Solute) -> str:
    return one.name if one.name == one.formula.text else f"{one.name} ({one.formula.text})"
