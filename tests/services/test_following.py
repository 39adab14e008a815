"""A circuit followed on a screen is written down as it was on the screen, on its own day."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from rideready.errors import BadInput
from rideready.services.context import Context, open_context
from rideready.services.following import Followed, log_followed
from rideready.store.circuits import circuits_done

TODAY = dt.date(2026, 11, 15)
FOLLOWED = Followed(
    day=TODAY,
    names=("Push-up", "Kettlebell swing", "Band row"),
    top_count=5,
    full_top_count=8,
    rounds_done=4,
    minutes=14.2,
    rpe=7.0,
    weights_kg=(None, 16.0, None),
)


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    context = open_context(tmp_path / "store.sqlite", rider="Runa Vell", today=TODAY)
    yield context
    context.store.close()


def test_it_is_written_down_as_it_was_on_the_screen(ctx: Context) -> None:
    log_followed(ctx, FOLLOWED)
    with ctx.store.reading() as connection:
        (log,) = circuits_done(connection, ctx.rider_id)
    assert (log.date, log.exercises) == (TODAY, FOLLOWED.names)
    assert (log.top_count, log.full_top_count, log.rounds_done, log.rpe) == (5, 8, 4, 7.0)
    assert log.weights_kg == (("Kettlebell swing", 16.0),)


def test_past_midnight_it_still_belongs_to_the_day_it_was_written_for(ctx: Context) -> None:
    log = log_followed(replace(ctx, today=TODAY + dt.timedelta(days=1)), FOLLOWED)
    assert log.date == TODAY


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"names": ("Push-up", "Moon walk")}, "'Moon walk', which is not in the library"),
        ({"names": (), "weights_kg": ()}, "no exercise"),
        ({"names": ("Push-up",)}, "3 weights for 1 exercises"),
        ({"day": TODAY + dt.timedelta(days=2)}, "has not come yet"),
        ({"rounds_done": 6}, "rounds"),
        ({"top_count": 4000, "rounds_done": 1}, "top count"),
        ({"rpe": 11.0}, "RPE"),
        ({"rpe": float("nan")}, "RPE"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    ctx: Context, change: dict[str, object], sentence: str
) -> None:
    with pytest.raises(BadInput, match=sentence):
        log_followed(ctx, replace(FOLLOWED, **change))  # type: ignore[arg-type]
    with ctx.store.reading() as connection:
        assert circuits_done(connection, ctx.rider_id) == []
