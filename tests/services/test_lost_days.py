"""Days away or ill are told as a stretch, reach the plan, and can be taken back whole."""

import datetime as dt
from pathlib import Path

import pytest

from rideready.errors import BadInput, NotInStore
from rideready.model.condition import Away, Illness, IllnessKind
from rideready.services.context import Context, open_context
from rideready.services.diary import diary, write_entry
from rideready.services.done import conditions, days_away
from rideready.services.lost_days import lost_days, take_back_lost_days, write_lost_days
from rideready.services.planning import season, set_window
from rideready.services.training import update_training

#: A Monday.
TODAY = dt.date(2026, 10, 12)


def on(days: int) -> dt.date:
    return TODAY + dt.timedelta(days=days)


@pytest.fixture
def ctx(tmp_path: Path) -> Context:
    opened = open_context(tmp_path / "store.sqlite", today=TODAY)
    set_window(opened, earliest=dt.date(2026, 12, 5), likely=dt.date(2026, 12, 19))
    update_training(opened, usual_min=150.0)
    return opened


def test_days_away_ahead_reach_the_plan(ctx: Context) -> None:
    before = season(ctx).weeks
    write_lost_days(ctx, "away", on(14), on(20))
    assert days_away(ctx) == (Away(on(14), on(20)),)
    after = season(ctx).weeks
    assert after[2].targets.moderate_equivalent_min < before[2].targets.moderate_equivalent_min


def test_a_fever_that_is_over_has_both_ends_and_one_that_lasts_has_none(ctx: Context) -> None:
    write_lost_days(ctx, "fever", on(-9), on(-6))
    write_lost_days(ctx, "cold", on(-1), None)
    illnesses, _ = conditions(ctx)
    assert illnesses == (
        Illness(IllnessKind.FEVER, on(-9), on(-6)),
        Illness(IllnessKind.COLD, on(-1)),
    )
    assert [(one.cause, one.first, one.last) for one in lost_days(ctx)] == [
        ("cold", on(-1), None),
        ("fever", on(-9), on(-6)),
    ]


def test_an_illness_up_to_today_is_not_over_before_tomorrow(ctx: Context) -> None:
    write_lost_days(ctx, "fever", on(-2), TODAY)
    assert [entry.kind for entry in diary(ctx)] == ["illness"]


def test_a_stretch_is_taken_back_with_its_end(ctx: Context) -> None:
    write_lost_days(ctx, "fever", on(-9), on(-6))
    write_lost_days(ctx, "away", on(7), on(9))
    write_entry(ctx, "note", notes="stays")
    for stretch in lost_days(ctx):
        take_back_lost_days(ctx, stretch.numbers[0])
    assert [entry.kind for entry in diary(ctx)] == ["note"]
    with pytest.raises(NotInStore):
        take_back_lost_days(ctx, 1)


def test_home_early_shortens_what_is_listed_and_what_is_long_over_is_not(ctx: Context) -> None:
    write_lost_days(ctx, "away", on(-100), on(-90))
    write_lost_days(ctx, "away", on(-3), on(5))
    write_entry(ctx, "home")
    assert [(one.first, one.last) for one in lost_days(ctx)] == [(on(-3), on(-1))]


@pytest.mark.parametrize(
    ("cause", "first", "last", "said"),
    [
        ("away", 3, None, "two ends"),
        ("away", 3, 2, "end on 2026-10-14, before they begin"),
        ("cold", -2, -3, "before it begins"),
        ("fever", 1, None, "told beforehand"),
        ("fever", -1, 1, "told beforehand"),
        ("work", 0, 1, "keeps nobody"),
    ],
)
def test_what_cannot_be_is_refused_and_writes_nothing(
    ctx: Context, cause: str, first: int, last: int | None, said: str
) -> None:
    with pytest.raises(BadInput, match=said):
        write_lost_days(ctx, cause, on(first), None if last is None else on(last))
    assert diary(ctx) == []


def test_well_again_ends_every_illness_here_as_in_the_plan(ctx: Context) -> None:
    write_lost_days(ctx, "fever", on(-9), None)
    write_lost_days(ctx, "cold", on(-7), on(-4))
    illnesses, _ = conditions(ctx)
    assert [one.last_day for one in illnesses] == [on(-4), on(-4)]
    cold, fever = lost_days(ctx)
    assert (cold.last, fever.last) == (on(-4), on(-4))
    take_back_lost_days(ctx, cold.numbers[0])
    assert [(one.cause, one.last) for one in lost_days(ctx)] == [("fever", on(-4))]


def test_home_drops_later_days_away_here_as_in_the_plan(ctx: Context) -> None:
    write_lost_days(ctx, "away", on(5), on(8))
    write_entry(ctx, "home")
    assert lost_days(ctx) == ()
    assert days_away(ctx) == ()
