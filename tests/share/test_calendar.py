"""A calendar read by a second library (icalendar) and held against the rules of RFC 5545."""

import datetime as dt
import itertools
import re
from dataclasses import replace
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest

from rideready.errors import BadInput
from rideready.model.condition import Clearance
from rideready.share.calendar_events import StartTimes, cancelled, events_of
from rideready.share.calendar_file import CalendarEvent, CalendarSettings, escaped, folded, write_calendar
from rideready.share.fit_plan import fit_plan
from rideready.share.zone_rules import zone_named
from tests.share.plans import WINDOW, a_beginner, a_fitted_plan, a_plan

NOW = dt.datetime(2026, 10, 5, 12, 0, tzinfo=dt.UTC)
OSLO = ZoneInfo("Europe/Oslo")
SETTINGS = CalendarSettings("Plan", NOW, sequence=3, zone=OSLO, alarm_min=30)


def _written(settings: CalendarSettings = SETTINGS) -> bytes:
    return write_calendar(events_of(a_fitted_plan(), StartTimes()), settings)


def _read(content: bytes) -> list[Any]:
    calendar = icalendar.Calendar.from_ical(content)
    assert not calendar.errors
    events: list[Any] = calendar.walk("VEVENT")
    assert not any(event.errors for event in events)
    return events


def test_every_planned_session_is_an_event_that_another_library_reads() -> None:
    fitted = a_fitted_plan()
    planned = sum(len(day.sessions) for week in fitted.weeks for day in week.days)
    events = _read(_written())
    assert len(events) == planned + 1  # and the opening day
    assert planned > 30
    assert len({str(event["UID"]) for event in events}) == len(events)
    assert {event["SEQUENCE"] for event in events} == {3}
    opening = events[-1]
    assert opening["DTSTART"].dt == WINDOW.likely


def test_sessions_begin_at_the_same_local_time_before_and_after_the_clocks_change() -> None:
    starts = [
        event["DTSTART"].dt for event in _read(_written()) if isinstance(event["DTSTART"].dt, dt.datetime)
    ]
    first_of_day = {moment.date(): moment for moment in reversed(starts)}
    workdays = {day: moment for day, moment in first_of_day.items() if day.weekday() < 5}
    # Summer time ends in the European Union on the last Sunday of October (directive 2000/84/EC).
    before = {moment.utcoffset() for day, moment in workdays.items() if day < dt.date(2026, 10, 25)}
    after = {moment.utcoffset() for day, moment in workdays.items() if day > dt.date(2026, 10, 25)}
    assert {moment.time() for moment in workdays.values()} == {dt.time(18, 0)}
    assert before == {dt.timedelta(hours=2)}
    assert after == {dt.timedelta(hours=1)}


@pytest.mark.parametrize("name", ["Europe/Oslo", "America/Denver", "Australia/Lord_Howe", "Asia/Kolkata"])
def test_the_zone_that_is_written_down_agrees_with_the_zone_database(name: str) -> None:
    zone = ZoneInfo(name)
    content = _written(replace(SETTINGS, zone=zone)).replace(name.encode(), b"Somewhere/Unknown")
    described: Any = icalendar.Calendar.from_ical(content).walk("VTIMEZONE")[0]
    written = described.to_tz(lookup_tzid=False)
    for hours in range(24 * 70):
        moment = dt.datetime(2026, 10, 6, tzinfo=dt.UTC) + dt.timedelta(hours=hours)
        local = moment.astimezone(zone).replace(tzinfo=None)
        if _is_plain(local, zone):
            assert written.utcoffset(local) == local.replace(tzinfo=zone).utcoffset(), local


def _is_plain(local: dt.datetime, zone: ZoneInfo) -> bool:
    """Whether a local time exists once; the hour of the change does not."""
    return local.replace(tzinfo=zone).utcoffset() == local.replace(tzinfo=zone, fold=1).utcoffset()


def test_a_session_over_the_change_of_the_clocks_lasts_as_long_as_planned() -> None:
    event = CalendarEvent("u", dt.date(2026, 10, 25), dt.time(2, 30), 90, "Night ride")
    found = _read(write_calendar([event], SETTINGS))[0]
    start, end = (found[name].dt.astimezone(dt.UTC) for name in ("DTSTART", "DTEND"))
    assert end - start == dt.timedelta(minutes=90)


def test_no_line_is_longer_than_75_octets_and_all_end_with_crlf() -> None:
    content = _written()  # RFC 5545, 3.1
    lines = content.split(b"\r\n")
    assert lines[-1] == b""
    assert max(map(len, lines)) <= 75
    assert b"\n" not in content.replace(b"\r\n", b"")
    content.decode("utf-8")


@pytest.mark.parametrize("text", ["ø" * 200, "a" * 74 + "é" + "x" * 80, "日本" * 90])
def test_folding_never_cuts_a_character(text: str) -> None:
    written = folded(f"SUMMARY:{text}")
    assert all(len(line) <= 75 and line.decode("utf-8") is not None for line in written.split(b"\r\n"))
    assert written.replace(b"\r\n ", b"").decode("utf-8") == f"SUMMARY:{text}\r\n"


@pytest.mark.parametrize(
    "text",
    [
        "comma, semicolon; backslash \\ and\nline",
        "END:VEVENT\r\nBEGIN:VALARM\r\nACTION:AUDIO",
        "\\n is no line break",
        "a\rb",
    ],
)
def test_a_text_comes_back_as_it_was_and_never_becomes_a_line_of_its_own(text: str) -> None:
    event = CalendarEvent("uid;1", dt.date(2026, 10, 6), None, 0, text, text)
    found = _read(write_calendar([event], replace(SETTINGS, alarm_min=None)))
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    assert [str(one["SUMMARY"]) for one in found] == [plain]
    assert found[0].subcomponents == []


def test_control_characters_are_left_out() -> None:
    assert escaped("a\x00\x07b\u202ec") == "abc"


def test_an_alarm_rings_before_a_session_and_never_for_a_whole_day() -> None:
    events = _read(_written())
    alarms = [alarm for event in events for alarm in event.walk("VALARM")]
    assert len(alarms) == len(events) - 1
    assert {alarm["TRIGGER"].dt for alarm in alarms} == {dt.timedelta(minutes=-30)}


def test_without_a_start_every_session_is_a_day() -> None:
    content = write_calendar(events_of(a_fitted_plan(), StartTimes(None, None)), SETTINGS)
    assert all(not isinstance(event["DTSTART"].dt, dt.datetime) for event in _read(content))
    assert b"VTIMEZONE" not in content


def test_without_a_zone_times_go_with_the_reader() -> None:
    starts = [event["DTSTART"].dt for event in _read(_written(replace(SETTINGS, zone=None)))]
    assert {moment.tzinfo for moment in starts if isinstance(moment, dt.datetime)} == {None}


def test_sessions_of_one_day_follow_each_other() -> None:
    times = [event for event in events_of(a_fitted_plan(), StartTimes()) if event.start is not None]
    pairs = [(a, b) for a, b in itertools.pairwise(times) if a.day == b.day]
    assert pairs
    for first, second in pairs:
        assert first.start is not None
        assert second.start is not None
        end = dt.datetime.combine(first.day, first.start) + dt.timedelta(minutes=first.minutes)
        assert end == dt.datetime.combine(second.day, second.start)


def test_a_session_that_moves_to_another_day_keeps_its_name() -> None:
    first = events_of(
        fit_plan(a_plan(), a_beginner(minutes_by_weekday=(45, 0, 45, 0, 45, 0, 0))), StartTimes()
    )
    moved = events_of(
        fit_plan(a_plan(), a_beginner(minutes_by_weekday=(0, 45, 0, 45, 0, 45, 0))), StartTimes()
    )
    days, days_moved = ({e.uid: e.day for e in events if "circuit" in e.uid} for events in (first, moved))
    both = days.keys() & days_moved.keys()
    assert len(both) >= 8
    assert all(days[uid] != days_moved[uid] for uid in both)


def test_what_is_no_longer_planned_is_taken_back_and_the_past_is_left_alone() -> None:
    events = events_of(a_fitted_plan(), StartTimes())
    before = [(event.uid, event.day) for event in events]
    back = cancelled(before, events[5:], today=events[3].day)
    gone = [event for event in events[:5] if event.day >= events[3].day]
    assert [event.uid for event in back] == [event.uid for event in gone]
    found = _read(write_calendar(back, SETTINGS))
    assert {str(event["STATUS"]) for event in found} == {"CANCELLED"}


def test_two_riders_of_one_plan_have_names_apart_that_do_not_tell_who_they_are() -> None:
    one, other = ({e.uid for e in events_of(a_fitted_plan(), StartTimes(), whose=n)} for n in ("Tam", "Liv"))
    assert not one & other
    assert not any(re.search("tam|liv", uid, re.IGNORECASE) for uid in one | other)


def test_whoever_is_to_ask_a_doctor_gets_that_entry_and_no_session() -> None:
    fitted = fit_plan(a_plan(), a_beginner(clearance=Clearance.ASK_FIRST))
    summaries = [event.summary for event in events_of(fitted, StartTimes())]
    assert summaries == ["See a doctor before you start", "Opening day, most likely"]


@pytest.mark.parametrize("name", ["Mars/Olympus", "../../etc/localtime", "/etc/passwd", "", "a\0b"])
def test_a_zone_that_is_none_is_refused_in_one_sentence(name: str) -> None:
    with pytest.raises(BadInput, match="there is no time zone of this name"):
        zone_named(name)


def test_a_text_is_escaped_as_the_rules_have_it() -> None:
    assert escaped("a;b,c\\d\ne") == "a\\;b\\,c\\\\d\\ne"  # RFC 5545, 3.3.11


def test_sessions_of_a_kind_are_numbered_down_to_one_so_that_those_left_of_a_week_keep_their_names() -> None:
    for week in a_fitted_plan().weeks:
        stem = f"{week.week.start:%Y%m%d}-circuit-"
        uids = [event.uid for event in events_of(a_fitted_plan(), StartTimes()) if stem in event.uid]
        numbers = [int(uid.split(stem)[1].split("@")[0]) for uid in uids]
        assert numbers == list(range(len(numbers), 0, -1))
