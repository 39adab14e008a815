"""A rider's newest numbers count; the older ones keep their day."""

import datetime as dt
from pathlib import Path

import pytest

from rideready.errors import BadInput, NotInStore
from rideready.model.rider import Rider, Sex
from rideready.store.connect import Store, open_store
from rideready.store.riders import (
    DatedNumber,
    add_rider,
    current_rider,
    dated_numbers,
    rename_rider,
    rider_names,
    set_numbers,
)

AUGUST, OCTOBER = dt.date(2026, 8, 20), dt.date(2026, 10, 2)


@pytest.fixture
def store(place: Path | str) -> Store:
    return open_store(place)


def test_a_new_rider_has_a_name_and_no_numbers(store: Store) -> None:
    with store.writing() as connection:
        number = add_rider(connection, "Runa")
        assert rider_names(connection) == {number: "Runa"}
        assert current_rider(connection, number) == Rider(name="Runa")


def test_the_newest_number_counts_and_the_older_one_keeps_its_day(store: Store) -> None:
    with store.writing() as connection:
        number = add_rider(connection, "Runa")
        set_numbers(connection, number, {"max_hr_bpm": 178.0, "sex": Sex.FEMALE}, AUGUST)
        set_numbers(connection, number, {"max_hr_bpm": 181.0}, OCTOBER)
        assert current_rider(connection, number) == Rider(name="Runa", max_hr_bpm=181.0, sex=Sex.FEMALE)
        assert dated_numbers(connection, number) == [
            DatedNumber("max_hr_bpm", 178.0, AUGUST),
            DatedNumber("sex", "female", AUGUST),
            DatedNumber("max_hr_bpm", 181.0, OCTOBER),
        ]


def test_a_number_taken_back_is_unknown_again(store: Store) -> None:
    with store.writing() as connection:
        number = add_rider(connection, "Runa")
        set_numbers(connection, number, {"max_hr_bpm": 178.0, "settle_reserve": 0.5}, AUGUST)
        set_numbers(connection, number, {"max_hr_bpm": None, "settle_reserve": None}, OCTOBER)
        assert current_rider(connection, number) == Rider(name="Runa")


def test_riders_keep_their_numbers_apart(store: Store) -> None:
    with store.writing() as connection:
        first, second = add_rider(connection, "Runa"), add_rider(connection, "Tam")
        set_numbers(connection, first, {"age_years": 41.0}, AUGUST)
        assert current_rider(connection, second) == Rider(name="Tam")


def test_a_name_belongs_to_one_rider(store: Store) -> None:
    with store.writing() as connection:
        first, second = add_rider(connection, "Runa"), add_rider(connection, "Tam")
        rename_rider(connection, first, "Runa")  # her own name is no clash
        with pytest.raises(BadInput, match="already a rider called 'Runa'"):
            rename_rider(connection, second, "Runa")
        with pytest.raises(BadInput, match="already a rider called 'Tam'"):
            add_rider(connection, "Tam")
        rename_rider(connection, first, "Runa Vell")
        assert rider_names(connection) == {first: "Runa Vell", second: "Tam"}


def test_a_rider_who_is_not_there_is_named(store: Store) -> None:
    with store.reading() as connection, pytest.raises(NotInStore, match="there is no rider 9"):
        current_rider(connection, 9)
