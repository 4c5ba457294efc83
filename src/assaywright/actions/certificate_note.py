"""What a certificate says of the one whose place it takes: the person's words as theirs, what is compared as a fact.

An amended report identifies the original and what was changed (ISO/IEC 17025:2017, 7.8.8.2 and 7.8.8.3).
"""

from collections.abc import Mapping
from typing import Any

from assaywright.records.models import Product
from assaywright.reports.certificate_phrases import IN_PLACE_OF, IN_WORDING, REPLACES, SAME, WHAT, WHY
from assaywright.reports.language import message

AMENDS = "Amends {number}"
REPLACES_ON = "Replaces {number}, withdrawn on {on}"


def note_on(number: str, changed: str, who: str, withdrawn: Mapping[str, str], *, differs: bool) -> str:
    """Return the note on a certificate that takes the place of an earlier one.

    Arguments:
        number: of the earlier one.
        changed: in the words of ``who``, who signs the later one.
        withdrawn: when the earlier one was withdrawn and why; empty where it was not.
        differs: whether any figure, date or statement is another; the program has compared them.
    """
    if withdrawn:
        opening = message(REPLACES).format(number=number, day=withdrawn["on"], because=withdrawn["because"])
    else:
        opening = message(f"{IN_PLACE_OF}." if differs else IN_WORDING).format(number=number)
    same = "" if differs else f"{message(SAME).format(other=number)} "
    return f"{opening} {same}{message(WHAT if differs else WHY).format(who=who, changed=changed)} "


def in_place_of(number: str, withdrawn: Mapping[str, str]) -> str:
    """Return what stands beneath the number of a certificate that takes the place of an earlier one."""
    return REPLACES_ON.format(number=number, on=withdrawn["on"]) if withdrawn else AMENDS.format(number=number)


def address_of(content: Mapping[str, Any], maker: str) -> str:
    """Return where the works are: as a product or a solution states it, else as another product of the same maker."""
    stated = str(content.get("place", "")).strip()
    if stated or not maker:
        return stated
    others = (one.content for one in Product.objects.order_by("name"))
    return next((place for one in others if str(one.get("maker", "")) == maker
                 and (place := str(one.get("place", "")).strip())), "")
