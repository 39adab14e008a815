"""Days and clock times of what is stored: over midnight, over the change to and from summer time."""

import datetime as dt
from pathlib import Path

import pytest

from rideready.importers.mapping import ColumnMapping
from rideready.model.session import Session
from rideready.services.context import open_context
from rideready.services.importing import import_paths
from rideready.services.recoveries import list_recoveries
from rideready.services.sessions import list_sessions
from tests.support.csv_writer import english_csv
from tests.support.stores import a_ride

#: Start in UTC (five minutes before a change, and five before midnight), zone, local day, and the clock at the
#: ends of both efforts, which lie 4 and 10 min after the start. Changes as in the IANA time zone database.
MOMENTS = [
    ("2026-03-29T00:55", "Europe/Oslo", "2026-03-29", ("01:59", "03:05")),
    ("2026-10-25T00:55", "Europe/Oslo", "2026-10-25", ("02:59", "02:05")),
    ("2026-03-08T08:55", "America/Denver", "2026-03-08", ("01:59", "03:05")),
    ("2026-11-01T07:55", "America/Denver", "2026-11-01", ("01:59", "01:05")),
    ("2026-09-01T21:55", "Europe/Oslo", "2026-09-01", ("23:59", "00:05")),
    ("2026-09-02T05:55", "America/Denver", "2026-09-01", ("23:59", "00:05")),
]


@pytest.mark.parametrize(("start", "zone", "day", "ends"), MOMENTS)
def test_a_session_belongs_to_the_day_it_began_and_its_efforts_end_by_the_clock_there(
    start: str, zone: str, day: str, ends: tuple[str, str], tmp_path: Path
) -> None:
    ctx, ride = open_context(tmp_path / "store.sqlite"), a_ride()
    moment = dt.datetime.fromisoformat(f"{start}+00:00")
    path = tmp_path / "ride.csv"
    path.write_bytes(english_csv(Session(ride.t_s, ride.channels, start_utc=moment, zone=zone)))
    import_paths(ctx, [path], mapping=ColumnMapping(zone=zone))
    (row,) = list_sessions(ctx)
    assert row.start_local is not None
    assert row.start_local.date().isoformat() == day
    assert row.duration_s == 839  # seconds, whatever a clock showed
    recoveries = list_recoveries(ctx)
    assert [found.recovery.end_of_effort_s for found in recoveries] == pytest.approx([240, 600], abs=5)
    shown = [found.end_local for found in recoveries]
    since = [(when - moment).total_seconds() for when in shown if when is not None]
    assert since == [found.recovery.end_of_effort_s for found in recoveries]
    near = dt.timedelta(seconds=5)  # by which the ends above may differ
    assert tuple(f"{when + near:%H:%M}" for when in shown if when is not None) == ends
