"""Every result of two titrations in one, told while they are typed: against a published item with a printed answer."""

import re
import tomllib

import pytest

from tests.web.test_bench_page import act, keeps, post, sent

pytestmark = pytest.mark.usefixtures("laboratory")


@pytest.fixture
def two_endpoints():
    from assaywright.actions.assays import assay_begin
    from assaywright.assay.method import load_method
    from assaywright.records.toml_text import from_toml

    heading = from_toml(tomllib.loads(load_method("caustic-soda-two-endpoints").further_examples[0].worksheet))
    heading.pop("determination")
    assay_begin(heading=heading, about="0419", rests_on=[], by="ines")
    return heading["id"]


def test_every_result_is_told_by_its_name_with_its_uncertainty_and_what_this_determination_gives(browser,
                                                                                               two_endpoints):
    # A publicly posted item with N/10 hydrochloric acid, 25 mL taken, 25.00 mL and 30.00 mL: its printed answer is
    # 3.20 g/L of sodium hydroxide and 2.12 g/L of sodium carbonate; the total by hand, 30 × 0.1 × 40/25 = 4.80 g/L.
    typed = {"sample_temperature": "20.0", "initial": "0.00", "first": "25.00", "final": "30.00", "temperature": "20.0"}
    answer = post(browser("ines"), f"/bench/live/{two_endpoints}", {"place": 1, "texts": typed})
    told = " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())
    figure = r"(\d\.\d+)"
    stated = re.findall(f"(sodium hydroxide|sodium carbonate) {figure} ± {figure} g/L This determination: {figure} g/L",
                        told)
    assert [name for name, *_ in stated] == ["sodium hydroxide", "sodium carbonate"], told
    for (_, mean, uncertainty, own), printed in zip(stated, (3.20, 2.12), strict=True):
        assert float(mean) == pytest.approx(printed, abs=0.005)
        assert float(own) == pytest.approx(printed, abs=0.005)
        assert 0 < float(uncertainty) < 0.1 * printed
    assert re.search(r"4\.(80|79)\d* ± ", told)


def test_a_burette_refilled_before_the_first_endpoint_keeps_its_reading_in_its_filling(browser, two_endpoints):
    from assaywright.records.models import Determination

    ines = browser("ines")
    readings = [("sample_temperature", "20.0"), ("initial", "10.00"), ("final", "30.00"), ("initial 2", "0.00"),
                ("first 2", "5.00"), ("final 2", "10.00"), ("temperature", "20.0")]
    shown = " ".join(post(ines, f"/bench/live/{two_endpoints}", {"place": 1, "texts": dict(readings)})
                     .content.decode().split())
    assert "to the first endpoint 25.00 mL" in shown
    answers = sent(ines, *keeps(readings, identity=two_endpoints), act("finish", identity=two_endpoints))
    assert {one["state"] for one in answers} == {"kept"}, answers
    page = ines.get(f"/bench/{two_endpoints}").content.decode()
    assert re.search(r'name="first 2"[^>]* value="5.00"', page)
    row = Determination.objects.get(assay=two_endpoints)
    correction = act("correct", identity=two_endpoints, name="first 2", text="5.10", reason="misread the burette")
    answer = sent(ines, correction)
    assert answer[0]["state"] == "kept", answer
    row.refresh_from_db()
    assert (row.content["first"], row.content["first_filling"]) == ("5.10 mL", 2)
    corrected = act("correct", identity=two_endpoints, name="temperature", text="20.2", reason="misread the burette")
    assert sent(ines, corrected)[0]["state"] == "kept"
    row.refresh_from_db()
    assert (row.content["first"], row.content["first_filling"]) == ("5.10 mL", 2)
