"""The diary keeps what the rider writes down, by day."""

import datetime as dt
from pathlib import Path

import pytest

from rideready.store.connect import Store, open_store
from rideready.store.diary import LogEntry, add_log_entry, log_entries, resting_pulses, set_resting_pulse
from rideready.store.riders import add_rider

MONDAY, TUESDAY, FRIDAY = dt.date(2026, 10, 5), dt.date(2026, 10, 6), dt.date(2026, 10, 9)


@pytest.fixture
def store(place: Path | str) -> Store:
    store = open_store(place)
    with store.writing() as connection:
        add_rider(connection, "first")
        add_rider(connection, "second")
    return store


def test_resting_pulses_come_back_by_day_and_the_later_word_counts(store: Store) -> None:
    with store.writing() as connection:
        set_resting_pulse(connection, 1, FRIDAY, 55.0)
        set_resting_pulse(connection, 1, MONDAY, 54.0)
        set_resting_pulse(connection, 1, FRIDAY, 58.0)
        set_resting_pulse(connection, 2, TUESDAY, 70.0)
        assert list(resting_pulses(connection, 1).items()) == [(MONDAY, 54.0), (FRIDAY, 58.0)]
        assert resting_pulses(connection, 1, since=TUESDAY) == {FRIDAY: 58.0}
        assert resting_pulses(connection, 1, until=MONDAY) == {MONDAY: 54.0}


def test_entries_come_back_whole_and_in_order_of_day(store: Store) -> None:
    later = LogEntry(FRIDAY, "strength", 40.0, 6.5, ("sore shoulder", "müde"), "kettlebell")
    sooner = LogEntry(MONDAY, "illness")
    with store.writing() as connection:
        numbers = [add_log_entry(connection, 1, later), add_log_entry(connection, 1, sooner)]
        add_log_entry(connection, 2, sooner)
        assert log_entries(connection, 1) == [sooner, later]
        assert log_entries(connection, 1, since=TUESDAY, until=FRIDAY) == [later]
    assert numbers == [1, 2]
