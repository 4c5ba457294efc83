"""Anchors: the head of the chain as it once was printed, on a certificate or in a backup."""

from dataclasses import dataclass

from assaywright.records.models import Head

SHORTEST = 16


@dataclass(frozen=True, slots=True)
class Anchor:
    """The head of the chain as it once was.

    Fields:
        number: of the event that was the last.
        digest: its hash, or the beginning of it [hexadecimal].
    """

    number: int
    digest: str

    @classmethod
    def read(cls, text: str) -> "Anchor":
        """Return an anchor from its printed form, ``NUMBER:DIGEST``; the digest may be shortened to 16 characters.

        Raises:
            ValueError: the text is no anchor.
        """
        number, _, digest = text.strip().lower().partition(":")
        known = number.isascii() and number.isdigit() and len(number) < 19
        if not known or not SHORTEST <= len(digest) <= 64 or set(digest) - set("0123456789abcdef"):
            raise ValueError(text)
        return cls(int(number), digest)

    def __str__(self) -> str:
        return f"{self.number}:{self.digest}"


def head_anchor() -> Anchor:
    """Return the head of the chain now."""
    head = Head.objects.get(pk=Head.ONLY)
    return Anchor(head.number, head.digest)
