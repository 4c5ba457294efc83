"""What every act asks alike."""

from assaywright.metrology.refusal import Refusal


def needed(text: str, what: str, where: str) -> str:
    """Return a text without blanks around it.

    Raises:
        Refusal: there is nothing in it.
    """
    if not text.strip():
        raise Refusal(f"{what} is missing", where=where, remedy="write it in a few words")
    return text.strip()
