"""One check for every name that becomes an address: of lots, solutions, worksheets, products, instruments and others.

A name is kept in one form (Unicode normalisation form KC, Unicode Standard Annex 15), and a new one must differ from
those there are by more than capitals or the width of its letters: on a label the two would be taken for one another.
"""

import unicodedata
from typing import Any

from assaywright.actions.reasons import needed
from assaywright.metrology.refusal import Refusal
from assaywright.records.plain_text import check_seen

LONGEST_NAME = 120
LONGEST_NUMBER = 60
RESERVED = frozenset((
    "new", "own", "revise", "refused-acts", "roles", "leave", "link", "issue", "file", "titrant", "accreditation",
    "live", "paper", "keep", "token", "material", "materials", "instrument", "label", "plan", "guide", "none"))


def in_one_form(text: str) -> str:
    """Return a name in the form in which it is kept: NFKC, without blanks around it, single ones within."""
    return " ".join(unicodedata.normalize("NFKC", text).split())


def number(text: str, what: str, where: str, *, among: Any = None) -> str:
    """Return the number of something new, as it will stand on labels and in addresses of pages.

    Arguments:
        among: table of those that there are, none of which it may look like; one that is the very same is left to the
            act, which knows the better sentence.

    Raises:
        Refusal: it is missing, longer than 60 characters, holds what no label shows or no address takes, is kept for
            a page, or looks like one there is.
    """
    text = _on_one_line(text, what, where)
    if len(text) > LONGEST_NUMBER or "/" in text or "\\" in text or text.startswith(".") or ".." in text:
        raise Refusal(f"{what} cannot be written like that", where=where,
                      remedy=f"use at most {LONGEST_NUMBER} letters, figures and plain signs, without / and not "
                             "beginning with a full stop")
    return _free(text, what, where, among)


def product_name(text: str, *, among: Any = None) -> str:
    """Return the name of a new product; a single / within is part of its units, as in 1 mol/L.

    Raises:
        Refusal: as for :func:`number`, with 120 characters.
    """
    what, where = "the product's name", "name"
    text = _on_one_line(text, what, where)
    parts = text.split("/")
    if len(text) > LONGEST_NAME or "\\" in text or text.startswith(".") or ".." in text or not all(parts):
        raise Refusal(f"{what} cannot be written like that", where=where,
                      remedy=f"use at most {LONGEST_NAME} letters, figures and plain signs, beginning with a letter or "
                             "figure, and / only within it")
    return _free(text, what, where, among)


def _on_one_line(text: str, what: str, where: str) -> str:
    """Return a name in the form in which it is kept; refuse none, one of several lines, and what nobody sees."""
    text = needed(text, what, where)
    if any(unicodedata.category(letter) == "Cc" for letter in text):
        raise Refusal(f"{what} cannot be written like that", where=where, remedy="write it on one line")
    check_seen(text, where)
    return in_one_form(text)


def demand_name(text: str, what: str, where: str, *, among: Any, product: bool = False) -> None:
    """Refuse a name in a file that nobody could give something new on a page; a file's names are never altered.

    Arguments:
        product: whether it is that of a product.

    Raises:
        Refusal: as for :func:`number` or :func:`product_name`, or it stands in another form than is kept.
    """
    try:
        kept = product_name(text, among=among) if product else number(text, what, where, among=among)
    except Refusal as refusal:
        raise Refusal(refusal.what, where=where, remedy=refusal.remedy) from refusal
    if kept != text:
        raise Refusal(f"{what} is not written in the form in which it is kept", where=where,
                      remedy=f"write it as ‘{kept}’")


def _free(text: str, what: str, where: str, among: Any) -> str:
    """Return a name that no page has and that looks like no other."""
    if text.casefold() in RESERVED:
        raise Refusal(f"‘{text}’ cannot be {what}, as a page is called so", where=where, remedy="choose another")
    if among is None:
        return text
    seen_as = _seen_as(text)
    for known in among.objects.values_list("pk", flat=True):
        if known != text and _seen_as(str(known)) == seen_as:
            raise Refusal(f"‘{text}’ looks like {known}, which there is already", where=where,
                          remedy="choose one that cannot be taken for it, or use that one")
    return text


def _seen_as(text: str) -> str:
    return unicodedata.normalize("NFKC", text).casefold()
