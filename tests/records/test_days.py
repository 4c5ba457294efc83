"""The laboratory's days: clock changes, a clock that goes backwards, expiry at the end of the laboratory's day.

Summer time in Germany began on 29 March 2026 at 01:00 UTC and ended on 25 October 2026 at 01:00 UTC (Directive
2000/84/EC, articles 2 and 3: last Sundays of March and October, 01:00 UTC). Winter offset +01:00, summer +02:00.
"""

from datetime import UTC, date, datetime, timedelta

import pytest

from assaywright.metrology.refusal import Refusal

HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def berlin(django_ready, monkeypatch):
    return in_zone(monkeypatch, "Europe/Berlin")


def in_zone(monkeypatch, name):
    from django.conf import settings

    monkeypatch.setattr(settings, "LABORATORY_ZONE", name)


def at(text):
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@pytest.mark.parametrize(("stored", "shown"), [
    ("2026-03-29T00:59:59.000000Z", "2026-03-29 01:59 +01:00"),
    ("2026-03-29T01:00:00.000000Z", "2026-03-29 03:00 +02:00"),
    ("2026-10-25T00:30:00.000000Z", "2026-10-25 02:30 +02:00"),
    ("2026-10-25T01:30:00.000000Z", "2026-10-25 02:30 +01:00"),
    ("2026-12-31T23:30:00.000000Z", "2027-01-01 00:30 +01:00"),
])
def test_a_stored_moment_is_shown_in_the_laboratorys_zone_with_its_offset(stored, shown):
    from assaywright.records import days

    assert days.shown(stored) == shown


def test_the_hour_that_comes_twice_keeps_its_order_in_the_records():
    from assaywright.records import days

    first, second = "2026-10-25T00:30:00.000000Z", "2026-10-25T01:30:00.000000Z"
    assert first < second
    assert days.local(second) - days.local(first) == timedelta(0), "the zone's own clock shows no difference"
    assert days.shown(first) != days.shown(second)


@pytest.mark.parametrize(("typed", "words"), [
    ("2026-03-29 02:30", "does not exist, for summer time skips it"),
    ("2026-10-25 02:30", "comes twice, for summer time ends then"),
    ("2026-10-25", "is a day, and a time is wanted"),
    ("soon", "is not a date"),
])
def test_a_time_that_may_mean_two_or_none_is_asked_about(typed, words):
    from assaywright.records import days

    with pytest.raises(Refusal, match=words):
        days.stored(typed)


@pytest.mark.parametrize(("typed", "stored"), [
    ("2026-03-29 01:59", "2026-03-29T00:59:00.000000Z"),
    ("2026-03-29 03:00", "2026-03-29T01:00:00.000000Z"),
    ("2026-10-25T02:30:00+02:00", "2026-10-25T00:30:00.000000Z"),
    ("2026-10-25T02:30:00+01:00", "2026-10-25T01:30:00.000000Z"),
    ("2026-07-01 12:00", "2026-07-01T10:00:00.000000Z"),
])
def test_a_time_as_typed_is_stored_in_utc(typed, stored):
    from assaywright.records import days

    assert days.stored(typed) == stored


@pytest.mark.parametrize(("day", "hours"), [("2026-03-28", 24), ("2026-03-29", 23), ("2026-10-25", 25)])
def test_a_day_has_the_hours_that_it_has(day, hours):
    from assaywright.records import days

    one = date.fromisoformat(day)
    assert days.ends(one) - days.begins(one) == hours * HOUR


@pytest.mark.parametrize(("use_before", "last"), [
    ("2026-11-30", "2026-11-30T22:59:59"), ("2026-11", "2026-11-30T22:59:59"), ("2028-02", "2028-02-29T22:59:59"),
    ("2026-07-31", "2026-07-31T21:59:59"), ("2026-03-29", "2026-03-29T21:59:59"), ("2026-10-25", "2026-10-25T22:59:59"),
])
def test_a_day_or_a_month_lasts_through_its_last_day_in_the_laboratory(use_before, last):
    from assaywright.records import days

    assert not days.expired(use_before, at(last))
    assert days.expired(use_before, at(last) + timedelta(seconds=1))


def test_what_has_no_date_does_not_expire_and_what_is_no_date_is_refused():
    from assaywright.records import days

    assert not days.expired("", at("2199-01-01T00:00:00"))
    with pytest.raises(Refusal, match="is not a date"):
        days.expired("next year")


def test_a_zone_where_the_clocks_change_at_midnight_has_days_without_a_gap(monkeypatch):
    """Chile puts its clocks forward at midnight (6 September 2026, 24:00 to 01:00: IANA time zone database)."""
    from assaywright.records import days

    in_zone(monkeypatch, "America/Santiago")
    before, after = date(2026, 9, 5), date(2026, 9, 6)
    assert days.ends(before) == days.begins(after)
    assert days.ends(after) - days.begins(after) == 23 * HOUR


def test_today_is_the_laboratorys_day_and_not_that_of_utc(monkeypatch):
    from assaywright.records import clock, days

    monkeypatch.setattr(clock, "now", lambda: at("2026-11-30T23:30:00"))
    assert days.today() == date(2026, 12, 1)
    in_zone(monkeypatch, "America/Santiago")
    assert days.today() == date(2026, 11, 30)


def test_a_zone_that_is_none_is_refused_with_the_setting(monkeypatch):
    from assaywright.records import days

    in_zone(monkeypatch, "Berlin")
    with pytest.raises(Refusal, match="ASSAYWRIGHT_ZONE"):
        days.today()


def test_events_of_that_night_stand_in_the_order_in_which_they_happened(people, monkeypatch):
    """The records' own order is the chain's; the night's hour that comes twice is no clock that went backwards."""
    from assaywright.records import clock, days
    from assaywright.records.check import check_records
    from assaywright.records.log import append

    made = []
    for moment in ("2027-10-31T00:10:00", "2027-10-31T00:50:00", "2027-10-31T01:10:00", "2027-10-31T01:50:00"):
        monkeypatch.setattr(clock, "now", lambda moment=moment: at(moment))
        made.append(append("lot.held", subject="0941", by="ines", payload={}, reason="a drop spilt").recorded_at)
    assert [days.shown(one)[11:16] for one in made] == ["02:10", "02:50", "02:10", "02:50"]
    found = check_records()
    assert (found.faults, found.remarks) == ([], [])


def test_a_clock_set_back_is_remarked_and_nothing_is_refused(people, monkeypatch):
    from assaywright.records import clock
    from assaywright.records.check import check_records
    from assaywright.records.log import append

    monkeypatch.setattr(clock, "now", lambda: at("2020-01-01T00:00:00"))
    append("lot.held", subject="0941", by="ines", payload={}, reason="a drop spilt")
    found = check_records()
    assert found.faults == []
    assert found.remarks == ["event 5 bears an earlier time than the one before it: a clock went backwards"]
