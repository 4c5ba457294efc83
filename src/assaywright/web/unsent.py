"""What was typed into a form that could not be taken, because the session had ended: kept and sent on after signing in.

It travels through the sign-in page as one sealed field: signed, so that nobody else can put words into it, and never
with a password in it. Files are not kept; they are asked for again by name.
"""

from dataclasses import dataclass

from django.core import signing
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

SEAL = "assaywright.unsent"
LONGEST_WAIT_S = 24 * 60 * 60
OWN_FIELDS = ("csrfmiddlewaretoken",)
SECRETS = ("password", "token")
WORDS = {"do": "what to do"}


@dataclass(frozen=True)
class Unsent:
    """A form as it was sent.

    Fields:
        path: where to.
        fields: names with what was typed, in order.
        secrets: names of the passwords among them, to be typed again.
        files: names of the files among them, to be chosen again.
    """

    path: str
    fields: tuple[tuple[str, str], ...]
    secrets: tuple[str, ...]
    files: tuple[str, ...]

    @property
    def shown(self) -> tuple[tuple[str, str], ...]:
        """What a person has typed, by the names of the fields in words; marks of the page itself left out."""
        return tuple((WORDS.get(name, name.replace("_", " ").replace(".", " ")), text) for name, text in self.fields
                     if text and name not in ("act", "version", "file"))


@dataclass(frozen=True)
class UnsentPage:
    """What the page shows that sends it on."""

    unsent: Unsent
    sentence: str


def from_request(request: HttpRequest) -> Unsent:
    """Return what a form was sent with."""
    pairs = [(name, text) for name, texts in request.POST.lists() for text in texts if name not in OWN_FIELDS]
    return Unsent(
        request.get_full_path(), tuple((name, text) for name, text in pairs if not _is_secret(name)),
        tuple(dict.fromkeys(name for name, _text in pairs if _is_secret(name))), tuple(request.FILES))


def _is_secret(name: str) -> bool:
    return any(word in name.casefold() for word in SECRETS)


def sealed(unsent: Unsent) -> str:
    """Return it as one field of a form."""
    content = [unsent.path, unsent.fields, unsent.secrets, unsent.files]
    return signing.dumps(content, salt=SEAL, compress=True)


def unsealed(text: str) -> Unsent | None:
    """Return what :func:`sealed` has sealed; None where it is nothing of ours, or is older than a day."""
    if not text:
        return None
    try:
        path, fields, secrets, files = signing.loads(text, salt=SEAL, max_age=LONGEST_WAIT_S)
    except signing.BadSignature:
        return None
    return Unsent(path, tuple((name, typed) for name, typed in fields), tuple(secrets), tuple(files))


def page(request: HttpRequest, unsent: Unsent, sentence: str, status: int = 200) -> HttpResponse:
    """Return the page that shows what was typed and sends it on."""
    return render(request, "web/unsent.html", {"page": UnsentPage(unsent, sentence)}, status=status)
