"""A file is known again by its content, whatever came of it."""

from dataclasses import replace
from pathlib import Path

import pytest

from rideready.store.connect import Store, open_store
from rideready.store.riders import add_rider
from rideready.store.sessions import add_session, session_row
from rideready.store.sources import (
    SourceFile,
    all_mappings,
    find_source,
    known_sources,
    remember_mapping,
    remember_source,
    unreadable_sources,
)
from tests.support.stores import AN_EVENING, a_session, an_analysis

A_FILE = SourceFile("ab12", "/data/evening.fit", 12_345, AN_EVENING, reader_version=1)


@pytest.fixture
def store(place: Path | str) -> Store:
    store = open_store(place)
    with store.writing() as connection:
        add_rider(connection, "first")
        add_rider(connection, "second")
        for key in ("a", "b"):
            add_session(connection, 1, a_session(), fingerprint=key, analysis=an_analysis())
    return store


def test_a_file_never_read_is_unknown(store: Store) -> None:
    with store.reading() as connection:
        assert find_source(connection, 1, "ab12") is None


def test_a_file_is_found_with_its_sessions_by_the_rider_who_read_it(store: Store) -> None:
    read = replace(A_FILE, session_ids=(1, 2))
    with store.writing() as connection:
        remember_source(connection, 1, read)
        assert find_source(connection, 1, "ab12") == read
        assert known_sources(connection, 1) == {"ab12": read}
        assert known_sources(connection, 2) == {}
        assert find_source(connection, 2, "ab12") is None


def test_a_file_that_gave_nothing_is_found_with_the_reason(store: Store) -> None:
    with store.writing() as connection:
        remember_source(connection, 1, replace(A_FILE, unreadable_because="It holds no samples."))
        remember_source(connection, 1, replace(A_FILE, sha256="cd34", session_ids=(1,)))
        (found,) = unreadable_sources(connection, 1)
    assert (found.sha256, found.unreadable_because) == ("ab12", "It holds no samples.")


def test_what_came_of_a_file_later_takes_the_place_of_the_first_try(store: Store) -> None:
    with store.writing() as connection:
        remember_source(connection, 1, replace(A_FILE, unreadable_because="Two columns may be meant."))
        remember_source(connection, 1, replace(A_FILE, session_ids=(2,), reader_version=2))
        assert find_source(connection, 1, "ab12") == replace(A_FILE, session_ids=(2,), reader_version=2)
        assert unreadable_sources(connection, 1) == []


def test_a_session_names_every_file_it_came_from(store: Store) -> None:
    with store.writing() as connection:
        remember_source(connection, 1, replace(A_FILE, session_ids=(1,)))
        copy = replace(A_FILE, sha256="cd34", path="/data/evening.csv", session_ids=(1, 2))
        remember_source(connection, 1, copy)
        assert session_row(connection, 1, 1).files == ("evening.fit", "evening.csv")
        assert session_row(connection, 1, 2).files == ("evening.csv",)


def test_how_a_shape_is_read_is_remembered_and_can_be_changed(store: Store) -> None:
    with store.writing() as connection:
        assert all_mappings(connection) == {}
        remember_mapping(connection, "shape", {"hr_bpm": "Pulse A"})
        remember_mapping(connection, "other", {"hr_bpm": "HR"})
        remember_mapping(connection, "shape", {"hr_bpm": "Pulse B", "dates": "day-first"})
        assert all_mappings(connection) == {
            "shape": {"hr_bpm": "Pulse B", "dates": "day-first"},
            "other": {"hr_bpm": "HR"},
        }
