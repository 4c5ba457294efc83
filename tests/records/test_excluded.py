"""Who leaves a determination out is named wherever the worksheet goes.

ISO/IEC 17025:2017, 7.5.2: amendments can be traced to the original, with who is responsible for them.
"""

import pytest

pytestmark = pytest.mark.usefixtures("laboratory")
SHEET = "WS-26-0903"


def outcome():
    from assaywright.records.bridge import evaluate_assay
    from assaywright.records.models import Assay

    return evaluate_assay(Assay.objects.get(pk=SHEET))


def test_an_excluded_determination_names_the_person_on_the_worksheet_and_in_the_remarks():
    from assaywright.actions.assays import determination_exclude, determination_readmit

    determination_exclude(identity=SHEET, place=2, by="tomas", reason="the flask was knocked over")
    left_out = outcome().worksheet.determinations[1]
    assert (left_out.excluded, left_out.excluded_by) == ("the flask was knocked over", "Tomas Rehn")
    told = [one for one in outcome().remarks if "left out" in one.what]
    assert told
    assert not any("nobody" in one.what for one in told)
    determination_readmit(identity=SHEET, place=2, by="ines", reason="it was flask 4 that was knocked over")
    assert not outcome().worksheet.determinations[1].excluded
    assert not outcome().worksheet.determinations[1].excluded_by
