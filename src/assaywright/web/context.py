"""What every page shows besides its own."""

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest

from assaywright.actions.equipment import IN_CHARGE, WORKERS
from assaywright.records.models import Person
from assaywright.records.models.people import ADMINISTRATOR, MANAGEMENT, REVIEWER, SIGNATORY
from assaywright.web.what_is_this import what_is_this

SECTIONS = (
    ("today", "Today"), ("bench", "Bench"), ("lots", "Lots"), ("solutions", "Solutions"), ("products", "Products"),
    ("equipment", "Equipment"), ("methods", "Methods"), ("certificates", "Certificates"), ("enquiries", "Enquiries"),
    ("people", "People"),
)


@dataclass(frozen=True, slots=True)
class May:
    """What somebody's roles let them do at all, so that a page offers nothing else; each act asks once more itself.

    Fields:
        work: titrate, enter and prepare. review: look at others' work and send it back or sign it.
        charge: define products, authorise retests, conclude investigations. sign: release, issue certificates.
        direct: state what the accreditation covers. administer: people and their roles.
    """

    work: bool = False
    review: bool = False
    charge: bool = False
    sign: bool = False
    direct: bool = False
    administer: bool = False


def may(person: Person | None) -> May:
    """Return what a person may do; nothing where nobody is signed in."""
    def holds(*roles: str) -> bool:
        return person is not None and any(person.has(role) for role in roles)

    return May(work=holds(*WORKERS), review=holds(REVIEWER, SIGNATORY), charge=holds(*IN_CHARGE),
               sign=holds(SIGNATORY), direct=holds(MANAGEMENT), administer=holds(ADMINISTRATOR))


def of_every_page(request: HttpRequest) -> dict[str, Any]:
    """Return who is signed in and what they may do, the sections, and whether this is the demonstration."""
    user = getattr(request, "user", None)
    person = Person.objects.filter(pk=user.get_username()).first() if user and user.is_authenticated else None
    match = getattr(request, "resolver_match", None)
    return {"person": person, "may": may(person), "sections": SECTIONS,
            "section": (match.url_name or "").split(".")[0] if match else "",
            "demonstration": settings.DEMONSTRATION,
            "what": what_is_this(match.url_name or "") if match else "",
            "way_back": request.get_full_path() if request.method == "GET" else request.path}
