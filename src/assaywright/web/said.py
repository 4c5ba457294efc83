"""Sentences of refusals and remarks in the words of pages: worksheets by number, fields by their labels, no files.

The floors below say where something stands in a worksheet file, since they serve files as well. A page has no file:
its worksheets have numbers, and what a file calls a table is a group of fields on a form.
"""

import re

from assaywright.assay.accepted import AcceptedIrregularity
from assaywright.assay.plain_words import plain_words
from assaywright.metrology.refusal import Refusal, placed
from assaywright.metrology.remarks import Remark

OPTION = re.compile(r"--[a-z][a-z-]*|\bassaywright [a-z-]+|\bFILE\b|\bTOML\b|[\[\]{}]|\b(?!k =)\w+ = ")
THE_METHODS = ("assaywright methods lists them all", "Methods in the menu lists them all")
ELSEWHERE = "correct it on the page of what it concerns, or have whoever looks after the records correct it"


def in_words(problem: Refusal | object) -> str:
    """Return a refusal, or a sentence of one, a place or a remedy, in the words of pages.

    Arguments:
        problem: the refusal, or a text in which places of a worksheet file are named.
    """
    if not isinstance(problem, Refusal):
        where, mark, what = plain_words(str(problem)).partition(": ")
        return placed(where, what) if mark else where
    remedy = plain_words(problem.remedy.replace(*THE_METHODS))
    if OPTION.search(remedy):
        remedy = ELSEWHERE
    return str(Refusal(plain_words(problem.what), where=plain_words(problem.where), remedy=remedy))


def told(remark: Remark | AcceptedIrregularity) -> str:
    """Return where a remark belongs and what it says in the words of pages, without what to do."""
    return placed(plain_words(remark.where), plain_words(remark.what))
