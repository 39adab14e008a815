"""The demo autumn is the one the scenario describes."""

import datetime as dt
from collections import Counter
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from rideready.model.recovery import Mode
from rideready.model.session import Kind
from rideready.simulate.heart import true_curve
from rideready.simulate.programme import Activity, Piece, Posture
from rideready.simulate.recorder import SimulatedSession
from rideready.simulate.scenario import (
    RUNA,
    RUNA_AUTUMN,
    TAM,
    TAM_AUTUMN,
    Autumn,
    demo_autumn,
    demo_partner,
    heart_on,
    progress,
)


@pytest.fixture(scope="module")
def autumn() -> list[SimulatedSession]:
    return demo_autumn(np.random.default_rng(2026))


@pytest.fixture(scope="module")
def partner() -> list[SimulatedSession]:
    return demo_partner(np.random.default_rng(2026))


def _day(simulated: SimulatedSession) -> dt.date:
    assert simulated.session.start_utc is not None
    return simulated.session.start_utc.astimezone(ZoneInfo("Europe/Oslo")).date()


def test_about_45_sessions_from_late_august_to_mid_november(autumn: list[SimulatedSession]) -> None:
    days = [_day(s) for s in autumn]

    assert 42 <= len(autumn) <= 48
    assert days == sorted(days)
    assert dt.date(2026, 8, 24) <= days[0] <= dt.date(2026, 8, 31)
    assert dt.date(2026, 11, 10) <= days[-1] <= dt.date(2026, 11, 20)


def test_three_or_four_a_week_but_none_in_the_flu_week(autumn: list[SimulatedSession]) -> None:
    per_week = Counter((_day(s) - dt.date(2026, 8, 24)).days // 7 for s in autumn)

    assert 7 not in per_week
    assert {per_week[week] for week in range(12) if week != 7} == {3, 4}


def test_names_are_the_local_date_and_what_was_done(autumn: list[SimulatedSession]) -> None:
    names = [s.name for s in autumn]

    assert "2026-08-27-bike-and-circuit" in names
    assert len(set(names)) == len(names)
    assert all(s.name.startswith(_day(s).isoformat() + "-") for s in autumn)


def test_sessions_start_after_work_or_on_weekend_mornings(autumn: list[SimulatedSession]) -> None:
    for s in autumn:
        assert s.session.start_utc is not None
        local = s.session.start_utc.astimezone(ZoneInfo("Europe/Oslo"))
        assert local.hour == (10 if local.weekday() >= 5 else 17)


def test_every_device_says_that_it_is_simulated_and_most_are_chest_straps(
    autumn: list[SimulatedSession], partner: list[SimulatedSession]
) -> None:
    devices = Counter(s.session.device for s in autumn)

    assert all((s.session.device or "").startswith("simulated ") for s in [*autumn, *partner])
    assert devices["simulated chest strap"] > len(autumn) / 2
    assert devices["simulated wrist optical sensor"] >= 4


def test_all_kinds_of_session_occur(autumn: list[SimulatedSession]) -> None:
    assert {s.session.kind for s in autumn} == {Kind.BIKE, Kind.RUN, Kind.STRENGTH, Kind.TEST}


def test_channels_fit_the_kind_and_the_recorder(autumn: list[SimulatedSession]) -> None:
    for s in autumn:
        has_power = "power_w" in s.session.channels
        assert has_power == (s.session.kind is Kind.BIKE and "wrist" not in (s.session.device or ""))
        assert ("speed_m_s" in s.session.channels) == (s.session.kind is Kind.RUN)


def test_recoveries_are_many_and_of_both_modes(autumn: list[SimulatedSession]) -> None:
    large = [r for s in autumn for r in s.truth if (r.hrr60_bpm or 0) >= 15]

    assert len(large) > 200
    assert {r.mode for r in large} == {Mode.STILL, Mode.MOVING}
    assert np.ptp([r.peak_reserve for r in large]) > 0.4


def _standard_drop_bpm(autumn: Autumn, day: dt.date) -> float:
    """Mean true drop in 60 s from 85 % of the reserve, sitting still, without day-to-day shifts."""
    heart = heart_on(autumn, RUNA if autumn is RUNA_AUTUMN else TAM, day)
    rng = np.random.default_rng(1)
    programme = [Piece(400, 0.85), Piece(120, 0.26, Activity.STILL, Posture.SEATED)]
    drops = [true_curve(programme, heart, rng).recoveries[0].hrr60_bpm or 0.0 for _ in range(150)]
    return float(np.mean(drops))


def test_runa_truly_gains_six_to_eight_bpm_at_like_intensity() -> None:
    gain = _standard_drop_bpm(RUNA_AUTUMN, dt.date(2026, 11, 15)) - _standard_drop_bpm(
        RUNA_AUTUMN, dt.date(2026, 8, 24)
    )

    assert 6 <= gain <= 8


def test_runas_time_constants_are_those_of_trained_people_and_tam_is_slower() -> None:
    # Barak et al. 2011: seated still, athletes, 52.5 s with a standard deviation of 14.6 s.
    for tau in (RUNA_AUTUMN.tau_first_s, RUNA_AUTUMN.tau_last_s):
        assert tau == pytest.approx(52.5, abs=14.6)
    assert TAM_AUTUMN.tau_last_s > RUNA_AUTUMN.tau_first_s


def test_flu_raises_the_resting_pulse_and_costs_some_of_the_way() -> None:
    before, after, later = (
        heart_on(RUNA_AUTUMN, RUNA, day)
        for day in (dt.date(2026, 10, 11), dt.date(2026, 10, 20), dt.date(2026, 11, 14))
    )

    assert after.resting_bpm - before.resting_bpm > 4
    assert after.tau_fall_s > before.tau_fall_s
    assert later.resting_bpm - before.resting_bpm < 0.1
    assert later.tau_fall_s < before.tau_fall_s


def test_progress_runs_from_nothing_to_all() -> None:
    assert progress(RUNA_AUTUMN, dt.date(2026, 8, 1)) == 0
    assert progress(RUNA_AUTUMN, dt.date(2026, 8, 24)) == 0
    assert progress(RUNA_AUTUMN, RUNA_AUTUMN.last_day) == pytest.approx(1.0)


def test_the_partner_starts_in_october_and_settles_more_slowly(partner: list[SimulatedSession]) -> None:
    assert _day(partner[0]) >= dt.date(2026, 10, 1)
    assert _standard_drop_bpm(TAM_AUTUMN, dt.date(2026, 10, 6)) < _standard_drop_bpm(
        RUNA_AUTUMN, dt.date(2026, 8, 24)
    )


def test_no_true_pulse_exceeds_the_riders_maximum(
    autumn: list[SimulatedSession], partner: list[SimulatedSession]
) -> None:
    assert max(s.true_hr_bpm.max() for s in autumn) <= (RUNA.max_hr_bpm or 0)
    assert max(s.true_hr_bpm.max() for s in partner) <= (TAM.max_hr_bpm or 0)


def test_the_same_generator_gives_the_same_autumn(autumn: list[SimulatedSession]) -> None:
    again = demo_autumn(np.random.default_rng(2026))

    for first, second in zip(autumn, again, strict=True):
        assert first.truth == second.truth
        assert np.array_equal(first.session.hr_bpm, second.session.hr_bpm, equal_nan=True)


def test_a_rider_without_rest_or_maximum_is_refused() -> None:
    with pytest.raises(ValueError, match="resting"):
        heart_on(RUNA_AUTUMN, type(RUNA)(age_years=41), dt.date(2026, 9, 1))
