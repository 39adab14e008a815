"""Moments are shown by the clock of their place."""

import datetime as dt

import pytest

from rideready.store.values import local_time

NOON = dt.datetime(2026, 1, 15, 12, tzinfo=dt.UTC)
JULY = dt.datetime(2026, 7, 15, 12, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("moment", "zone", "shown"),
    [
        # Offsets of the tz database: Oslo is one hour ahead in winter and two in summer.
        (NOON, "Europe/Oslo", "2026-01-15T13:00:00+01:00"),
        (JULY, "Europe/Oslo", "2026-07-15T14:00:00+02:00"),
        (NOON, "UTC+05:30", "2026-01-15T17:30:00+05:30"),
        (NOON, "UTC-03:00", "2026-01-15T09:00:00-03:00"),
        (NOON, "UTC-7", "2026-01-15T05:00:00-07:00"),
        (NOON, "UTC", "2026-01-15T12:00:00+00:00"),
        (NOON, None, "2026-01-15T12:00:00+00:00"),
        (NOON, "Nowhere/At_All", "2026-01-15T12:00:00+00:00"),
        (NOON, "UTC+99:00", "2026-01-15T12:00:00+00:00"),
        (NOON, "../etc/passwd", "2026-01-15T12:00:00+00:00"),
    ],
)
def test_a_moment_is_brought_to_the_clock_of_its_place(
    moment: dt.datetime, zone: str | None, shown: str
) -> None:
    found = local_time(moment, zone)
    assert found is not None
    assert found.isoformat() == shown
    assert found == moment


def test_no_moment_stays_none() -> None:
    assert local_time(None, "Europe/Oslo") is None
