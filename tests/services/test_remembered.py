"""What was worked out once is not worked out again, until anybody changes the store."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from rideready.services.context import Context, open_context
from rideready.services.diary import write_resting_pulse
from rideready.services.remembered import MOST_KEPT, remembered
from rideready.services.riders import add_rider
from rideready.services.trends import trend
from rideready.store.changes import change_counter


@pytest.fixture
def ctx(place: Path | str) -> Iterator[Context]:
    opened = open_context(place, rider="Runa")
    yield opened
    opened.store.close()


class Counting:
    """A value that counts how often it is made."""

    def __init__(self) -> None:
        self.n_made = 0

    def __call__(self) -> int:
        self.n_made += 1
        return self.n_made


def test_the_same_question_is_answered_once(ctx: Context) -> None:
    make = Counting()
    assert [remembered(ctx, "a", make) for _ in range(3)] == [1, 1, 1]
    assert remembered(ctx, "b", make) == 2


def test_a_change_of_this_process_makes_it_anew(ctx: Context) -> None:
    make = Counting()
    remembered(ctx, "a", make)
    write_resting_pulse(ctx, 54)
    assert remembered(ctx, "a", make) == 2


def test_a_change_through_another_door_makes_it_anew(ctx: Context) -> None:
    make = Counting()
    remembered(ctx, "a", make)
    other = open_context(ctx.store.place, rider="Runa")
    write_resting_pulse(other, 54)
    other.store.close()
    assert remembered(ctx, "a", make) == 2


def test_a_change_while_it_is_made_does_not_pass_for_included(ctx: Context) -> None:
    def changing() -> str:
        write_resting_pulse(ctx, 54)
        return "before the change"

    remembered(ctx, "a", changing)
    assert remembered(ctx, "a", lambda: "after the change") == "after the change"


def test_reading_changes_nothing(ctx: Context) -> None:
    before = change_counter(ctx.store)
    trend(ctx)
    assert change_counter(ctx.store) == before


def test_another_rider_and_another_store_have_answers_of_their_own(ctx: Context, tmp_path: Path) -> None:
    add_rider(ctx.store.place, "Tam")
    tam, elsewhere = replace(ctx, rider_id=2), open_context(tmp_path / "other.sqlite")
    make = Counting()
    assert [remembered(one, "a", make) for one in (ctx, tam, elsewhere)] == [1, 2, 3]
    assert [remembered(one, "a", make) for one in (ctx, tam, elsewhere)] == [1, 2, 3]
    elsewhere.store.close()


def test_only_the_last_answers_are_kept(ctx: Context) -> None:
    make = Counting()
    for key in range(MOST_KEPT + 1):
        remembered(ctx, key, make)
    assert remembered(ctx, MOST_KEPT, make) == MOST_KEPT + 1
    assert remembered(ctx, 0, make) == MOST_KEPT + 2


def test_the_trend_of_an_unchanged_store_is_the_same_object(ctx: Context) -> None:
    first = trend(ctx)
    assert trend(ctx) is first
    assert trend(ctx, device="Strap") is not first
    write_resting_pulse(ctx, 54)
    assert trend(ctx) is not first


def test_a_closed_store_is_let_go_of(tmp_path: Path) -> None:
    opened = open_context(tmp_path / "store.sqlite")
    change_counter(opened.store)
    opened.store.close()
    # Opened again by the engine when asked: no closed connection is left behind.
    assert isinstance(change_counter(opened.store), int)
    opened.store.close()
