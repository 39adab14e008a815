"""A context knows its store, its rider and its today, and asks where it could only guess."""

import datetime as dt
from pathlib import Path

import pytest

from rideready.errors import BadInput, NotInStore
from rideready.services.context import open_context
from rideready.services.riders import add_rider, get_rider, list_riders, update_rider
from rideready.store.place import place_of
from rideready.store.settings import IS_SIMULATED, set_setting


def test_a_new_store_has_one_rider_without_a_name(place: Path | str) -> None:
    context = open_context(place)
    assert context.store.place == place_of(place)
    assert list_riders(context) == [""]


def test_opening_twice_finds_the_same_rider(place: Path | str) -> None:
    first, second = (open_context(place) for _ in range(2))
    assert first.rider_id == second.rider_id
    assert list_riders(second) == [""]


def test_the_first_rider_named_in_an_empty_store_is_added(place: Path | str) -> None:
    context = open_context(place, rider="Runa")
    assert get_rider(context).name == "Runa"


def test_a_mistyped_rider_is_refused_and_not_added(place: Path | str) -> None:
    context = open_context(place, rider="Runa")
    with pytest.raises(NotInStore) as problem:
        open_context(context.store.place, rider="Rune")
    assert str(problem.value) == (
        "there is no rider called 'Rune'; the store has 'Runa'. "
        "Check the name, or add the rider with: rideready rider --add 'Rune'."
    )
    assert list_riders(context) == ["Runa"]


def test_with_several_riders_it_asks_which(place: Path | str) -> None:
    context = open_context(place, rider="Runa")
    add_rider(context.store.place, "Tam")
    with pytest.raises(BadInput) as problem:
        open_context(context.store.place)
    assert str(problem.value) == "the store has 2 riders: 'Runa', 'Tam'. Say which with --rider NAME."
    assert open_context(context.store.place, rider="Tam").rider_id != context.rider_id


def test_a_named_rider_is_found_after_the_only_one_was_renamed(place: Path | str) -> None:
    context = open_context(place)
    update_rider(context, name="Runa")
    assert open_context(context.store.place, rider="Runa").rider_id == context.rider_id


def test_today_is_given_or_the_clocks(place: Path | str) -> None:
    assert open_context(place, today=dt.date(2026, 10, 1)).today == dt.date(2026, 10, 1)
    before = dt.datetime.now().astimezone().date()
    today = open_context(place).today
    assert before <= today <= dt.datetime.now().astimezone().date()


def test_a_store_is_simulated_only_if_it_is_marked_so(place: Path | str) -> None:
    context = open_context(place)
    assert context.is_simulated is False
    with context.store.writing() as connection:
        set_setting(connection, IS_SIMULATED, "yes")
    assert context.is_simulated is True
