"""What every form of the pages has in common: what was typed, the act's own number, the version looked at, signing."""

import hashlib
import unicodedata
import uuid
from collections.abc import Callable, Mapping
from datetime import date
from zoneinfo import ZoneInfo

from django.conf import settings
from django.contrib.auth import authenticate
from django.http import HttpRequest, QueryDict

from assaywright.actions.permission import NotAllowed
from assaywright.actions.signatures import signature_refuse
from assaywright.metrology.refusal import Refusal
from assaywright.records import clock
from assaywright.records.log import AnotherAct
from assaywright.records.models import Event
from assaywright.web.figures import with_points
from assaywright.web.said import in_words

LONGEST = 4000
CARRIED = "file"  # the field in which a form carries a chosen file along
LONGER = {"text": 200_000, CARRIED: 4_200_000}  # the laboratory's own method as it stands in a file; a chosen file
MOST_SENT = 40
NOT_CONTENT = ("csrfmiddlewaretoken", "act")
KEPT_CONTROLS = "\n\t"
Acts = Mapping[str, Callable[[], object]]
NEVER_SHOWN = ("csrfmiddlewaretoken", "password", "act", "version", "do")


def typed(request: HttpRequest) -> dict[str, str]:
    """Return what was typed, by field, whole: without control characters, figures with a decimal point.

    What is too long is refused when the act is done (:func:`act_of`), so that the form is shown again with all of it.
    """
    return _read(request.POST)


def asked_for(request: HttpRequest) -> dict[str, str]:
    """Return what stands in the address of a page, in the same way."""
    return _read(request.GET)


def _read(sent: QueryDict) -> dict[str, str]:
    return with_points({name: _plain(sent.get(name, "")) for name in sent if name != CARRIED}, settings.DECIMAL_MARK)


def _plain(text: str) -> str:
    return "".join(one for one in text.replace("\r\n", "\n")
                   if one in KEPT_CONTROLS or unicodedata.category(one) not in ("Cc", "Cs"))


def _not_too_long(request: HttpRequest) -> None:
    """Refuse a text that is longer than a field holds, with the field and both lengths."""
    for name in request.POST:
        text, most = request.POST.get(name, ""), LONGER.get(name, LONGEST)
        length = len(text if name == CARRIED else _plain(text))
        if length > most:
            raise Refusal(f"the text has {length} characters, and {most} fit into the field",
                          where=name.replace("_", " ").replace(".", " "), remedy="shorten it; nothing was recorded yet")


def act_of(request: HttpRequest, *parts: object) -> str:
    """Return the UUID of an act: that of the page, made the act's own by what is done to what.

    Raises:
        AnotherAct: the form was sent before and the act done, with something else typed into it.
        Refusal: a text is longer than its field holds.
    """
    _not_too_long(request)
    page = request.POST.get("act", "")
    if not page:
        return ""
    act = str(uuid.uuid5(uuid.NAMESPACE_OID, f"{page}:{':'.join(map(str, parts))}"))
    _same_as_before(request, act)
    return act


def _same_as_before(request: HttpRequest, act: str) -> None:
    """Refuse a form that comes again with other content, such as from the browser's way back: it was taken already."""
    content = sorted((name, texts) for name, texts in request.POST.lists() if name not in NOT_CONTENT)
    digest = hashlib.sha256(f"{request.session.session_key}{content}".encode("utf-8", "replace")).hexdigest()
    sent: dict[str, str] = request.session.get("sent", {})
    if Event.objects.filter(act=act).exists():
        if sent.get(act, digest) != digest:
            raise AnotherAct("this form was sent before and taken, with something else in it", where="form",
                             remedy="reload the page, look at what is on record, and enter anew what is to change")
        return
    request.session["sent"] = dict([*sent.items(), (act, digest)][-MOST_SENT:])


def fresh_act() -> str:
    """Return a new UUID for a page."""
    return str(uuid.uuid4())


def version_of(request: HttpRequest) -> int | None:
    """Return the version that the page showed, or None where the form sends none.

    Raises:
        Refusal: it is no number.
    """
    text = request.POST.get("version", "")
    if not text:
        return None
    if not text.isascii() or not text.isdigit() or len(text) > len("999999999999"):
        raise Refusal("the page's version cannot be read", where="version", remedy="reload the page")
    return int(text)


def place_of(request: HttpRequest) -> int:
    """Return the number of the determination that a form is about.

    Raises:
        Refusal: it is no number.
    """
    text = request.POST.get("place", "")
    if not text.isascii() or not text.isdigit() or len(text) > len("9999"):
        raise Refusal("no determination is named", where="determination", remedy="reload the page")
    return int(text)


def today() -> date:
    """Return the laboratory's day."""
    return clock.now().astimezone(ZoneInfo(settings.LABORATORY_ZONE)).date()


def sign(request: HttpRequest, *, subject: str, meaning: str) -> None:
    """Ask for the password once more, for a signature; a wrong one is refused and recorded.

    Raises:
        Refusal: the password is wrong.
    """
    name = request.user.get_username()
    if authenticate(request, username=name, password=request.POST.get("password", "")) is not None:
        return
    signature_refuse(subject=subject, meaning=meaning, by=name)
    raise Refusal("the password is wrong, and nothing was signed", where="password", remedy="type it once more")


def tried(act: Callable[[], object]) -> str:
    """Do an act, and return the sentence by which it was refused; empty when it was done.

    Raises:
        NotAllowed: it is for others; the page for that says whom to ask.
    """
    try:
        act()
    except NotAllowed:
        raise
    except Refusal as refusal:
        return in_words(refusal)
    return ""


def chosen_act(request: HttpRequest, acts: Acts | Callable[[], Acts]) -> str:
    """Do the act that a form of a page with several forms names; return the sentence of its refusal, or empty.

    Arguments:
        acts: by the name that each form carries; or what makes them, where a form may be refused while they are made.

    Raises:
        NotAllowed: it is for others.
    """
    def chosen() -> object:
        known = acts() if callable(acts) else acts
        act = Refusal.unless(known.get(request.POST.get("do", "")), "this form is not known here", where="form",
                             remedy="reload the page")
        return act()

    return tried(chosen)


def shown_again(fields: Mapping[str, str]) -> dict[str, str]:
    """Return what was typed, as a form shows it again: no password and nothing of the form's own."""
    return {name: text for name, text in fields.items() if name not in NEVER_SHOWN}
