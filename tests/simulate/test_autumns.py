"""Season tables carry the trend and the spread they were told to carry."""

import datetime as dt

import numpy as np
import pandas as pd
import pytest

from rideready.model.recovery import Grade, Mode
from rideready.model.session import Kind
from rideready.simulate.autumns import Spread, Starts, simulated_recovery_table
from rideready.simulate.programme import Posture

#: The columns recovery_trend asks for.
COLUMNS = [
    "session_id",
    "start_utc",
    "device",
    "kind",
    "posture",
    "mode",
    "order",
    "peak_bpm",
    "peak_reserve",
    "hrr60_bpm",
    "hrr60_se_bpm",
    "grade",
    "altitude_m",
    "temperature_c",
]
EXACT = Spread(
    day_sd_bpm=0.0, recovery_sd_bpm=0.0, se_low_bpm=0.0, se_high_bpm=0.0, per_order_bpm=0.0, day_phi=0.0
)


def _rng(seed: int = 9) -> np.random.Generator:
    return np.random.default_rng(seed)


def _days(table: pd.DataFrame) -> np.ndarray:
    return np.asarray((table["start_utc"] - pd.Timestamp("2026-08-24", tz="UTC")).dt.days)


def test_the_table_has_the_columns_and_words_of_the_trend() -> None:
    table = simulated_recovery_table(_rng(), moving_share=0.5)

    assert list(table.columns) == COLUMNS
    assert str(table["start_utc"].dtype) == "datetime64[ns, UTC]"
    assert set(table["mode"]) == {Mode.STILL.value, Mode.MOVING.value}
    assert set(table["kind"]) <= {kind.value for kind in Kind}
    assert set(table["grade"]) <= {grade.value for grade in Grade}
    assert set(table["posture"]) <= {posture.value for posture in Posture}
    assert table["device"].str.contains("simulated").all()


def test_without_spread_the_gain_and_the_intensity_are_exact() -> None:
    table = simulated_recovery_table(_rng(), weeks=10, gain_bpm=7.0, base_bpm=40.0, spread=EXACT)

    expected = 40 + 7 * _days(table) / 70 + 80 * (table["peak_reserve"] - 0.82)
    assert np.asarray(table["hrr60_bpm"]) == pytest.approx(np.asarray(expected))


def test_starts_drift_as_told() -> None:
    starts = Starts(reserve_mean=0.7, reserve_drift=0.2, session_sd=0.0, recovery_sd=0.0)

    table = simulated_recovery_table(_rng(), weeks=10, starts=starts)

    expected = 0.7 + 0.2 * _days(table) / 70
    assert np.asarray(table["peak_reserve"]) == pytest.approx(expected)
    assert np.asarray(table["peak_bpm"]) == pytest.approx(54 + 127 * expected)


def test_the_days_own_shift_is_shared_within_a_session_and_has_the_told_spread() -> None:
    spread = Spread(day_sd_bpm=3.0, recovery_sd_bpm=0.0, se_low_bpm=0.0, se_high_bpm=0.0, per_order_bpm=0.0)
    table = simulated_recovery_table(
        _rng(), weeks=300, spread=spread, starts=Starts(session_sd=0.0, recovery_sd=0.0)
    )

    by_session = table.groupby("session_id")["hrr60_bpm"]
    assert by_session.std().max() == pytest.approx(0, abs=1e-9)
    n = by_session.ngroups
    # Standard error of a standard deviation: sd / sqrt(2 n); four of them.
    assert by_session.first().std() == pytest.approx(3.0, abs=4 * 3 / np.sqrt(2 * n))


def test_days_remember_each_other_if_told_so() -> None:
    spread = Spread(
        day_sd_bpm=3.0,
        day_phi=0.6,
        recovery_sd_bpm=0.0,
        se_low_bpm=0.0,
        se_high_bpm=0.0,
        per_order_bpm=0.0,
    )
    table = simulated_recovery_table(
        _rng(), weeks=300, spread=spread, starts=Starts(session_sd=0.0, recovery_sd=0.0)
    )
    shift = table.groupby("session_id")["hrr60_bpm"].first().to_numpy() - 38.0

    found = np.sum(shift[1:] * shift[:-1]) / np.sum(shift[:-1] ** 2)
    assert found == pytest.approx(0.6, abs=4 * np.sqrt(0.64 / shift.size))
    # Memory leaves the spread as told (standard error as in test_sensor).
    assert shift.std() == pytest.approx(3.0, abs=4 * 3 * np.sqrt(1.36 / 0.64 / (2 * shift.size)))


def test_errors_have_the_size_that_is_told_beside_them() -> None:
    spread = Spread(day_sd_bpm=0.0, recovery_sd_bpm=0.0, per_order_bpm=0.0)
    table = simulated_recovery_table(
        _rng(), weeks=100, spread=spread, starts=Starts(session_sd=0.0, recovery_sd=0.0)
    )

    standardised = (table["hrr60_bpm"] - 38.0) / table["hrr60_se_bpm"]
    assert standardised.std() == pytest.approx(1.0, abs=4 / np.sqrt(2 * len(table)))


def test_moving_on_and_the_wrist_take_off_what_they_were_told() -> None:
    table = simulated_recovery_table(
        _rng(),
        weeks=40,
        spread=EXACT,
        starts=Starts(session_sd=0.0, recovery_sd=0.0),
        moving_share=0.5,
        wrist_share=0.5,
    )
    means = table.groupby(["mode", "device"])["hrr60_bpm"].mean()

    assert means["still", "simulated chest strap"] == pytest.approx(38)
    assert means["moving", "simulated chest strap"] == pytest.approx(28)
    assert means["still", "simulated wrist optical sensor"] == pytest.approx(36)


def test_later_recoveries_of_a_session_change_as_told() -> None:
    spread = Spread(day_sd_bpm=0.0, recovery_sd_bpm=0.0, se_low_bpm=0.0, se_high_bpm=0.0, per_order_bpm=-0.5)
    table = simulated_recovery_table(_rng(), spread=spread, starts=Starts(session_sd=0.0, recovery_sd=0.0))

    assert np.asarray(table["hrr60_bpm"]) == pytest.approx(38 - 0.5 * (np.asarray(table["order"]) - 1))


def test_outliers_come_as_often_and_as_far_as_told() -> None:
    spread = Spread(
        day_sd_bpm=0.0,
        recovery_sd_bpm=0.0,
        se_low_bpm=0.0,
        se_high_bpm=0.0,
        per_order_bpm=0.0,
        outlier_share=0.1,
        outlier_sd_bpm=12.0,
    )
    table = simulated_recovery_table(
        _rng(), weeks=200, spread=spread, starts=Starts(session_sd=0.0, recovery_sd=0.0)
    )
    off = np.asarray(table["hrr60_bpm"]) - 38
    n = off.size

    outliers = off[np.abs(off) > 1e-9]
    assert outliers.size / n == pytest.approx(0.1, abs=4 * np.sqrt(0.09 / n))
    assert outliers.std() == pytest.approx(12.0, abs=4 * 12 / np.sqrt(2 * outliers.size))


def test_lost_weeks_are_empty_and_the_rest_keeps_its_number() -> None:
    table = simulated_recovery_table(_rng(), weeks=12, sessions_per_week=3, lost_weeks=(7,))

    weeks = _days(table) // 7
    assert 7 not in weeks
    assert table["session_id"].nunique() == 33
    assert weeks.min() >= 0
    assert weeks.max() <= 11


def test_order_counts_within_each_session_from_one() -> None:
    table = simulated_recovery_table(_rng())

    for _, session in table.groupby("session_id"):
        assert list(session["order"]) == list(range(1, len(session) + 1))
        assert session["start_utc"].min() == session["start_utc"].max()


def test_starts_are_taken_in_utc_whatever_the_zone() -> None:
    start = dt.datetime(2026, 8, 24, 17, 30, tzinfo=dt.timezone(dt.timedelta(hours=2)))

    table = simulated_recovery_table(_rng(), first_start=start)

    assert {when.hour for when in table["start_utc"]} == {15}


def test_the_same_generator_gives_the_same_table() -> None:
    pd.testing.assert_frame_equal(simulated_recovery_table(_rng(3)), simulated_recovery_table(_rng(3)))
