"""Who may do what."""

from assaywright.metrology.refusal import Refusal
from assaywright.records.models import Person
from assaywright.records.models.people import ROLES


class NotAllowed(Refusal):
    """Somebody wants to do what is for others.

    Arguments:
        roles: of those who may.
    """

    def __init__(self, what: str, *, where: str = "", remedy: str = "", roles: tuple[str, ...] = ()) -> None:
        super().__init__(what, where=where, remedy=remedy)
        self.roles = roles


def demand(by: str, *roles: str) -> Person:
    """Return the person, who must be present and hold one of the roles.

    Raises:
        NotAllowed: there is no such person, they have left, or they lack the role.
    """
    person = Person.objects.filter(pk=by).first()
    if person is None:
        raise NotAllowed(f"nobody here is called '{by}'", where="person", remedy="sign in anew")
    if not person.present:
        raise NotAllowed(f"{person.name} has left the laboratory", where="person", remedy="sign in as somebody present")
    if not any(person.has(role) for role in roles):
        raise NotAllowed(
            f"{person.name} may not do this as {person.roles or 'somebody without a role'}", where="role",
            remedy=f"ask somebody who is {_either(roles)}", roles=roles,
        )
    return person


def _either(roles: tuple[str, ...]) -> str:
    return " or ".join(roles)


def checked_roles(roles: list[str]) -> list[str]:
    """Return roles in their fixed order.

    Raises:
        Refusal: an unknown role.
    """
    for one in roles:
        if one not in ROLES:
            raise Refusal(f"'{one}' is no role", where="roles", remedy=f"choose among {', '.join(ROLES)}")
    return [one for one in ROLES if one in roles]
