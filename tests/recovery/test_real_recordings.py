"""What a person sees in the plotted curves of real recordings; checked by eye, file by file."""

import csv

import numpy as np
import pytest

from rideready.importers.registry import read_session
from rideready.model.recovery import Grade, Mode
from rideready.model.rider import Rider
from rideready.model.session import Session
from rideready.recovery.measure import find_recoveries
from tests.support.recordings import recording

#: Ends of effort read off the plotted curve by eye, min from the start; the eye is good to about 15 s.
BY_EYE_MIN = {
    "recording-01.fit": [32.9, 44.3],
    "recording-02.fit": [7.5, 13.9, 16.6, 20.5, 30.1],
    "recording-08.fit": [6.3, 12.7, 24.6, 32.7, 40.9, 48.9, 56.9],
    "recording-09.fit": [3.0, 12.9, 42.7, 48.0, 52.8, 67.3, 87.4, 97.2, 99.8, 113.6],
}


@pytest.mark.parametrize("name", BY_EYE_MIN)
def test_what_the_eye_sees_is_found(name: str) -> None:
    found_s = np.array([r.end_of_effort_s for r in find_recoveries(read_session(recording(name)), Rider())])
    missed = [end for end in BY_EYE_MIN[name] if np.abs(found_s - 60 * end).min() > 30]
    assert missed == []
    assert np.diff(found_s).min() > 15


def test_a_long_ride_of_bursts_shows_its_many_short_falls() -> None:
    found = find_recoveries(read_session(recording("recording-03.fit")), Rider())
    assert 35 <= len(found) <= 65
    assert np.mean([r.window_s < 60 for r in found]) > 0.5


@pytest.mark.parametrize("name", ["recording-04.fit", "recording-05.fit", "recording-10.fit"])
def test_the_negative_controls_give_nothing_worth_more_than_a_rough_grade(name: str) -> None:
    found = find_recoveries(read_session(recording(name)), Rider())
    assert {r.grade for r in found} <= {Grade.NONE, Grade.ROUGH}
    assert not [r for r in found if r.hrr60_bpm is not None and r.grade != Grade.NONE]


def test_the_lab_ramp_ends_where_its_phase_is_marked() -> None:
    # Phase RECOVERY from 857 s, peak of 190 at 860 s; 153 bpm a minute after the peak.
    (found,) = find_recoveries(read_session(recording("lab-ramp-01.csv")), Rider())
    assert abs(found.end_of_effort_s - 857) <= 10
    assert found.peak_bpm == pytest.approx(190, abs=3)
    assert found.hrr60_bpm == pytest.approx(190 - 155, abs=4)


def test_a_recovery_cut_short_has_no_one_minute_drop_and_says_why() -> None:
    last = find_recoveries(read_session(recording("lab-ramp-02.csv")), Rider())[-1]
    assert last.hrr60_bpm is None
    assert {"recovery.cut_by_end", "recovery.no_hrr60"} <= {reason.code for reason in last.reasons}


def test_braked_cycle_tests_end_at_the_drop_in_load() -> None:
    with recording("effort-tests.csv").open(encoding="utf-8") as file:
        rows = [
            (int(r["id"]), float(r["time"]), float(r["load"]), float(r["hr"])) for r in csv.DictReader(file)
        ]
    table = np.array(rows)
    near = moving = 0
    for number in range(1, 12):
        _, t_s, load_w, hr_bpm = table[table[:, 0] == number].T
        session = Session.from_arrays(t_s, hr_bpm, power_w=load_w)
        # The drop: from the last sample above half the top load to the next.
        last = np.flatnonzero(load_w > load_w.max() / 2)[-1]
        low_s, high_s = t_s[last] - t_s[0], t_s[last + 1] - t_s[0]
        found = [
            r for r in find_recoveries(session, Rider()) if low_s - 15 <= r.end_of_effort_s <= high_s + 15
        ]
        near += bool(found)
        moving += bool(found) and found[0].mode == Mode.MOVING
        assert all(r.hrr30_bpm is None and r.t30_s is None for r in found)
    assert near >= 9
    assert moving >= 9
