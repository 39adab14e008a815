"""Protocols: boxes, beats, lengths and cautions; the figures' sources are named beside them."""

import pytest

from rideready.model.fieldtest import FieldTest
from rideready.model.protocol import Protocol
from rideready.model.rider import Rider, Sex
from rideready.recovery.fieldtest_reading import COUNTS_S
from rideready.recovery.protocols import protocol_for

MAN, WOMAN, UNKNOWN = Rider(sex=Sex.MALE), Rider(sex=Sex.FEMALE), Rider()


def stepping_of(protocol: Protocol) -> tuple[int | None, int | None]:
    """Length and beat of the one step of stepping."""
    (step,) = [step for step in protocol.schedule if step.what.startswith("Step ")]
    return step.seconds, step.ticks_per_min


@pytest.mark.parametrize(
    ("test", "rider", "box_cm", "seconds", "ticks"),
    [
        # Golding 2000: 12 in, 24 cycles a minute of four ticks.
        (FieldTest.YMCA, UNKNOWN, 30.5, 180, 96),
        # McArdle et al. 1972: 16 1/4 in, 22 cycles for women; 24 for men.
        (FieldTest.QUEENS_COLLEGE, MAN, 41.3, 180, 96),
        (FieldTest.QUEENS_COLLEGE, WOMAN, 41.3, 180, 88),
        # Brouha 1943: 20 in, 30 cycles; Sloan 1959 for women: 17 in (as a teaching page tells).
        (FieldTest.HARVARD, MAN, 50.8, 300, 120),
        (FieldTest.HARVARD, WOMAN, 43.2, 300, 120),
    ],
)
def test_box_length_and_beat_are_the_published_ones(
    test: FieldTest, rider: Rider, box_cm: float, seconds: int, ticks: int
) -> None:
    protocol = protocol_for(test, rider)
    assert protocol.box_height_cm == box_cm
    assert stepping_of(protocol) == (seconds, ticks)
    assert f"box of {box_cm} cm" in protocol.equipment


def test_without_a_known_sex_the_queens_college_step_names_both_beats() -> None:
    protocol = protocol_for(FieldTest.QUEENS_COLLEGE, UNKNOWN)
    assert stepping_of(protocol) == (180, None)
    assert any("96 for men, 88 for women" in step.what for step in protocol.steps)
    assert not any("for men" in step.what for step in protocol_for(FieldTest.QUEENS_COLLEGE, MAN).steps)


@pytest.mark.parametrize("test", [FieldTest.HARVARD, FieldTest.YMCA, FieldTest.QUEENS_COLLEGE])
def test_the_recording_runs_on_until_every_count_is_over(test: FieldTest) -> None:
    steps = protocol_for(test, MAN).schedule
    at = next(i for i, step in enumerate(steps) if step.what.startswith("Step "))
    after_s = sum(step.seconds or 0 for step in steps[at + 1 :])
    start_s, length_s = COUNTS_S[test][-1]
    assert after_s >= start_s + length_s + 20
    # A minute of standing still before lets the start of the rise be seen.
    assert sum(step.seconds or 0 for step in steps[:at]) >= 60


def test_the_counts_of_the_harvard_test_begin_where_they_are_read() -> None:
    steps = protocol_for(FieldTest.HARVARD, MAN).schedule
    at = next(i for i, step in enumerate(steps) if step.what.startswith("Step "))
    begins, now = [], 0
    for step in steps[at + 1 :]:
        if "count: 30 s" in step.what:
            begins.append((float(now), float(step.seconds or 0)))
        now += step.seconds or 0
    assert tuple(begins) == COUNTS_S[FieldTest.HARVARD]


def test_the_ride_is_filled_in_with_the_riders_own_heart_rates() -> None:
    stages = protocol_for(FieldTest.RIDE, Rider(max_hr_bpm=180)).steps[:3]
    assert [(step.low_bpm, step.high_bpm) for step in stages] == [(106, 110), (142, 146), (160, 164)]
    assert [step.seconds for step in stages] == [360, 360, 180]


def test_without_a_maximum_the_ride_has_no_heart_rates_and_says_so() -> None:
    protocol = protocol_for(FieldTest.RIDE, UNKNOWN)
    assert all(step.low_bpm is None for step in protocol.steps)
    assert any("maximum is not known" in line for line in protocol.good_to_know)


def test_the_schedule_of_the_bursts_writes_out_every_round() -> None:
    protocol = protocol_for(FieldTest.BURSTS, UNKNOWN)
    lengths = [step.seconds for step in protocol.schedule]
    assert lengths == [300, 180, 60, *([45, 60] * 8), 240]
    assert protocol.minutes == pytest.approx((540 + 8 * 105 + 240) / 60)


@pytest.mark.parametrize("test", list(FieldTest))
def test_every_protocol_says_when_to_stop_and_who_should_ask_first(test: FieldTest) -> None:
    protocol = protocol_for(test, MAN)
    assert "chest pain" in protocol.stop_signs
    assert "breathlessness" in protocol.stop_signs
    assert any("Ask a doctor" in line for line in protocol.not_for)
    assert any("fever" in line for line in protocol.not_for)
    assert protocol.source
    assert protocol.purpose.endswith(".")


@pytest.mark.parametrize("test", [FieldTest.HARVARD, FieldTest.BURSTS])
def test_the_near_maximal_ones_are_not_for_beginners(test: FieldTest) -> None:
    assert any("regular hard training" in line for line in protocol_for(test, MAN).not_for)
    assert not any("regular hard training" in line for line in protocol_for(FieldTest.YMCA, MAN).not_for)
