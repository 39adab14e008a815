"""What recorded and logged sessions count for."""

import datetime as dt

import pytest

from rideready.errors import BadInput
from rideready.intensity import IntensityClass
from rideready.model.session import Kind
from rideready.model.week import WHOLE_BODY, SessionKind
from rideready.plan.done import done_session

DAY = dt.date(2026, 10, 5)


def test_heart_rate_decides_the_minutes_and_vigorous_ones_count_twice() -> None:
    classes = {
        IntensityClass.LIGHT: 10.0,
        IntensityClass.MODERATE: 20.0,
        IntensityClass.VIGOROUS: 12.0,
        IntensityClass.NEAR_MAXIMAL: 3.0,
    }
    done = done_session(DAY, Kind.CIRCUIT, 45, minutes_by_class=classes, rpe=3)
    # World Health Organization 2020, by hand: 20 + 2 * (12 + 3); light minutes do not count.
    assert (done.moderate_equivalent_min, done.vigorous_min) == (50, 15)
    assert (done.kind, done.groups, done.is_hard) == (SessionKind.CIRCUIT, WHOLE_BODY, True)


@pytest.mark.parametrize(
    ("rpe", "credit_min", "is_hard"),
    [(2, 0, False), (3, 40, False), (4.5, 40, False), (5, 80, True), (8, 80, True)],
)
def test_without_heart_rate_the_rating_decides(rpe: float, credit_min: float, is_hard: bool) -> None:  # noqa: FBT001 - an expected value
    done = done_session(DAY, Kind.RUN, 40, rpe=rpe)
    assert (done.moderate_equivalent_min, done.is_hard) == (credit_min, is_hard)


def test_without_either_a_steady_session_counts_as_moderate() -> None:
    done = done_session(DAY, Kind.BIKE, 30)
    assert (done.kind, done.moderate_equivalent_min, done.is_hard) == (SessionKind.EASY, 30, False)


def test_strength_and_mobility_count_no_minutes_whatever_the_pulse() -> None:
    vigorous = {IntensityClass.VIGOROUS: 20.0}
    strength = done_session(DAY, Kind.STRENGTH, 40, minutes_by_class=vigorous)
    stretching = done_session(DAY, Kind.OTHER, 15, counts_as=SessionKind.MOBILITY)
    assert (strength.moderate_equivalent_min, strength.groups) == (0, WHOLE_BODY)
    assert (stretching.moderate_equivalent_min, stretching.groups, stretching.is_hard) == (
        0,
        frozenset(),
        False,
    )


def test_a_few_vigorous_minutes_do_not_make_a_day_hard_and_a_test_always_does() -> None:
    few = done_session(DAY, Kind.RUN, 30, minutes_by_class={IntensityClass.VIGOROUS: 9.9})
    test = done_session(DAY, Kind.TEST, 10, minutes_by_class={IntensityClass.MODERATE: 5.0})
    assert (few.is_hard, test.is_hard) == (False, True)


def test_a_rating_outside_the_scale_is_refused() -> None:
    with pytest.raises(BadInput, match="between 0 and 10"):
        done_session(DAY, Kind.RUN, 30, rpe=11)
