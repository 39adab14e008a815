"""A season from window and history: what it promises, what it says when it cannot, and odd windows."""

import datetime as dt
from dataclasses import replace

import pytest

from rideready.errors import BadInput, Infeasible
from rideready.model.condition import Away, Clearance, Illness, IllnessKind, Injury
from rideready.model.exercise import Joint, Level
from rideready.model.season import OpeningWindow, Phase, Season, SeasonRequest, WeekDone
from rideready.plan.season import plan_season

WINDOW = OpeningWindow(dt.date(2026, 12, 5), dt.date(2026, 12, 19))
AUGUST = dt.date(2026, 8, 24)
HABIT = WeekDone(AUGUST, 200, 40, 2, 1, 2, 0, 50)


def history(before: dt.date, *minutes: float, like: WeekDone = HABIT) -> tuple[WeekDone, ...]:
    """Write the weeks before a day, the last one last."""
    monday = before - dt.timedelta(days=before.weekday())
    return tuple(
        replace(
            like,
            start=monday - dt.timedelta(weeks=len(minutes) - n),
            moderate_equivalent_min=each,
            vigorous_min=min(like.vigorous_min, each / 2),
        )
        for n, each in enumerate(minutes)
    )


def request(today: dt.date, *minutes: float, **more: object) -> SeasonRequest:
    """Ask for a season from some weeks before today."""
    plain = SeasonRequest(WINDOW, today, history(today, *minutes), level=Level.ADVANCED, began=today)
    return replace(plain, **more)  # type: ignore[arg-type]


def codes(season: Season) -> list[str]:
    """List the codes of what the season says."""
    return [reason.code for reason in season.statements]


def minutes(season: Season) -> list[int]:
    """List the minutes of the weeks."""
    return [week.targets.moderate_equivalent_min for week in season.weeks]


def test_a_rider_with_a_habit_is_on_the_floor_in_time_and_peaks_on_the_likely_day() -> None:
    season = plan_season(request(AUGUST, 200, 200, 200, 200))
    assert codes(season)[0] == "season.floor_in_time"
    assert season.floor.reached_by is not None
    assert season.floor.reached_by < WINDOW.earliest
    assert "season.peak" in codes(season)
    assert [w.phase for w in season.weeks[-2:]] == [Phase.TAPER, Phase.TAPER]


def test_the_climb_starts_from_what_was_done_and_not_from_a_wish() -> None:
    season = plan_season(request(AUGUST, 120, 120, 120, 120))
    # By hand: 120 and a quarter of an hour each full week, an easier week at four fifths, no step lost below 150.
    assert minutes(season)[:5] == [135, 150, 165, 130, 165]


def test_a_beginner_without_a_record_starts_small_and_reaches_the_guidance_gradually() -> None:
    season = plan_season(SeasonRequest(WINDOW, AUGUST, level=Level.BEGINNER, began=AUGUST))
    assert minutes(season)[0] == 60
    assert season.weeks[0].reasons[0].code == "season.week_start"
    assert max(minutes(season)) >= 150
    assert "season.below_guidance" in codes(season)
    assert all(week.targets.strength_days >= 2 for week in season.weeks if week.phase is Phase.BUILD)


def test_too_little_time_is_said_plainly_with_what_is_missing_and_what_to_do() -> None:
    october = dt.date(2026, 10, 26)
    season = plan_season(SeasonRequest(WINDOW, october, level=Level.BEGINNER, began=october))
    assert codes(season)[0] in {"season.floor_late", "season.floor_never"}
    assert "0 of 2 weeks with 150 min" in season.statements[0].sentence
    assert "season.floor_advice" in codes(season)


def test_days_that_hold_too_little_are_named_with_the_minutes_that_would_do() -> None:
    season = plan_season(request(AUGUST, 60, 60, 60, 60, minutes_by_weekday=(30, 0, 30, 0, 30, 0, 0)))
    said = next(r for r in season.statements if r.code == "season.floor_days")
    assert dict(said.values)["needed"] == 150
    assert max(minutes(season)) <= float(dict(said.values)["minutes"])


def test_days_side_by_side_are_told_that_a_third_one_apart_would_help() -> None:
    season = plan_season(request(AUGUST, 100, 100, 100, 100, minutes_by_weekday=(0, 0, 0, 0, 0, 90, 90)))
    assert "season.floor_third_day" in codes(season)
    assert any(r.code == "season.week_days_hold" for r in season.weeks[0].reasons)


def test_whoever_did_more_than_ample_is_held_there_and_not_pushed() -> None:
    past = history(AUGUST, 400, 400, 400, 400, like=replace(HABIT, longest_min=100))
    season = plan_season(request(AUGUST, history=past, minutes_by_weekday=(120,) * 7))
    full = [
        m
        for m, w in zip(minutes(season), season.weeks, strict=True)
        if not w.is_easier and w.phase is Phase.BUILD
    ]
    assert max(full) == 400
    assert season.weeks[0].reasons[0].code == "season.week_ample"


def test_bursts_come_before_the_earliest_day_even_if_the_window_is_wide() -> None:
    wide = OpeningWindow(dt.date(2026, 10, 28), WINDOW.likely)
    season = plan_season(request(AUGUST, 200, 200, 200, 200, window=wide))
    before = [w for w in season.weeks if w.start + dt.timedelta(days=7) <= wide.earliest]
    assert sum(w.targets.burst_practices for w in before) >= 2
    assert season.floor.is_sure_by_earliest


def test_burst_practice_begins_once_a_week_and_goes_on_twice_with_more_bursts() -> None:
    season = plan_season(request(AUGUST, 150, 150, 150, 150))
    bursts = [w.targets for w in season.weeks if w.phase is Phase.BURSTS and not w.is_easier]
    assert [t.burst_practices for t in bursts[1:]] == [2] * (len(bursts) - 1)
    assert [t.circuits for t in bursts[1:]] == [1] * (len(bursts) - 1)
    assert [t.bursts for t in bursts] == sorted(t.bursts for t in bursts)
    # Three hard sessions fit, so nothing was left out.
    said = {reason.code for week in season.weeks for reason in week.reasons}
    assert "season.week_days_hold" not in said
    beginner = plan_season(request(AUGUST, 150, 150, 150, 150, level=Level.BEGINNER))
    assert {w.targets.burst_practices for w in beginner.weeks if w.phase is Phase.BURSTS} <= {0, 1}


def test_the_taper_keeps_the_number_of_hard_sessions_and_shortens_them() -> None:
    season = plan_season(request(AUGUST, 200, 200, 200, 200))
    full, taper = season.weeks[-3].targets, season.weeks[-2].targets
    assert taper.circuits + taper.burst_practices == full.circuits + full.burst_practices
    assert taper.vigorous_min < full.vigorous_min
    # Intensity kept: vigorous minutes are as large a share of the week as before.
    assert taper.vigorous_min / taper.moderate_equivalent_min == pytest.approx(
        full.vigorous_min / full.moderate_equivalent_min, abs=0.03
    )


def test_plans_made_again_from_weeks_done_as_planned_stay_the_same() -> None:
    first = plan_season(request(AUGUST, 200, 200, 200, 200))
    today, done = AUGUST, list(history(AUGUST, 200, 200, 200, 200))
    for week in first.weeks[:12]:
        t = week.targets
        done.append(
            WeekDone(
                week.start,
                t.moderate_equivalent_min,
                t.vigorous_min,
                t.circuits,
                t.strength,
                t.mobility,
                t.burst_practices,
                t.long_piece_min,
            )
        )
        today += dt.timedelta(weeks=1)
    again = plan_season(request(today, history=tuple(done), began=AUGUST))
    assert minutes(again) == minutes(first)[12:]
    assert [w.is_easier for w in again.weeks] == [w.is_easier for w in first.weeks[12:]]


def test_a_week_under_way_keeps_its_targets_whatever_the_day() -> None:
    days = [plan_season(request(AUGUST + dt.timedelta(days=n), 200, 200, 200, 200)) for n in range(7)]
    assert len({season.weeks[0].targets for season in days}) == 1


def test_a_lost_week_lowers_the_start_and_the_climb_goes_on_from_there() -> None:
    season = plan_season(request(AUGUST, 200, 210, 220, 0))
    # By hand: the mean of the four, 157.5, and a tenth, down to a multiple of five.
    assert minutes(season)[0] == 170
    assert minutes(season)[1] <= 187


def test_an_injury_keeps_the_minutes_from_rising_for_two_weeks_and_takes_its_load_out() -> None:
    sore = request(AUGUST, 200, 200, 200, 200, injuries=(Injury(Joint.LOW_BACK, AUGUST),))
    season = plan_season(sore)
    assert [w.targets.strength for w in season.weeks[:3]] == [0, 0, 1]
    assert minutes(season)[0] == 200
    assert all("season.week_injury" in [r.code for r in w.reasons] for w in season.weeks[:2])


def test_a_fever_now_empties_the_week_and_says_when_to_see_a_doctor() -> None:
    ill = request(AUGUST, 200, 200, 200, 200, illnesses=(Illness(IllnessKind.FEVER, AUGUST),))
    season = plan_season(ill)
    assert minutes(season)[0] == 0
    assert season.weeks[0].is_easier
    # The illness is taken to last to Sunday; the six days of the way back leave the Sunday after it.
    assert season.weeks[1].targets.circuits + season.weeks[1].targets.burst_practices <= 1
    assert minutes(season)[1] < 100
    assert codes(season)[:2] == ["season.fever_now", "season.fever"]
    assert "doctor" in season.statements[1].sentence


def test_days_away_make_the_week_smaller_and_easier() -> None:
    away = Away(AUGUST + dt.timedelta(weeks=1), AUGUST + dt.timedelta(weeks=1, days=4))
    season = plan_season(request(AUGUST, 200, 200, 200, 200, away=(away,)))
    assert season.weeks[1].is_easier
    assert minutes(season)[1] < 0.5 * minutes(season)[0]
    assert "season.week_away" in [r.code for r in season.weeks[1].reasons]


def test_an_open_health_question_leaves_moderate_work_and_mobility_only() -> None:
    season = plan_season(request(AUGUST, 200, 200, 200, 200, clearance=Clearance.ASK_FIRST))
    assert codes(season)[0] == "season.ask_first"
    assert {w.targets.vigorous_min for w in season.weeks} == {0}
    assert {w.targets.circuits + w.targets.strength + w.targets.burst_practices for w in season.weeks} == {0}
    assert max(minutes(season)) <= 150


@pytest.mark.parametrize(
    ("earliest", "likely", "code"),
    [
        pytest.param(0, 0, "season.opens_today", id="today"),
        pytest.param(0, 1, "season.opens_tomorrow", id="tomorrow"),
        pytest.param(3, 5, "season.no_time_to_build", id="in days"),
        pytest.param(-20, 40, "season.floor_now", id="inside the window and not on the floor"),
        pytest.param(200, 400, "season.long_way", id="far away"),
    ],
)
def test_odd_windows_give_a_plan_and_one_clear_sentence(earliest: int, likely: int, code: str) -> None:
    window = OpeningWindow(AUGUST + dt.timedelta(days=earliest), AUGUST + dt.timedelta(days=likely))
    season = plan_season(request(AUGUST, 100, 100, 100, 100, window=window))
    assert code in codes(season)
    assert season.weeks[-1].start <= window.likely


def test_a_rider_on_the_floor_inside_the_window_is_told_so() -> None:
    like = replace(HABIT, burst_practices=1)
    window = OpeningWindow(AUGUST - dt.timedelta(days=3), AUGUST + dt.timedelta(days=30))
    asked = request(AUGUST, window=window, history=history(AUGUST, 200, 200, 200, 200, like=like))
    season = plan_season(asked)
    assert codes(season)[0] == "season.floor_reached_now"
    assert season.floor.reached_by == AUGUST


@pytest.mark.parametrize(
    ("likely", "message"),
    [
        (AUGUST - dt.timedelta(days=1), "is past"),
        (AUGUST + dt.timedelta(days=800), "more than two years away"),
    ],
)
def test_a_window_that_cannot_be_planned_is_refused_in_one_sentence(likely: dt.date, message: str) -> None:
    with pytest.raises(BadInput, match=message) as refused:
        plan_season(request(AUGUST, window=OpeningWindow(likely, likely)))
    assert str(refused.value).endswith(".")


def test_a_week_without_20_minutes_on_any_day_is_refused_with_the_smallest_change() -> None:
    with pytest.raises(Infeasible, match="Give at least one day 20 minutes"):
        plan_season(request(AUGUST, minutes_by_weekday=(15,) * 7))


def test_the_rules_kept_name_their_sources() -> None:
    said = " ".join(reason.sentence for reason in plan_season(request(AUGUST)).reasons)
    assert "WHO 2020" in said
    assert "Bosquet" in said
    assert "rule of thumb" in said


def test_a_week_held_by_an_injury_names_the_minutes_it_really_asks() -> None:
    """Before, the sentence about the ramp named what the week would have asked without the injury."""
    sore = request(AUGUST, 150, 150, 150, 150, injuries=(Injury(Joint.KNEE, AUGUST),))
    week = plan_season(sore).weeks[0]
    named = dict(week.reasons[0].values)
    assert week.reasons[0].code == "season.week_ramp"
    assert named["minutes"] == week.targets.moderate_equivalent_min
