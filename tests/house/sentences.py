"""What no sentence that tells of a fault may do, wherever it is shown."""

import re
from itertools import pairwise

IN_TWO_UNITS = re.compile(r"\b(an? [a-z ]+) in \S+ or \1 in ")


def assert_well_said(sentence):
    """Assert that a sentence begins with a word, names no place twice, and no kind of quantity once for each unit."""
    assert sentence[:1] not in (":", ",", ";", " "), sentence
    assert ": :" not in sentence, sentence
    assert not IN_TWO_UNITS.search(sentence), sentence
    parts = sentence.split("; ")[0].split(": ")
    for first, second in pairwise(parts):
        assert not re.match(re.escape(first) + r"([ :,.]|$)", second), sentence
