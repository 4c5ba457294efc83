"""The drift of titrants on their pages: by the standardisations on record, what falls due by it, what rests on them."""

import csv
import io
from datetime import date

import pytest

from tests.web.test_line import plain

pytestmark = pytest.mark.usefixtures("laboratory", "accounts", "drifting")
TITRANT = "T-0902"


@pytest.fixture
def drifting(laboratory):
    """The invented titrant with its five standardisations, as the demonstration brings them in."""
    from assaywright.web.demonstration_titrant import drifting_make

    drifting_make()
    drifting_make()  # a second start adds nothing


def stands(today=date(2026, 11, 30), of=TITRANT):
    from assaywright.records.models import Solution
    from assaywright.records.selectors.drift import standings_of

    return standings_of([Solution.objects.get(pk=of)], today)[of]


def test_drift_and_day_follow_from_the_values_on_record_by_the_plain_formulas_of_a_line():
    """The values are of nearly one weight, so slope and chance are those of a first course in statistics."""
    from scipy import stats

    from assaywright.metrology.stability import limits_of_confidence

    found = stands()
    drift = found.drift
    days = [(one.day - drift.found[0].day).days for one in drift.found]
    values = [one.found.value for one in drift.found]
    plainly = stats.linregress(days, values)
    assert len(values) == 5
    assert drift.per_month.value == pytest.approx(100 * 30.4375 * plainly.slope / values[0], rel=5e-3)
    assert drift.since_first.value == pytest.approx(100 * (values[-1] / values[0] - 1), rel=1e-9)
    assert found.since_first == f"{100 * (values[-1] / values[0] - 1):.3f}".replace("-", "−")
    # What is their own: repeatability of the means of three, 0.05 %/√3 each. The standard's 0.02 % cancels.
    assert drift.since_first.standard_uncertainty == pytest.approx(0.05 * (2 / 3) ** 0.5, rel=0.05)
    assert drift.shown
    last = (drift.until - drift.found[0].day).days
    inside, outside = limits_of_confidence(drift.line, drift.bounds, [last, last + 1])
    assert inside[0] > values[-1] * 0.998 > outside[0]
    assert (found.due, found.by, found.days) == (drift.until, "by its drift", (drift.until - date(2026, 11, 30)).days)
    assert drift.carried_until == date(2027, 3, 30), "twice the 133 days from 7 July to 17 November"
    assert stands(date(2027, 6, 1)).said.startswith("overdue by")


def test_a_control_titration_limits_and_a_reopened_standardisation_change_what_is_told():
    from assaywright.actions.reopening import assay_reopen
    from assaywright.actions.solutions import solution_specify, solution_verify

    before = stands().predicted
    solution_verify(identity=TITRANT, found="0.09980 mol/L", limit_percent="0.12", by="ines")
    after = stands()
    assert after.predicted < before, "the control titration states a smaller largest change"
    assert after.deviation.startswith("−0.05")
    solution_specify(identity=TITRANT, by="maren", table={
        "maker": "Tarn Hollow Reagents", "hazards": ["H290"], "limits": {
            "name": "amount concentration", "lower": "0.0997 mol/L", "upper": "0.1005 mol/L",
            "rule": "simple acceptance"}})
    assert (stands().drift.meets, stands().predicted < after.predicted) == ("limits", True)
    assay_reopen(identity="WS-26-1024", reason="the tare was misread", by="maren")
    assert [one.worksheet for one in stands().drift.found] == ["WS-26-0701", "WS-26-0744", "WS-26-0829", "WS-26-0932"]


def test_list_solution_and_todays_page_tell_the_drift(browser, monkeypatch):
    from lxml import html

    from assaywright.web.pages import today

    ines, found = browser("ines"), stands()
    page = ines.get("/solutions")
    assert f"{found.since_first} ± {found.since_first_u}" in plain(page)
    heads = html.fromstring(page.content.decode()).xpath("//thead//th")
    assert len(heads) == len(html.fromstring(page.content.decode()).xpath("//tbody/tr[1]/*")) == 6, "fits a tablet"
    assert "Lots on it" in heads[-1].text_content()
    by_drift = plain(ines.get("/solutions?sort=-drift"))
    assert by_drift.index(TITRANT) < by_drift.index("T-0917")
    heading, *body = csv.reader(io.StringIO(ines.get("/solutions?as=csv&sort=due").content.decode("utf-8-sig")))
    told = {row[0]: dict(zip(heading, row, strict=True)) for row in body}
    assert told[TITRANT]["Holds until, by its drift"] == found.predicted.isoformat()
    assert told[TITRANT]["Drift since the first, %"] == found.since_first.replace("−", "-")
    assert told["T-0918"]["Lots on it"] == "3"
    assert [row[0] for row in body] == sorted(told, key=lambda one: told[one]["Due"])
    assert list(told) == html.fromstring(ines.get("/solutions").content.decode()).xpath("//tbody//th/a/text()")

    page = html.fromstring(ines.get(f"/solution/{TITRANT}").content.decode())
    (figure,) = page.xpath("//figure/*[local-name()='svg']")
    assert figure.get("aria-labelledby") == "drift-title drift-desc"
    assert "5 standardisations from 7 July 2026 to 17 November 2026" in figure.findtext("desc")
    assert "style=" not in html.tostring(figure).decode()
    table = page.xpath("//table[caption='Standardisations that count']")[0]
    assert [one.text_content() for one in table.xpath(".//tbody//a")] == [
        "WS-26-0701", "WS-26-0744", "WS-26-0829", "WS-26-0932", "WS-26-1024"]
    answer = ines.get("/solution/T-0917")
    assert "None of its standardisations counts yet, so no drift is told." in plain(answer)
    assert "Holds until" not in plain(answer)
    acid = html.fromstring(answer.content.decode())
    assert "WS-26-0878" in acid.xpath("string(//p[starts-with(., 'Standardised against it')])")
    assert "/lot/0942" in acid.xpath("//div[@aria-label='Lots that rest on it']//a/@href")

    for day, told_then in ((date(2026, 12, 20), True), (date(2026, 11, 20), False)):
        monkeypatch.setattr(today, "today", lambda day=day: day)
        assert ("titrant: sodium hydroxide 0.1 mol/L, by its drift" in plain(ines.get("/"))) == told_then
