"""The fall and the reserve against exact values and published postures."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rideready.simulate.programme import Posture
from rideready.simulate.traits import MOVING_FACTOR, STILL_FACTOR, Fall, HeartTraits

_ANY_FALL = st.builds(
    Fall,
    tau_s=st.floats(5, 300),
    delay_s=st.floats(0, 15),
    slow_share=st.floats(0, 0.9),
    slow_tau_s=st.floats(100, 500),
)


@pytest.mark.parametrize(
    ("t_s", "hr_bpm"),
    # 90 + 95 exp(-t / 50), computed with Python; three decimals.
    [
        (0, 185.000),
        (10, 167.779),
        (20, 153.680),
        (30, 142.137),
        (40, 132.686),
        (60, 118.613),
        (120, 98.618),
        (180, 92.596),
        (300, 90.235),
    ],
)
def test_a_single_fall_is_the_plain_exponential(t_s: float, hr_bpm: float) -> None:
    found = Fall(50.0).hr_bpm(np.array([t_s], dtype=float), start_bpm=185.0, end_bpm=90.0)

    assert found[0] == pytest.approx(hr_bpm, abs=0.001)


def test_nothing_falls_before_the_delay_is_over() -> None:
    found = Fall(50.0, 12.0).hr_bpm(np.array([0.0, 6.0, 12.0, 72.0]), start_bpm=185.0, end_bpm=90.0)

    assert found[:3] == pytest.approx([185.0, 185.0, 185.0])
    assert found[3] == pytest.approx(118.613, abs=0.001)


def test_two_phases_are_the_weighted_sum_of_both() -> None:
    found = Fall(50.0, 0.0, 0.25, 200.0).hr_bpm(np.array([60.0]), start_bpm=185.0, end_bpm=90.0)

    # By hand: 90 + 95 (0.75 e^-1.2 + 0.25 e^-0.3) = 90 + 95 (0.225896 + 0.185205) = 129.0546
    assert found[0] == pytest.approx(129.0546, abs=0.0005)


@given(fall=_ANY_FALL, start_bpm=st.floats(100, 200), height_bpm=st.floats(1, 100))
def test_every_fall_starts_at_the_top_never_rises_and_stays_above_its_end(
    fall: Fall, start_bpm: float, height_bpm: float
) -> None:
    end_bpm = start_bpm - height_bpm
    found = fall.hr_bpm(np.arange(0.0, 600.0), start_bpm=start_bpm, end_bpm=end_bpm)

    assert found[0] == pytest.approx(start_bpm)
    assert np.all(np.diff(found) <= 1e-9)
    assert np.all(found >= end_bpm - 1e-9)


def test_karvonen_gives_the_textbook_target() -> None:
    # Karvonen 1957; maximum 200, rest 60, 60 % -> 144 bpm (teaching page, see science.md).
    assert HeartTraits(60, 200).level_bpm(0.6) == pytest.approx(144.0)


@given(share=st.floats(0, 1), rest=st.floats(35, 90), reserve=st.floats(60, 150))
def test_share_of_reserve_undoes_level(share: float, rest: float, reserve: float) -> None:
    heart = HeartTraits(rest, rest + reserve)

    assert heart.share_of_reserve(heart.level_bpm(share)) == pytest.approx(share, abs=1e-9)


#: Barak et al. 2011, J Sports Sci Med 10:369-375: mean and standard deviation of the time constant, s,
#: of 21 athletes and of 19 non-athletes; sitting still first.
ATHLETES_SEATED, OTHERS_SEATED = (52.5, 14.6), (50.6, 14.9)


@pytest.mark.parametrize(
    ("factor", "athletes", "others"),
    [
        (MOVING_FACTOR, (74.1, 24.0), (90.6, 30.4)),
        (STILL_FACTOR[Posture.LYING], (32.0, 9.1), (36.4, 12.5)),
        (STILL_FACTOR[Posture.LYING_LEGS_UP], (28.5, 5.8), (32.9, 8.9)),
    ],
)
def test_factors_from_athletes_also_fit_non_athletes(
    factor: float, athletes: tuple[float, float], others: tuple[float, float]
) -> None:
    expected_s = OTHERS_SEATED[0] * factor
    relative = [
        (athletes[1] / athletes[0]) ** 2 / 21,
        (ATHLETES_SEATED[1] / ATHLETES_SEATED[0]) ** 2 / 21,
        (OTHERS_SEATED[1] / OTHERS_SEATED[0]) ** 2 / 19,
    ]
    standard_error_s = float(np.sqrt(others[1] ** 2 / 19 + expected_s**2 * sum(relative)))

    assert factor == pytest.approx(athletes[0] / ATHLETES_SEATED[0])
    # Two standard errors of the difference; the factors are taken as independent.
    assert expected_s == pytest.approx(others[0], abs=2 * standard_error_s)


def test_moving_on_falls_slowest_and_lying_with_legs_up_fastest() -> None:
    # The order in which Barak et al. 2011 found them, in athletes and non-athletes alike.
    factors = [STILL_FACTOR[p] for p in (Posture.LYING_LEGS_UP, Posture.LYING, Posture.SEATED)]

    assert [*factors, MOVING_FACTOR] == sorted([*factors, MOVING_FACTOR])
