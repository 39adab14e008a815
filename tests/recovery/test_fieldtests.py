"""Scoring by hand: what is refused, what is said, and what a rider's own numbers change.

The published check values stand in ``tests/reference``.
"""

from dataclasses import replace

import pytest

from rideready.errors import BadInput
from rideready.model.fieldtest import Counting, FieldTest, FieldTestResult, Measure
from rideready.model.rider import Rider, Sex
from rideready.recovery.fieldtests import score_harvard, score_queens_college, score_ymca

RIDER = Rider(age_years=30, sex=Sex.MALE)


def codes(result: FieldTestResult) -> list[str]:
    return [reason.code for reason in result.reasons]


def test_a_harvard_test_by_hand_gives_index_both_bands_and_its_counts() -> None:
    result = score_harvard(300, (75, 65, 60), RIDER)
    assert result.main is not None
    assert (result.main.measure, result.main.value) == (Measure.FITNESS_INDEX, 75.0)
    assert (result.main.low, result.main.high) == (None, None)
    assert [band.label for band in result.bands] == ["high average", "average"]
    assert [(c.start_s, c.length_s, c.beats) for c in result.counts] == [
        (60, 30, 75),
        (120, 30, 65),
        (180, 30, 60),
    ]
    assert (result.test, result.counting) == (FieldTest.HARVARD, Counting.BY_HAND)


def test_the_choice_between_the_conflicting_tables_is_stated() -> None:
    result = score_harvard(300, (70, 55, 50), RIDER)
    stated = result.reasons[codes(result).index("fieldtest.two_tables")].sentence
    assert "Brouha 1943" in stated
    assert "by Fox et al. 1973 it is good" in stated


def test_stopping_early_lowers_the_index_and_is_said() -> None:
    early, full = score_harvard(150, (75, 65, 60), RIDER), score_harvard(300, (75, 65, 60), RIDER)
    assert early.main is not None
    assert early.main.value == 37.5
    assert "fieldtest.stopped_early" in codes(early)
    assert "fieldtest.stopped_early" not in codes(full)


def test_one_count_alone_is_scored_by_the_short_form() -> None:
    result = score_harvard(150, (80,), RIDER)
    assert result.main is not None
    assert result.main.value == pytest.approx(15000 / 440)
    assert len(result.counts) == 1


def test_counts_that_rise_are_kept_and_questioned() -> None:
    assert "fieldtest.counts_rise" in codes(score_harvard(300, (65, 75, 60), RIDER))
    assert "fieldtest.counts_rise" not in codes(score_harvard(300, (75, 75, 60), RIDER))


@pytest.mark.parametrize("seconds", [29, 301, float("nan"), -5])
def test_a_length_that_cannot_be_meant_is_refused(seconds: float) -> None:
    with pytest.raises(BadInput, match=r"30 to 300"):
        score_harvard(seconds, (75, 65, 60), RIDER)


@pytest.mark.parametrize("counts", [(), (75, 65), (75, 65, 60, 50)])
def test_a_wrong_number_of_counts_is_refused(counts: tuple[float, ...]) -> None:
    with pytest.raises(BadInput, match="three counts"):
        score_harvard(300, counts, RIDER)


@pytest.mark.parametrize("beats", [19, 111, float("nan")])
def test_a_count_that_cannot_be_meant_is_refused_with_the_limits(beats: float) -> None:
    with pytest.raises(BadInput, match="20 to 110"):
        score_harvard(300, (75, 65, beats), RIDER)


def test_a_ymca_count_gives_the_band_of_age_and_sex() -> None:
    result = score_ymca(90, RIDER)
    (band,) = result.bands
    assert (band.label, band.source) == ("above average", "Golding 2000")
    assert result.main is not None
    assert (result.main.measure, result.main.value) == (Measure.MINUTE_COUNT, 90)
    assert score_ymca(90, replace(RIDER, sex=Sex.FEMALE)).bands[0].label == "good"


@pytest.mark.parametrize(
    ("rider", "missing"),
    [(Rider(sex=Sex.MALE), "age"), (Rider(age_years=30), "sex"), (Rider(), "age and sex")],
)
def test_without_age_or_sex_there_is_a_count_and_no_band(rider: Rider, missing: str) -> None:
    result = score_ymca(90, rider)
    assert result.bands == ()
    assert result.main is not None
    (reason,) = result.reasons
    assert f"without your {missing} there is no band" in reason.sentence


def test_a_child_gets_no_band() -> None:
    assert codes(score_ymca(90, Rider(age_years=15, sex=Sex.MALE))) == ["fieldtest.no_norm_age"]


@pytest.mark.parametrize("beats", [39, 221])
def test_a_minute_count_that_cannot_be_meant_is_refused(beats: float) -> None:
    with pytest.raises(BadInput, match="40 to 220"):
        score_ymca(beats, RIDER)


def test_oxygen_uptake_carries_its_error_of_sixteen_percent_and_the_pulse_stays_the_main_figure() -> None:
    result = score_queens_college(40, RIDER)
    pulse, uptake = result.figures
    assert result.main is pulse
    assert (pulse.measure, pulse.value) == (Measure.RECOVERY_PULSE, 160)
    assert uptake.value == pytest.approx(44.13)
    assert (uptake.low, uptake.high) == pytest.approx((0.84 * 44.13, 1.16 * 44.13))
    assert "fieldtest.uptake_error" in codes(result)


def test_without_sex_there_is_a_pulse_and_no_oxygen_uptake() -> None:
    result = score_queens_college(40, Rider(age_years=30))
    assert [figure.measure for figure in result.figures] == [Measure.RECOVERY_PULSE]
    assert codes(result) == ["fieldtest.uptake_without_sex"]


def test_a_medicine_that_alters_the_pulse_leaves_figures_and_takes_bands_and_uptake_away() -> None:
    rider = replace(RIDER, takes_heart_rate_medicine=True)
    harvard, ymca = score_harvard(300, (75, 65, 60), rider), score_ymca(90, rider)
    queens = score_queens_college(40, rider)
    assert harvard.bands == ymca.bands == ()
    assert [figure.measure for figure in queens.figures] == [Measure.RECOVERY_PULSE]
    assert codes(harvard) == codes(ymca) == codes(queens) == ["fieldtest.medicine"]
