"""Which stops count, and what is told about them."""

import numpy as np
import pytest

from rideready.model.recovery import CutBy, Mode
from rideready.simulate.heart import true_curve
from rideready.simulate.programme import Activity, Motion, Piece, Posture
from rideready.simulate.traits import HeartTraits
from rideready.simulate.truth import TrueRecovery

PLAIN = HeartTraits(50, 190, tau_spread=0.0, longest_delay_s=0.0, slow_share=0.0, drift_bpm=0.0)
WORK = Piece(200, 0.9)


def _still(seconds: int, demand: float = 0.3) -> Piece:
    return Piece(seconds, demand, Activity.STILL, Posture.SEATED)


def _walk(seconds: int, demand: float = 0.4) -> Piece:
    return Piece(seconds, demand, Activity.MOVING)


def _recoveries(programme: list[Piece], heart: HeartTraits = PLAIN) -> tuple[TrueRecovery, ...]:
    return true_curve(programme, heart, np.random.default_rng(3)).recoveries


def test_drops_are_read_off_the_true_curve_at_the_stop() -> None:
    # From 176 (long at 0.9) to 92 with 55 s: by hand 84 (1 - e^(-t/55)).
    (found,) = _recoveries([Piece(600, 0.9), _still(180)])

    assert found.stop_s == 600
    assert found.peak_bpm == pytest.approx(176.0, abs=1e-4)
    assert found.peak_reserve == pytest.approx(0.9, abs=1e-6)
    assert found.hrr30_bpm == pytest.approx(35.3154, abs=1e-3)
    assert found.hrr60_bpm == pytest.approx(55.7835, abs=1e-3)
    assert found.hrr120_bpm == pytest.approx(74.5218, abs=1e-3)
    assert (found.tau_s, found.end_bpm) == pytest.approx((55.0, 92.0))


def test_the_knee_lies_a_delay_behind_the_stop_and_has_its_own_drop() -> None:
    heart = HeartTraits(50, 190, tau_spread=0.0, slow_share=0.0, drift_bpm=0.0)
    (found,) = _recoveries([Piece(600, 0.9), _still(180)], heart)

    delay = found.knee_s - found.stop_s
    assert 0 < delay <= 15
    assert found.hrr60_from_knee_bpm == pytest.approx(55.7835, abs=1e-3)
    assert found.hrr60_bpm == pytest.approx(84 * (1 - np.exp(-(60 - delay) / 55)), abs=1e-3)


def test_a_window_shorter_than_a_figure_leaves_it_out() -> None:
    found = _recoveries([WORK, _still(45), WORK, _still(90)])

    assert [r.window_s for r in found] == [45, 90]
    assert [r.hrr30_bpm is None for r in found] == [False, False]
    assert [r.hrr60_bpm is None for r in found] == [True, False]
    assert [r.hrr120_bpm is None for r in found] == [True, True]


@pytest.mark.parametrize(
    ("after", "window_s", "cut_by"),
    [
        ([_still(90), WORK], 90, CutBy.NEXT_EFFORT),
        # Standing up at rest and walking on lifts the pulse again once it is low enough.
        ([_still(300), _walk(60, 0.6)], 300, CutBy.NEXT_EFFORT),
        ([_still(40), _walk(60)], 100, CutBy.END),
        ([_still(40), Piece(60, 0.3, Activity.MOVING, is_recorded=False), WORK], 40, CutBy.GAP),
        ([_still(80)], 80, CutBy.END),
    ],
)
def test_a_window_ends_at_the_next_effort_a_pause_or_the_end(
    after: list[Piece], window_s: float, cut_by: CutBy
) -> None:
    found = _recoveries([WORK, *after])[0]

    assert (found.window_s, found.cut_by) == (window_s, cut_by)


@pytest.mark.parametrize(
    ("after", "mode"),
    [
        ([_still(120)], Mode.STILL),
        ([_walk(120)], Mode.MOVING),
        ([_walk(30), _still(90)], Mode.UNKNOWN),
        ([_still(52), _walk(60)], Mode.STILL),
        ([_still(8), _walk(90)], Mode.MOVING),
    ],
)
def test_the_mode_is_what_was_done_in_the_first_minute(after: list[Piece], mode: Mode) -> None:
    assert _recoveries([WORK, *after])[0].mode is mode


def test_going_on_to_fall_is_no_second_recovery() -> None:
    found = _recoveries([WORK, _walk(40), _still(120)])

    assert [r.stop_s for r in found] == [200]


def test_the_end_of_easier_work_after_hard_work_is_a_stop_of_its_own() -> None:
    found = _recoveries([WORK, Piece(30, 0.6), _still(120)])

    assert [r.stop_s for r in found] == [200, 230]
    assert [r.window_s for r in found] == [30, 120]


def test_ripples_under_five_bpm_are_no_recoveries() -> None:
    # Each dip runs from 162 towards 154 bpm and loses 2 bpm in 20 s.
    ripples = [Piece(200, 0.8), Piece(20, 0.74), Piece(200, 0.8), Piece(20, 0.74), Piece(200, 0.8)]

    assert [r.stop_s for r in _recoveries([*ripples, _still(60)])] == [640]


def test_recoveries_are_numbered_by_time() -> None:
    found = _recoveries([WORK, _still(90)] * 3)

    assert [r.order for r in found] == [1, 2, 3]


def test_the_channels_that_show_the_stop_are_named() -> None:
    work = Piece(200, 0.9, motion=Motion(250.0, 90.0))
    stop = Piece(90, 0.3, Activity.STILL, motion=Motion(0.0, 0.0))
    easing = Piece(90, 0.5, motion=Motion(150.0, 88.0))
    bare = _still(90)

    assert _recoveries([work, stop])[0].channels == ("power_w", "cadence_rpm")
    assert _recoveries([work, easing])[0].channels == ("power_w",)
    assert _recoveries([work, bare])[0].channels == ()
