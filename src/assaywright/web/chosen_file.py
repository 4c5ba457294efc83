"""A file that a form takes: chosen, or carried along in a hidden field since it was chosen, until the form is sent."""

import base64
import binascii

from django.http import HttpRequest

from assaywright.metrology.refusal import Refusal
from assaywright.web.forms import CARRIED

NAME = "file_name"  # of the file that a form carries along


def chosen_file(request: HttpRequest, field: str, words: str, most: int) -> tuple[str, bytes]:
    """Return the name and the bytes of the file that is chosen in a form.

    Arguments:
        field: of the form.
        words: what the file is called on the page.
        most: how large it may be [bytes].

    Raises:
        Refusal: none is chosen, or it is too large.
    """
    chosen = request.FILES.get(field)
    if chosen is None:
        raise Refusal("no file is chosen", where=words, remedy="choose one, then read it")
    if (chosen.size or 0) > most:
        raise Refusal(f"the file is larger than {most // 1_000_000} MB", where=str(chosen.name)[:60],
                      remedy="choose a smaller one, with no more than is needed")
    return _named(str(chosen.name)), chosen.read()


def carried_file(request: HttpRequest, words: str) -> tuple[str, bytes] | None:
    """Return the name and the bytes of the file that a form carries along; None where it carries none.

    Raises:
        Refusal: it did not come along whole.
    """
    text = request.POST.get(CARRIED, "")
    if not text:
        return None
    try:
        data = base64.b64decode(text, validate=True)
    except (binascii.Error, ValueError):
        raise Refusal("the file did not come along whole", where=words,
                      remedy="choose it once more, and read it") from None
    return _named(request.POST.get(NAME, "")), data


def _named(name: str) -> str:
    """Return a file's name as people see it: without signs that nobody sees, which no header of an answer takes."""
    return "".join(one for one in name if one.isprintable()).strip()[:200] or "without a name"


def carried_text(data: bytes) -> str:
    """Return a file as the text of the hidden field."""
    return base64.b64encode(data).decode()
