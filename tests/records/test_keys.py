"""Keys of the tables that are made from events: none can ever be given twice."""

import pytest

pytestmark = pytest.mark.usefixtures("laboratory")


def test_what_came_in_with_a_worksheet_can_never_meet_the_number_of_a_later_event():
    """A determination at the bench has the number of its event as its key, and those are 1, 2, 3 … for ever."""
    from assaywright.records.models import Determination, Event

    imported = Determination.objects.filter(version__in=Event.objects.filter(kind="assay.imported").values("number"))
    assert imported.count() > 20
    assert not imported.filter(pk__gt=0).exists()


def test_the_solution_in_the_burette_is_that_of_the_heading():
    from assaywright.records.models import Assay

    by_number = {one.identity: one for one in Assay.objects.all()}
    assert by_number["WS-26-0903"].in_burette == by_number["WS-26-0903"].content["titrant"]["lot"] == "T-0918"
    assert by_number["WS-26-0912"].in_burette == "T-0918", "in a back titration it is what the excess is titrated with"
