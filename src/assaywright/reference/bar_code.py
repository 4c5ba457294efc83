"""Code 128: a short text as bars and spaces that a scanner reads, by the table of its symbol characters."""

from assaywright.metrology.refusal import Refusal
from assaywright.reference.load import by_key

START_B, STOP, MODULUS = 104, 106, 103
FIRST_LETTER, LAST_LETTER = 32, 127
QUIET_MODULES = 10  # clear space on either side


def symbol_values(text: str) -> tuple[int, ...]:
    """Return the values of the symbol characters of a text in code set B: start, letters, check, stop.

    check = (104 + sum(i v_i)) mod 103, with v_i the value of the i-th letter, its place in ASCII less 32

    Arguments:
        text: printable ASCII.

    Raises:
        Refusal: nothing, or a letter that the code set does not hold.

    Source: ISO/IEC 15417, symbol check character (from memory).

    Example:
        >>> symbol_values("Wikipedia")[-2]
        88
    """
    places = [ord(letter) for letter in text]
    if not places or not all(FIRST_LETTER <= place < LAST_LETTER for place in places):
        raise Refusal(f"'{text}' cannot be written as a bar code", where="worksheet's number",
                      remedy="use letters from A to Z, figures and plain signs")
    values = [place - FIRST_LETTER for place in places]
    check = (START_B + sum(number * value for number, value in enumerate(values, start=1))) % MODULUS
    return START_B, *values, check, STOP


def bar_widths(text: str) -> tuple[int, ...]:
    """Return the widths of bars and spaces in turn, a bar first, in modules.

    Arguments:
        text: as for :func:`symbol_values`.
    """
    rows = by_key("code_128")
    return tuple(int(width) for value in symbol_values(text) for width in rows[str(value)]["widths"])
