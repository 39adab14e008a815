"""Finding the stretch of stepping."""

import re

import numpy as np
import pytest

from rideready.errors import BadInput
from rideready.model.fieldtest import FieldTest
from rideready.model.reason import Reason
from rideready.model.session import Session
from rideready.recovery.fieldtest_reading import ASKED
from rideready.recovery.stepping import Stepping, _weighted, find_stepping
from rideready.signal.clean import clean
from rideready.simulate.programme import Activity, Piece, Posture
from tests.support.field_tests import STAND_S, plain_strap, recorded, stepping
from tests.support.heart_rates import clean_signal

YMCA, HARVARD = ASKED[FieldTest.YMCA], ASKED[FieldTest.HARVARD]


def found_in(programme: list[Piece], seed: int = 1, *, stop_s: float | None = None) -> Stepping | Reason:
    signal = clean(recorded(programme, seed, sensor=plain_strap).session)
    return find_stepping(signal, YMCA, stop_s=stop_s)


def codes(found: Stepping | Reason) -> list[str]:
    return [found.code] if isinstance(found, Reason) else [reason.code for reason in found.reasons]


def test_the_stop_and_the_length_are_found() -> None:
    found = found_in(stepping())
    assert isinstance(found, Stepping)
    assert found.stop_s == pytest.approx(STAND_S + 180, abs=5)
    assert found.lasted_s == pytest.approx(180, abs=10)
    assert found.was_as_asked
    assert found.reasons == ()


def test_the_rise_makes_the_stop_surer_than_the_fall_alone() -> None:
    joined, alone = found_in(stepping()), found_in(stepping(stand_s=1))
    assert isinstance(joined, Stepping)
    assert isinstance(alone, Stepping)
    assert joined.stop_se_s < alone.stop_se_s
    assert codes(alone) == ["fieldtest.start_unseen"]
    assert alone.lasted_s is None


def test_two_estimates_of_the_stop_are_weighed_by_their_precision() -> None:
    at_s, se_s = _weighted(100.0, 3.0, 110.0, 6.0)
    assert at_s == pytest.approx((4 * 100 + 110) / 5)
    assert se_s == pytest.approx((1 / (1 / 9 + 1 / 36)) ** 0.5)


def test_stepping_of_the_wrong_length_is_said_and_not_by_protocol() -> None:
    found = found_in(stepping(155))
    assert isinstance(found, Stepping)
    assert codes(found) == ["fieldtest.wrong_length"]
    assert not found.was_as_asked
    assert found.stop_s == pytest.approx(STAND_S + 155, abs=8)


def test_a_session_without_a_fitting_stretch_gives_a_reason() -> None:
    assert codes(found_in(stepping(400))) == ["fieldtest.no_stepping"]


def test_where_two_stretches_fit_the_rider_is_asked_which() -> None:
    rest = Piece(200, 0.25, Activity.STILL, Posture.SEATED)
    programme = [*stepping(), rest, *stepping()[1:]]
    found = found_in(programme, seed=5)
    assert isinstance(found, Reason)
    assert found.code == "fieldtest.several"
    stops = [
        60 * int(minutes) + int(seconds)
        for minutes, seconds in re.findall(r"(\d+) min (\d\d) s", str(dict(found.values)["stops"]))
    ]
    assert stops == pytest.approx([270, 270 + 240 + 200 + 180], abs=8)
    told = found_in(programme, seed=5, stop_s=890.0)
    assert isinstance(told, Stepping)
    assert told.stop_s == pytest.approx(890, abs=2)


def test_a_warm_up_of_another_length_is_passed_over() -> None:
    warm_up = [
        Piece(60, 0.29, Activity.STILL),
        Piece(70, 0.6),
        Piece(150, 0.26, Activity.STILL, Posture.SEATED),
    ]
    found = found_in([*warm_up, *stepping()], seed=2)
    assert isinstance(found, Stepping)
    assert found.stop_s == pytest.approx(280 + STAND_S + 180, abs=6)
    assert found.reasons == ()


def test_a_given_stop_is_taken_and_said() -> None:
    found = found_in(stepping(), stop_s=268.0)
    assert isinstance(found, Stepping)
    assert found.stop_s == pytest.approx(268, abs=1)
    assert codes(found) == ["fieldtest.stop_given"]


@pytest.mark.parametrize("stop_s", [-5.0, 0.0, 5000.0])
def test_a_given_stop_outside_the_recording_is_refused(stop_s: float) -> None:
    with pytest.raises(BadInput, match="outside the recording"):
        found_in(stepping(), stop_s=stop_s)


def test_moving_on_after_the_stop_is_not_by_protocol() -> None:
    session = recorded(stepping(), 1, sensor=plain_strap).session
    pace = np.where((session.t_s > STAND_S) & (session.t_s < STAND_S + 180), 96.0, 55.0)
    walking = Session(session.t_s, {**session.channels, "cadence_rpm": pace}, session.start_utc)
    found = find_stepping(clean(walking), YMCA)
    assert "fieldtest.moved_on" in codes(found)
    assert isinstance(found, Stepping)
    assert not found.was_as_asked


def test_a_recording_without_heart_rate_gives_a_reason() -> None:
    assert codes(find_stepping(clean_signal(np.full(300, np.nan)), YMCA)) == ["fieldtest.no_heart_rate"]


def test_harvard_stepping_may_be_shorter_than_asked() -> None:
    signal = clean(recorded(stepping(200, demand=0.95), 4, sensor=plain_strap).session)
    found = find_stepping(signal, HARVARD)
    assert isinstance(found, Stepping)
    assert found.lasted_s == pytest.approx(200, abs=15)
    assert found.was_as_asked


def test_the_stop_is_set_before_a_fall_that_begins_late_after_hard_work() -> None:
    errors = []
    for seed in range(6):
        found = find_stepping(
            clean(recorded(stepping(240, demand=0.97), seed, sensor=plain_strap).session), HARVARD
        )
        assert isinstance(found, Stepping)
        errors.append(found.stop_s - (STAND_S + 240))
    # The knee itself lies 0 to 15 s late, about 7 on average.
    assert abs(float(np.mean(errors))) < 4
