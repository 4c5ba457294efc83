"""People and their roles."""

from django.db import models

from assaywright.records.models.kept import MadeFromEvents

ANALYST = "analyst"
REVIEWER = "reviewer"
SIGNATORY = "authorised signatory"
MANAGEMENT = "laboratory management"
ADMINISTRATOR = "administrator"
ROLES = (ANALYST, REVIEWER, SIGNATORY, MANAGEMENT, ADMINISTRATOR)


class Person(MadeFromEvents):
    """Somebody who works with the records. Whoever leaves stays in them; only the door is shut."""

    identity = models.CharField(max_length=60, primary_key=True)
    name = models.CharField(max_length=100)
    roles = models.CharField(max_length=200)
    present = models.BooleanField(default=True)

    def __str__(self) -> str:
        return self.name

    def has(self, role: str) -> bool:
        """Return whether the person holds a role and is still here."""
        return self.present and role in self.roles.split(", ")
