"""What season and week values refuse, and what they work out by themselves."""

import datetime as dt

import pytest

from rideready.errors import BadInput, RidereadyError
from rideready.model.reason import because
from rideready.model.season import (
    FloorLine,
    FloorStatus,
    OpeningWindow,
    Phase,
    Season,
    SeasonRequest,
    Targets,
    Week,
    WeekDone,
)
from rideready.model.week import DayPlan, DoneSession, Form, MuscleGroup, PlannedSession, SessionKind

MONDAY = dt.date(2026, 10, 5)
WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))


def week(start: dt.date, days: int = 7) -> Week:
    """Make a week of some days."""
    last = start + dt.timedelta(days=days - 1)
    return Week(start, last, Phase.BUILD, is_easier=False, targets=Targets(150), base_min=140, limit_min=155)


def test_a_window_that_ends_before_it_begins_is_refused_with_what_to_do() -> None:
    with pytest.raises(BadInput, match="Give the earlier of the two dates as the earliest") as refused:
        OpeningWindow(WINDOW.likely, WINDOW.earliest)
    assert isinstance(refused.value, RidereadyError)


def test_a_window_of_one_day_is_fine() -> None:
    assert OpeningWindow(MONDAY, MONDAY).earliest == MONDAY


@pytest.mark.parametrize("minutes", [(45,) * 6, (45,) * 8, (-1,) * 7, (601,) * 7])
def test_a_week_at_hand_is_seven_numbers_from_0_to_600(minutes: tuple[int, ...]) -> None:
    with pytest.raises(BadInput, match="seven numbers"):
        SeasonRequest(WINDOW, MONDAY, minutes_by_weekday=minutes)


def test_a_long_day_is_a_weekday() -> None:
    with pytest.raises(BadInput, match="7 is no weekday"):
        SeasonRequest(WINDOW, MONDAY, long_day=7)


def test_a_week_done_starts_on_a_monday_and_holds_finite_figures() -> None:
    with pytest.raises(ValueError, match="starts on a Monday"):
        WeekDone(MONDAY + dt.timedelta(days=1))
    for bad in (-1.0, float("nan"), float("inf")):
        with pytest.raises(ValueError, match="finite number"):
            WeekDone(MONDAY, bad)
        with pytest.raises(ValueError, match="finite number"):
            DoneSession(MONDAY, SessionKind.EASY, bad)


def test_requests_with_the_same_content_are_one() -> None:
    assert {SeasonRequest(WINDOW, MONDAY), SeasonRequest(WINDOW, MONDAY)} == {SeasonRequest(WINDOW, MONDAY)}


def test_moderate_minutes_are_what_the_vigorous_ones_leave() -> None:
    # World Health Organization 2020: a vigorous minute counts as two moderate ones; 200 - 2 * 40.
    targets = Targets(200, 40, circuits=2, strength=1)
    assert targets.moderate_min == 120
    assert targets.strength_days == 3


def test_a_week_lists_its_days_and_an_opening_monday_leaves_none() -> None:
    assert len(week(MONDAY).days) == 7
    assert week(MONDAY, days=0).days == ()


def test_a_season_finds_the_week_of_a_day() -> None:
    weeks = (week(MONDAY), week(MONDAY + dt.timedelta(weeks=1)))
    season = Season(
        SeasonRequest(WINDOW, MONDAY), weeks, MONDAY, FloorStatus(None, is_sure_by_earliest=False, lines=())
    )
    assert season.week_of(MONDAY + dt.timedelta(days=9)) is weeks[1]
    assert season.week_of(MONDAY - dt.timedelta(days=1)) is None
    assert list(season) == list(weeks)


@pytest.mark.parametrize(("given", "is_met"), [(1.0, False), (2.0, True), (3.0, True)])
def test_a_floor_line_is_met_from_what_is_needed_on(given: float, is_met: bool) -> None:  # noqa: FBT001 - an expected value
    assert FloorLine("circuits", 2, given).is_met is is_met


def test_a_day_adds_up_its_sessions() -> None:
    circuit = PlannedSession(
        SessionKind.CIRCUIT, Form.FULL, 45, 60, 20, frozenset({MuscleGroup.LOWER}), is_hard=True
    )
    mobility = PlannedSession(SessionKind.MOBILITY, Form.FULL, 10)
    day = DayPlan(MONDAY, 60, (circuit, mobility))
    assert (day.minutes, day.is_hard, day.groups) == (55, True, frozenset({MuscleGroup.LOWER}))
    assert not DayPlan(MONDAY, 60).is_hard


def test_a_session_done_as_planned_counts_as_planned() -> None:
    circuit = PlannedSession(
        SessionKind.CIRCUIT, Form.FULL, 45, 60, 20, frozenset({MuscleGroup.LOWER}), is_hard=True
    )
    done = DoneSession.as_planned(MONDAY, circuit)
    assert (done.minutes, done.moderate_equivalent_min, done.groups, done.is_hard) == (
        45,
        60,
        circuit.groups,
        True,
    )


@pytest.mark.parametrize(
    ("kind", "label"),
    [
        (SessionKind.STRENGTH, "strength session"),
        (SessionKind.LONG, "long piece"),
        (SessionKind.BURSTS, "burst practice"),
    ],
)
def test_sessions_are_named_as_one_speaks_of_them(kind: SessionKind, label: str) -> None:
    assert kind.label == label


def test_a_reason_of_the_season_needs_its_values() -> None:
    with pytest.raises(KeyError):
        because("season.week_easier")
