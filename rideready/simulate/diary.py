"""What was done on which day of the demo's autumn, and with which recorder."""

import datetime as dt
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Entry:
    """One planned session.

    Parameters
    ----------
    day
        Local date.
    workout
        A key of `rideready.simulate.scenario.WORKOUTS`.
    sensor
        "strap", "wrist" or "coarse".
    """

    day: dt.date
    workout: str
    sensor: str


def _entries(table: str) -> tuple[Entry, ...]:
    rows = (line.split() for line in table.strip().splitlines())
    return tuple(Entry(dt.date.fromisoformat(day), workout, sensor) for day, workout, sensor in rows)


#: Runa Vell: three to four sessions a week, none from 12 to 18 October (flu), three the week after.
RUNA_DIARY = _entries("""
2026-08-25 ride-test strap
2026-08-27 bike-and-circuit strap
2026-08-28 strength wrist
2026-08-30 hill-run strap
2026-08-31 bike-and-circuit strap
2026-09-02 hill-run wrist
2026-09-03 strength strap
2026-09-05 step-test strap
2026-09-08 interval-bike strap
2026-09-10 bike-and-circuit strap
2026-09-11 strength strap
2026-09-13 hill-run wrist
2026-09-14 bike-and-circuit strap
2026-09-16 hill-run strap
2026-09-17 strength strap
2026-09-19 burst-test strap
2026-09-22 interval-bike coarse
2026-09-24 bike-and-circuit strap
2026-09-25 strength wrist
2026-09-27 hill-run strap
2026-09-28 bike-and-circuit wrist
2026-09-30 interval-bike strap
2026-10-01 strength strap
2026-10-03 ride-test strap
2026-10-06 interval-bike strap
2026-10-08 bike-and-circuit strap
2026-10-10 burst-test strap
2026-10-11 hill-run wrist
2026-10-20 bike-and-circuit strap
2026-10-22 strength strap
2026-10-24 interval-bike strap
2026-10-26 bike-and-circuit strap
2026-10-28 hill-run wrist
2026-10-29 strength strap
2026-10-31 step-test strap
2026-11-03 interval-bike coarse
2026-11-05 bike-and-circuit strap
2026-11-06 strength wrist
2026-11-08 hill-run strap
2026-11-09 bike-and-circuit strap
2026-11-11 interval-bike strap
2026-11-12 burst-test strap
2026-11-14 ride-test strap
""")

#: Tam Oster: three a week from October on, mostly with a wrist recorder.
PARTNER_DIARY = _entries("""
2026-10-06 step-test wrist
2026-10-08 interval-bike strap
2026-10-11 strength wrist
2026-10-13 bike-and-circuit wrist
2026-10-15 interval-bike strap
2026-10-18 strength wrist
2026-10-20 bike-and-circuit strap
2026-10-22 interval-bike strap
2026-10-25 hill-run wrist
2026-10-27 bike-and-circuit wrist
2026-10-29 interval-bike strap
2026-11-01 hill-run wrist
2026-11-03 bike-and-circuit strap
2026-11-05 strength wrist
2026-11-08 hill-run wrist
2026-11-10 bike-and-circuit strap
2026-11-12 interval-bike strap
2026-11-14 ride-test strap
""")
