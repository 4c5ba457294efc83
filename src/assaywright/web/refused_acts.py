"""The log of refused acts: a file of the folder, one line of JSON for each, without a word of what was typed.

It is a file and no event, since whoever is refused could otherwise fill the records; a refused signature alone is an
event. The sentence in it is the one that the page said.
"""

import html
import json
import logging
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse

from assaywright.records import clock
from assaywright.records.models import Person
from assaywright.web.logs import REFUSED as FILE

SAID = re.compile(rb'role="alert"[^>]*>(.*?)</', re.DOTALL)
MARKUP = re.compile(r"<[^>]+>")
LONGEST = 400
refused = logging.getLogger("assaywright.refused")


@dataclass(frozen=True)
class RefusedAct:
    """One refused act.

    Fields:
        at: when, UTC.
        who: identity of the person; "nobody" before signing in.
        address: of the machine it came from.
        act: method and path.
        status: as the browser got it.
        said: the sentence on the page.
    """

    at: str
    who: str
    address: str
    act: str
    status: int
    said: str


def write(request: HttpRequest, answer: HttpResponse) -> None:
    """Write one line."""
    user = getattr(request, "user", None)
    who = user.get_username() if user is not None and user.is_authenticated else _tried(request)
    refused.warning("%s", json.dumps({
        "at": clock.written(clock.now()), "who": who, "address": request.META.get("REMOTE_ADDR", ""),
        "act": f"{request.method} {request.path}"[:LONGEST], "status": answer.status_code, "said": _sentence(answer),
    }, ensure_ascii=False))


def _tried(request: HttpRequest) -> str:
    """Return as whom somebody tried to sign in, where there is such a person: a mistyped name may be a password."""
    if request.method != "POST":
        return "nobody"
    try:
        name = request.POST.get("name", "")[:60].strip().lower()
    except (ValueError, OSError):
        return "nobody"
    known = "\0" not in name and Person.objects.filter(pk=name).exists()
    return f"nobody, signing in as {name}" if known else "nobody"


def _sentence(answer: HttpResponse) -> str:
    found = None if answer.streaming else SAID.search(answer.content)
    text = MARKUP.sub("", found[1].decode("utf-8", "replace")) if found else ""
    return " ".join(html.unescape(text).split())[:LONGEST]


def newest(most: int) -> list[RefusedAct]:
    """Return the newest refused acts, the last one first."""
    found = list(_read(Path(settings.LOG_FOLDER) / f"{FILE}.1")) + list(_read(Path(settings.LOG_FOLDER) / FILE))
    return found[::-1][:most]


def _read(file: Path) -> Iterator[RefusedAct]:
    if not file.exists():
        return
    for line in file.read_text(encoding="utf-8", errors="replace").splitlines():
        try:
            yield RefusedAct(**json.loads(line))
        except (ValueError, TypeError):
            continue  # a line cut short when the machine stopped
