"""Sessions, recoveries and stores to test with; all figures invented."""

import datetime as dt
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import strategies as st

from rideready.model.clean import Flag
from rideready.model.reason import SENTENCES, Reason
from rideready.model.recovery import CutBy, Evidence, Grade, Mode, Recovery, RecoveryFit
from rideready.model.session import Kind, Session
from rideready.store.values import Analysis, MeasuredRecovery
from tests.support.csv_writer import english_csv

#: An evening in a place whose clock is two hours ahead.
AN_EVENING = dt.datetime(2026, 9, 1, 17, 30, tzinfo=dt.UTC)


def a_session(**changes: Any) -> Session:
    """Ten minutes at 1 Hz with a hole, as a wrist recorder might give it."""
    t_s = np.arange(600.0)
    hr_bpm = np.round(120 + 30 * np.sin(t_s / 60))
    hr_bpm[100:110] = np.nan
    told: dict[str, Any] = {
        "start_utc": AN_EVENING,
        "zone": "Europe/Oslo",
        "kind": Kind.BIKE,
        "device": "wrist recorder",
        "power_w": 150 + 50 * np.cos(t_s / 60),
    }
    return Session.from_arrays(t_s, hr_bpm, **(told | changes))


def a_recovery(**changes: Any) -> Recovery:
    """Return a good recovery with every figure."""
    figures: dict[str, Any] = {
        "end_of_effort_s": 300.0,
        "peak_bpm": 165.0,
        "peak_reserve": 0.87,
        "window_s": 180.0,
        "clean_share": 1.0,
        "spacing_s": 1.0,
        "hrr30_bpm": 15.0,
        "hrr30_se_bpm": 1.5,
        "hrr60_bpm": 31.0,
        "hrr60_se_bpm": 1.6,
        "hrr120_bpm": 48.0,
        "hrr120_se_bpm": 1.7,
        "t30_s": 240.0,
        "settle_s": 95.0,
        "settle_is_extrapolated": False,
        "settle_is_censored": False,
        "tau_s": 62.0,
        "tau_low_s": 51.0,
        "tau_high_s": 80.0,
        "fit": a_fit(),
        "mode": Mode.STILL,
        "evidence": Evidence.POWER,
        "cut_by": CutBy.LIMIT,
        "order": 1,
        "grade": Grade.GOOD,
        "reasons": (),
    }
    return Recovery(**(figures | changes))


def a_fit(**changes: Any) -> RecoveryFit:
    """Return a fit that describes its fall."""
    figures: dict[str, Any] = {
        "tau_s": 62.0,
        "tau_low_s": 51.0,
        "tau_high_s": 80.0,
        "end_bpm": 95.0,
        "amplitude_bpm": 70.0,
        "delay_s": 6.0,
        "lag_s": 4.0,
        "noise_sd_bpm": 1.2,
        "noise_phi": 0.7,
        "window_s": 180.0,
        "n_samples": 181,
    }
    return RecoveryFit(**(figures | changes))


def an_analysis(*recoveries: Recovery, **changes: Any) -> Analysis:
    """Return an analysis that found these recoveries."""
    figures: dict[str, Any] = {
        "version": 1,
        "made_for": "numbers",
        "mean_hr_bpm": 121.5,
        "peak_hr_bpm": 150.0,
        "clean_share": 0.98,
        "flagged_s": {Flag.OK: 590, Flag.ABSENT: 10},
        "class_minutes": (1.0, 2.0, 3.0, 3.5, 0.25),
        "maximum_is_predicted": False,
        "trimp": 21.5,
        "recoveries": tuple(MeasuredRecovery(recovery, 320.0, None) for recovery in recoveries),
    }
    return Analysis(**(figures | changes))


def reasons() -> st.SearchStrategy[Reason]:
    """Any reason with any numbers and words."""
    values = st.dictionaries(
        st.text("abcdef_", min_size=1, max_size=8), st.one_of(st.floats(allow_nan=False), st.text(max_size=8))
    ).map(lambda found: tuple(sorted(found.items())))
    return st.builds(Reason, st.sampled_from(sorted(SENTENCES)), values)


def recoveries() -> st.SearchStrategy[Recovery]:
    """Any recovery the store has to keep, figures missing in any combination."""
    figure = st.floats(allow_nan=False, allow_infinity=False)
    maybe = st.one_of(st.none(), figure)
    fit = st.builds(
        RecoveryFit,
        **dict.fromkeys(
            (
                "tau_s",
                "tau_low_s",
                "tau_high_s",
                "end_bpm",
                "amplitude_bpm",
                "delay_s",
                "lag_s",
                "noise_sd_bpm",
                "noise_phi",
                "window_s",
            ),
            figure,
        ),
        n_samples=st.integers(0, 1000),
        misfit=st.one_of(st.none(), reasons()),
    )
    return st.builds(
        Recovery,
        **dict.fromkeys(("end_of_effort_s", "peak_bpm", "window_s", "clean_share", "spacing_s"), figure),
        **dict.fromkeys(
            (
                "peak_reserve",
                "hrr30_bpm",
                "hrr30_se_bpm",
                "hrr60_bpm",
                "hrr60_se_bpm",
                "hrr120_bpm",
                "hrr120_se_bpm",
                "t30_s",
                "settle_s",
                "tau_s",
                "tau_low_s",
                "tau_high_s",
            ),
            maybe,
        ),
        settle_is_extrapolated=st.booleans(),
        settle_is_censored=st.booleans(),
        fit=st.one_of(st.none(), fit),
        mode=st.sampled_from(Mode),
        evidence=st.sampled_from(Evidence),
        cut_by=st.sampled_from(CutBy),
        order=st.integers(1, 60),
        grade=st.sampled_from(Grade),
        reasons=st.lists(reasons(), max_size=3).map(tuple),
    )


def run_python(code: str, *arguments: str | Path, **settings: str) -> "subprocess.CompletedProcess[str]":
    """Run code in a process of its own, with further environment settings."""
    return subprocess.run(
        [sys.executable, "-c", code, *map(str, arguments)],
        capture_output=True,
        text=True,
        check=False,
        env=os.environ | settings,
        timeout=120,
    )


def run_without_rights(code: str, *arguments: str | Path) -> "subprocess.CompletedProcess[str]":
    """Run code in a process to which file permissions apply even if the tests run as root."""
    command = [sys.executable, "-c", code, *map(str, arguments)]
    if os.geteuid() == 0:
        setpriv = shutil.which("setpriv")
        if setpriv is None:
            pytest.skip("file permissions do not bind root, and setpriv (util-linux) is not here")
        command = [setpriv, "--bounding-set=-dac_override,-dac_read_search", *command]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)


def a_ride(*, days: int = 0, zone: str = "Europe/Oslo", seed: int = 1) -> Session:
    """Two efforts of three minutes on a bike, each with three minutes of rest: rises and falls on purpose."""
    t_s = np.arange(840.0)
    since_s = (t_s - 60) % 360
    is_work = (t_s >= 60) & (t_s < 780) & (since_s < 180)
    rising = 168 - 70 * np.exp(-since_s / 40)
    top = 168 - 70 * np.exp(-180 / 40)
    falling = 100 + (top - 100) * np.exp(-np.maximum(since_s - 183, 0) / 50)
    hr_bpm = np.where(t_s < 60, 98.0, np.where(is_work, rising, falling))
    noise = np.random.default_rng(seed + 100 * days).normal(0, 0.7, t_s.size)
    return Session.from_arrays(
        t_s,
        np.round(hr_bpm + noise),
        start_utc=AN_EVENING + dt.timedelta(days),
        zone=zone,
        kind=Kind.BIKE,
        power_w=np.where(is_work, 260.0, 0.0),
        altitude_m=np.full(t_s.size, 320.0),
    )


def write_ride(folder: Path, *, name: str | None = None, days: int = 0, seed: int = 1) -> Path:
    """Write `a_ride` as a table."""
    path = folder / (name or f"ride-{days:02d}.csv")
    path.write_bytes(english_csv(a_ride(days=days, seed=seed)))
    return path
