"""Every result of two titrations in one, told while they are typed: against a published item with a printed answer."""

import re
import tomllib

import pytest

from tests.web.test_bench_page import post

pytestmark = pytest.mark.usefixtures("laboratory")


@pytest.fixture
def two_endpoints():
    from assaywright.actions.assays import assay_begin
    from assaywright.assay.method import load_method
    from assaywright.records.toml_text import from_toml

    heading = from_toml(tomllib.loads(load_method("caustic-soda-two-endpoints").example.worksheet))
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
