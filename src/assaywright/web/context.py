"""What every page shows besides its own."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest

from assaywright.records.models import Person

SECTIONS = (
    ("lots", "Lots"), ("solutions", "Solutions"), ("products", "Products"), ("equipment", "Equipment"),
    ("methods", "Methods"), ("certificates", "Certificates"), ("people", "People"),
)


def of_every_page(request: HttpRequest) -> dict[str, Any]:
    """Return who is signed in, the sections, and whether this is the demonstration."""
    user = getattr(request, "user", None)
    person = Person.objects.filter(pk=user.get_username()).first() if user and user.is_authenticated else None
    match = getattr(request, "resolver_match", None)
    return {"person": person, "sections": SECTIONS, "section": (match.url_name or "").split(".")[0] if match else "",
            "demonstration": settings.DEMONSTRATION,
            "way_back": request.get_full_path() if request.method == "GET" else request.path}
