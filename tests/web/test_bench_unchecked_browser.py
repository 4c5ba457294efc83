"""Checks nobody has gone through are asked for once something is typed, in one line, and nothing waits for them."""

from playwright.sync_api import expect

from tests.web.portions import READINGS
from tests.web.test_bench_browser import one_typed, player, server, sheet, tablet  # noqa: F401 - fixtures


def test_typing_before_the_checks_asks_for_them_and_goes_on(server, tablet, sheet):  # noqa: F811
    page = tablet().bench(sheet)
    line = page.locator("#unchecked")
    expect(line).to_be_hidden()
    one_typed(page, 1, READINGS[0])
    expect(line).to_be_visible()
    page.locator("#check").click()
    expect(line).to_be_hidden()
    recorded = [one for one in server.ask("events", subject=sheet) if one["kind"] == "determination.recorded"]
    assert recorded
    assert recorded[0]["unchecked"] is True
