"""The season's verdict: a plain sentence, the change with its interval, and what it rests on."""

from typing import Any

import pytest

from dashboards.components.verdict import verdict
from rideready.model.reason import because
from rideready.model.trend import Trend, Verdict
from tests.dashboards.test_app import texts


def _a_trend(**changes: Any) -> Trend:
    told: dict[str, Any] = {
        "direction": Verdict.FASTER,
        "slope_bpm_per_week": 0.33,
        "low": 0.11,
        "high": 0.55,
        "change_bpm": 3.3,
        "typical_error_bpm": 2.0,
        "minimal_detectable_bpm": 2.4,
        "standard_reserve": 0.75,
        "n_recoveries": 264,
        "n_sessions": 37,
        "weeks": 10.0,
        "points": (),
        "reasons": (),
    }
    return Trend(**(told | changes))


def test_a_clear_change_is_said_in_all_and_by_the_week_with_its_interval() -> None:
    said = texts(verdict(_a_trend()))
    assert said.startswith("Your pulse comes down faster than it did.")
    # The ends of the change are those of the slope times the weeks: 1.1 and 5.5 bpm.
    assert "+3 \N{NO-BREAK SPACE}bpm  +1 to +6" in said
    assert "over 10 weeks" in said
    assert "+0.3 \N{NO-BREAK SPACE}bpm a week  +0.1 to +0.6" in said
    assert "37 sessions" in said
    assert "264 recoveries" in said


def test_without_a_clear_change_it_says_how_large_one_would_have_to_be() -> None:
    said = texts(verdict(_a_trend(direction=Verdict.NO_CLEAR_CHANGE, low=-0.1)))
    assert "No change that stands out from your own ups and downs." in said
    assert "smallest change that would show" in said
    assert "2 \N{NO-BREAK SPACE}bpm" in said
    assert "bpm a week" not in said


def test_too_few_sessions_give_no_figure_of_change() -> None:
    nothing = dict.fromkeys(("slope_bpm_per_week", "low", "high", "change_bpm", "minimal_detectable_bpm"))
    said = texts(verdict(_a_trend(direction=Verdict.TOO_FEW, n_sessions=2, n_recoveries=5, **nothing)))
    assert "Too few comparable recoveries" in said
    assert "2 sessions" in said
    assert "bpm" not in said


def test_without_any_session_there_is_only_the_sentence() -> None:
    nothing = dict.fromkeys(("slope_bpm_per_week", "low", "high", "change_bpm", "minimal_detectable_bpm"))
    parts = verdict(_a_trend(direction=Verdict.TOO_FEW, n_sessions=0, n_recoveries=0, **nothing))
    assert len(parts) == 1


@pytest.mark.parametrize("direction", Verdict)
def test_every_verdict_has_its_sentence(direction: Verdict) -> None:
    assert texts(verdict(_a_trend(direction=direction))).split(". ")[0]


def test_reasons_wait_behind_the_verdict() -> None:
    reason = because("trend.faster", change=3.0, weeks=10.0, low=1.0, high=5.0)
    said = texts(verdict(_a_trend(reasons=(reason,))))
    assert "What stands behind this" in said
    assert reason.sentence in said
