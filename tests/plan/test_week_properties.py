"""Every hard rule holds in every week, for random riders, days, pasts and troubles."""

import datetime as dt

import numpy as np

from rideready.model.season import Phase, Season
from rideready.model.week import WHOLE_BODY, DoneSession, MuscleGroup, SessionKind
from rideready.plan.season import plan_season
from rideready.plan.week import plan_week, usual_availability, week_at_hand
from tests.plan.riders import random_request
from tests.plan.week_rules import broken_rules

WEEKS = 250


def random_done(rng: np.random.Generator, season: Season) -> list[DoneSession]:
    """Do things since the day before the week, planned or not."""
    start, today = season.weeks[0].start, season.request.today
    done = []
    for back in range((today - start).days + 1, -1, -1):
        if rng.random() < 0.5:
            continue
        kind = list(SessionKind)[int(rng.integers(0, 6))]
        hard = kind in {SessionKind.CIRCUIT, SessionKind.BURSTS}
        minutes = float(rng.integers(10, 120))
        groups = {
            SessionKind.CIRCUIT: WHOLE_BODY,
            SessionKind.STRENGTH: frozenset({MuscleGroup.LOWER}) if rng.random() < 0.5 else WHOLE_BODY,
        }.get(kind, frozenset())
        credit = minutes if kind not in {SessionKind.STRENGTH, SessionKind.MOBILITY} else 0.0
        done.append(
            DoneSession(today - dt.timedelta(days=back), kind, minutes, credit, 0.0, groups, is_hard=hard)
        )
    return done


def test_every_hard_rule_holds_in_every_week() -> None:
    broken = {}
    for seed in range(WEEKS):
        rng = np.random.default_rng(seed)
        season = plan_season(random_request(rng))
        done = random_done(rng, season)
        availability = {
            day: int(minutes * rng.uniform(0.3, 1.5)) if rng.random() < 0.5 else minutes
            for day, minutes in usual_availability(season, season.weeks[0]).items()
        }
        sore = {MuscleGroup.UPPER: season.request.today} if rng.random() < 0.2 else {}
        plan = week_at_hand(season, done, availability=availability, sore=sore)
        found = broken_rules(plan, availability, done)
        asked = {kind: plan.count(kind) for kind in SessionKind}
        found += [f"{d.kind} dropped and planned {asked[d.kind]}" for d in plan.dropped if d.count < 1]
        found += [f"no reason for {d.kind}" for d in plan.dropped if not d.reason.sentence]
        if found:
            broken[seed] = found
    assert broken == {}


def test_an_ordinary_week_holds_all_that_the_season_asks_of_it() -> None:
    lacking = {}
    for seed in range(40):
        season = plan_season(random_request(np.random.default_rng(seed), is_healthy=True))
        full = [w for w in season.weeks if w.phase in {Phase.BUILD, Phase.BURSTS}]
        for week in full[-1:]:
            plan = plan_week(week, usual_availability(season, week), long_day=season.request.long_day)
            if plan.short_by_min >= 20 or [d for d in plan.dropped if d.kind is not SessionKind.MOBILITY]:
                lacking[seed] = (plan.short_by_min, plan.dropped)
    assert lacking == {}
