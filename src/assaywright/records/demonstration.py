"""Whether the records are those of the demonstration, and what every paper of it says then."""

from assaywright.assay.certificate import DEMONSTRATION


def mark() -> str:
    """Return what stands at the head of every page printed from these records; empty but in the demonstration."""
    from django.conf import settings

    return DEMONSTRATION if getattr(settings, "DEMONSTRATION", False) else ""
