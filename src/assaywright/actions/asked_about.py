"""What is asked about before a determination is recorded: readings that are there already, masses out of proportion."""

from typing import Any

from assaywright.assay.bench.questions import MOST_G
from assaywright.metrology.refusal import Refusal
from assaywright.metrology.typed import read_quantity
from assaywright.records.models import Assay, Determination, Event
from assaywright.records.same_readings import place_of_same

MASSES = {"gross": "gross mass", "tare": "tare", "net": "net mass", "titrant_gross": "gross mass of the titrant",
          "titrant_tare": "tare of the titrant", "titrant_net": "net mass of the titrant"}


class SameReadings(Refusal):
    """The question whether a determination was recorded twice."""


def ask_about_others(assay: Assay, fields: dict[str, Any], *, own: bool, looked_at: int | None) -> None:
    """Ask about readings that another determination has as well, and about what was recorded since the page was shown.

    Arguments:
        fields: of the determination to be recorded.
        own: whether somebody has confirmed that equal readings are readings of their own.
        looked_at: version of the worksheet as it was shown; None where nobody looked at a page.

    Raises:
        Refusal: with the question.
    """
    identity = assay.identity
    same = place_of_same(assay, fields)
    if same is not None and not own:
        raise SameReadings(
            f"determination {same} has the same readings: was it recorded twice", where=identity,
            remedy="leave it as it is; or tick that these are readings of their own, and record them")
    if looked_at is None:
        return
    new = Event.objects.filter(subject=identity, kind="determination.recorded", number__gt=looked_at).order_by("number")
    if new.exists():
        places = Determination.objects.filter(id__in=new.values("number")).order_by("place").values_list(
            "place", flat=True)
        listed = " and ".join(map(str, places))
        raise Refusal(f"determination {listed} was recorded since this page was shown", where=identity,
                      remedy="look at it in the table; if yours is another one, record it now")


def check_masses(assay: Assay, fields: dict[str, Any], place: int) -> None:
    """Refuse a mass that no balance at the bench takes, such as one typed in kilograms by mistake.

    Raises:
        Refusal: with the field in its place.
    """
    mark = str(assay.content.get("decimal_mark", "."))
    for name, words in MASSES.items():
        text = str(fields.get(name, ""))
        try:
            mass = read_quantity(text, "g", decimal_mark=mark).to("g") if text else 0.0
        except Refusal:
            continue  # the worksheet's reader says what is wrong with it
        if mass > float(MOST_G):
            raise Refusal(f"the {words} {text} is more than a balance at the bench takes ({MOST_G:g} g)",
                          where=f"determination {place}",
                          remedy="see the unit beside the field, and correct what is typed")
