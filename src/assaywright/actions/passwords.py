"""Links by which a password is chosen, and passwords chosen: on record, never with what would open anything."""

from assaywright.actions.people import COMMAND
from assaywright.actions.permission import demand
from assaywright.metrology.refusal import Refusal
from assaywright.records import passwords
from assaywright.records.log import append
from assaywright.records.models import Event, Person
from assaywright.records.models.people import ADMINISTRATOR
from assaywright.records.untouched import subjects_of


def link_made(*, identity: str, by: str) -> Event:
    """Record that a link was made by which somebody chooses a password.

    Raises:
        Refusal: there is nobody present of that name, or ``by`` may not.
    """
    demand(by, ADMINISTRATOR)
    _demand_present(identity)
    return append(passwords.MADE, subject=identity, by=by, payload={})


def password_chosen(*, identity: str, how: str) -> Event:
    """Record that somebody has a new password.

    Arguments:
        how: :data:`~assaywright.records.passwords.LINK`, COMMAND or OWN; of a link, whose it was is looked up.

    Raises:
        Refusal: there is nobody present of that name.
    """
    _demand_present(identity)
    link = passwords.link_before(identity) if how == passwords.LINK else None
    of_link = {"link_of": link.by, "link_event": link.number} if link is not None else {}
    return append(passwords.CHOSEN, subject=identity, by=COMMAND if how == passwords.COMMAND else identity,
                  payload={"how": how, **of_link})


def demand_no_link_of_own(number: str, by: str) -> None:
    """Refuse to decide about a lot or a solution that rests on a signature behind which one's own link stands.

    Raises:
        Refusal: somebody signed something of it with a password that was chosen by a link of ``by``.
    """
    event = passwords.signed_behind_link(subjects_of(number, by), by)
    if event is not None:
        names = dict(Person.objects.values_list("identity", "name"))
        who, maker = names.get(event.by, event.by), names.get(by, by)
        raise Refusal(f"{who} signed {event.subject} with a password that was set by a link of {maker} (event "
                      f"{event.number})", where=number,
                      remedy="let another authorised signatory decide, or have it signed anew after another "
                             "administrator has made a link, or the password was set by command")


def _demand_present(identity: str) -> None:
    Refusal.unless(Person.objects.filter(pk=identity, present=True).first(), f"nobody here is called '{identity}'",
                   where="sign-in name", remedy="choose somebody from the list")
