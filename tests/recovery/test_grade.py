"""The worst criterion decides, and each that is not good says why."""

from dataclasses import replace

import pytest

from rideready.model.reason import because
from rideready.model.recovery import CutBy, Grade, Mode, RecoveryFit
from rideready.model.recovery import Evidence as Channel
from rideready.model.rider import Rider
from rideready.recovery.grade import Evidence, grade

RIDER = Rider(max_hr_bpm=190, resting_hr_bpm=50)
FIT = RecoveryFit(
    tau_s=50,
    tau_low_s=40,
    tau_high_s=60,
    end_bpm=90,
    amplitude_bpm=80,
    delay_s=0,
    lag_s=0,
    noise_sd_bpm=1,
    noise_phi=0.8,
    window_s=120,
    n_samples=120,
)
GOOD = Evidence(
    peak_bpm=170,
    window_s=120,
    cut_by=CutBy.NEXT_EFFORT,
    clean_share=1.0,
    spacing_s=1.0,
    mode=Mode.STILL,
    channel=Channel.POWER,
    hrr60_se_bpm=1.5,
    fit=FIT,
)
MISFIT = replace(FIT, misfit=because("kinetics.two_phase"))


def test_a_recovery_without_a_fault_is_good_and_needs_no_reason() -> None:
    assert grade(GOOD, RIDER) == (Grade.GOOD, ())


@pytest.mark.parametrize(
    ("evidence", "expected", "code"),
    [
        (replace(GOOD, window_s=75.0), Grade.FAIR, "recovery.cut_by_effort"),
        (replace(GOOD, window_s=62.0), Grade.ROUGH, "recovery.cut_by_effort"),
        (replace(GOOD, window_s=40.0, cut_by=CutBy.GAP), Grade.ROUGH, "recovery.cut_by_gap"),
        (replace(GOOD, window_s=12.0, cut_by=CutBy.END), Grade.NONE, "recovery.cut_by_end"),
        (replace(GOOD, clean_share=0.8), Grade.FAIR, "recovery.dirty"),
        (replace(GOOD, clean_share=0.3), Grade.NONE, "recovery.dirty"),
        (replace(GOOD, spacing_s=5.0), Grade.FAIR, "recovery.sparse"),
        (replace(GOOD, spacing_s=10.0), Grade.ROUGH, "recovery.sparse"),
        (replace(GOOD, peak_bpm=127.0), Grade.FAIR, "recovery.started_low"),
        (replace(GOOD, peak_bpm=107.0), Grade.FAIR, "recovery.started_low"),
        (replace(GOOD, peak_bpm=100.0), Grade.NONE, "recovery.started_low"),
        (replace(GOOD, hrr60_se_bpm=2.8), Grade.FAIR, "recovery.noisy"),
        (replace(GOOD, hrr60_se_bpm=3.5), Grade.ROUGH, "recovery.noisy"),
        (replace(GOOD, hrr60_se_bpm=None), Grade.ROUGH, "recovery.no_hrr60"),
        (replace(GOOD, mode=Mode.UNKNOWN), Grade.FAIR, "recovery.mode_unknown"),
        (replace(GOOD, channel=Channel.HEART_RATE), Grade.FAIR, "recovery.end_from_pulse"),
        (replace(GOOD, fit=replace(FIT, tau_high_s=110.0)), Grade.FAIR, "recovery.tau_wide"),
        (replace(GOOD, fit=replace(FIT, tau_high_s=150.0)), Grade.ROUGH, "recovery.tau_wide"),
        (replace(GOOD, fit=replace(FIT, noise_sd_bpm=2.2)), Grade.FAIR, "recovery.unsteady"),
        (replace(GOOD, fit=replace(FIT, noise_sd_bpm=2.7)), Grade.ROUGH, "recovery.unsteady"),
        (replace(GOOD, fit=None), Grade.ROUGH, "recovery.no_tau"),
        (replace(GOOD, fit=MISFIT), Grade.FAIR, "kinetics.two_phase"),
    ],
)
def test_one_fault_lowers_the_grade_and_is_named(evidence: Evidence, expected: Grade, code: str) -> None:
    found, reasons = grade(evidence, RIDER)
    assert found == expected
    assert [reason.code for reason in reasons] == [code]
    assert reasons[0].sentence


def test_the_worst_of_two_faults_decides_and_both_are_named() -> None:
    found, reasons = grade(replace(GOOD, window_s=40.0, mode=Mode.UNKNOWN), RIDER)
    assert found == Grade.ROUGH
    assert {reason.code for reason in reasons} == {"recovery.cut_by_effort", "recovery.mode_unknown"}


def test_without_a_resting_pulse_the_share_of_maximum_counts() -> None:
    found, reasons = grade(replace(GOOD, peak_bpm=140.0), Rider(max_hr_bpm=190))
    assert found == Grade.FAIR
    assert [reason.code for reason in reasons] == ["recovery.started_low_of_maximum"]


def test_without_any_maximum_a_walk_still_does_not_count() -> None:
    found, reasons = grade(replace(GOOD, peak_bpm=105.0), Rider())
    assert found == Grade.NONE
    assert [reason.code for reason in reasons] == ["recovery.started_low_of_assumed"]


def test_without_any_other_channel_one_sentence_says_what_is_missing() -> None:
    found, reasons = grade(replace(GOOD, mode=Mode.UNKNOWN, channel=Channel.HEART_RATE), RIDER)
    assert found == Grade.FAIR
    assert [reason.code for reason in reasons] == ["recovery.mode_unknown"]
