"""The address of the list of sessions says which are shown, in which order, and nothing else."""

import datetime as dt

import pytest

from dashboards.components.sessions_address import (
    Column,
    SessionFilters,
    chosen_sessions,
    filters_from_session_controls,
    read_session_filters,
    sorted_by,
    write_session_filters,
)
from rideready.model.session import Kind
from tests.dashboards.rows import a_session_row


@pytest.mark.parametrize(
    "filters",
    [
        SessionFilters(),
        SessionFilters(kinds=(Kind.BIKE, Kind.RUN), device="Strap, old & new", has_recoveries=True),
        SessionFilters(since=dt.date(2026, 9, 1), until=dt.date(2026, 10, 31), page=3),
        SessionFilters(sort=Column.DROP),
        SessionFilters(sort=Column.DATE, is_reversed=True),
    ],
)
def test_filters_survive_the_address(filters: SessionFilters) -> None:
    assert read_session_filters(write_session_filters(filters)) == filters


def test_what_the_address_cannot_mean_is_named_and_left_out() -> None:
    read = read_session_filters("?kind=bike,flying&sort=colour&since=soon&page=x&else=1")
    assert read.kinds == (Kind.BIKE,)
    assert read.sort is Column.DATE
    assert set(read.ignored) == {"flying", "sort=colour", "soon", "else=1"}


def test_a_second_press_on_a_head_turns_the_order_round() -> None:
    once = sorted_by(SessionFilters(page=4), Column.LOAD)
    twice = sorted_by(once, Column.LOAD)
    assert (once.sort, once.is_reversed, once.page) == (Column.LOAD, False, 1)
    assert (twice.sort, twice.is_reversed) == (Column.LOAD, True)


def test_what_has_no_value_comes_last_in_either_order() -> None:
    rows = [
        a_session_row(session_id=number, median_hrr60_bpm=drop)
        for number, drop in ((1, 30.0), (2, None), (3, 45.0))
    ]
    falling = chosen_sessions(rows, SessionFilters(sort=Column.DROP))
    rising = chosen_sessions(rows, SessionFilters(sort=Column.DROP, is_reversed=True))
    assert [row.session_id for row in falling] == [3, 1, 2]
    assert [row.session_id for row in rising] == [1, 3, 2]


def test_kind_recorder_days_and_recoveries_narrow_together() -> None:
    rows = [
        a_session_row(session_id=1, kind=Kind.BIKE, device="A", n_trusted=2),
        a_session_row(session_id=2, kind=Kind.RUN, device="A", n_trusted=2),
        a_session_row(session_id=3, kind=Kind.BIKE, device="B", n_trusted=2),
        a_session_row(session_id=4, kind=Kind.BIKE, device="A", n_trusted=0),
        a_session_row(session_id=5, kind=Kind.BIKE, device="A", n_trusted=2, start_utc=None),
    ]
    filters = SessionFilters(kinds=(Kind.BIKE,), device="A", has_recoveries=True, since=dt.date(2026, 1, 1))
    assert [row.session_id for row in chosen_sessions(rows, filters)] == [1]


def test_moved_controls_begin_at_the_first_page_and_unmoved_ones_keep_it() -> None:
    search = "?kind=bike&sort=load&page=3"
    same = filters_from_session_controls(search, ["bike"], "", [None, None], [])
    other = filters_from_session_controls(search, ["run"], "", [None, None], [])
    assert same.page == 3
    assert (other.kinds, other.sort, other.page) == ((Kind.RUN,), Column.LOAD, 1)
