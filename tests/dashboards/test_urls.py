"""An address says what is on screen, and gives it back."""

import datetime as dt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from dashboards.urls import (
    RecoveryFilters,
    RecoveryKey,
    View,
    after_controls,
    filters_from_controls,
    read_filters,
    read_selection,
    read_session,
    read_sessions_page,
    recovery_address,
    session_address,
    sessions_address,
    write_filters,
    write_selection,
)
from rideready.model.recovery import Grade, Mode


def _in_order(choices: type[Grade] | type[Mode]) -> st.SearchStrategy[tuple[Grade | Mode, ...]]:
    return st.sets(st.sampled_from(choices)).map(lambda some: tuple(c for c in choices if c in some))


@settings(deadline=None, max_examples=50)  # a busy machine is no fault
@given(
    st.builds(
        RecoveryFilters,
        grades=_in_order(Grade),
        modes=_in_order(Mode),
        device=st.one_of(
            st.none(), st.text(min_size=1, max_size=30).filter(lambda name: name.strip() == name)
        ),
        since=st.one_of(st.none(), st.dates()),
        until=st.one_of(st.none(), st.dates()),
        view=st.sampled_from(View),
        page=st.integers(1, 9999),
    )
)
def test_filters_written_into_an_address_are_read_back(filters: RecoveryFilters) -> None:
    assert read_filters(write_filters(filters)) == filters


def test_an_address_without_a_query_narrows_nothing() -> None:
    assert read_filters("") == RecoveryFilters()
    assert read_filters(None) == RecoveryFilters()
    assert write_filters(RecoveryFilters()) == ""
    assert not RecoveryFilters(view=View.TABLE).is_narrowed


def test_a_query_is_written_as_a_person_would_type_it() -> None:
    filters = RecoveryFilters(
        grades=(Grade.GOOD, Grade.FAIR), device="My strap", since=dt.date(2026, 9, 1), view=View.TABLE
    )
    assert write_filters(filters) == "?grade=good,fair&device=My%20strap&since=2026-09-01&view=table"


@pytest.mark.parametrize(
    ("search", "left_out"),
    [
        ("?grade=good,splendid", ("splendid",)),
        ("?since=yesterday", ("yesterday",)),
        ("?colour=red", ("colour=red",)),
        ("?view=hologram&mode=flying", ("flying", "hologram")),
        ("?page=0", ("0",)),
    ],
)
def test_what_an_address_cannot_mean_is_kept_to_be_said(search: str, left_out: tuple[str, ...]) -> None:
    assert read_filters(search).ignored == left_out


def test_controls_that_are_empty_narrow_nothing() -> None:
    assert filters_from_controls([], None, "", [None, None], "chart") == RecoveryFilters()
    assert filters_from_controls(None, [], None, None, None) == RecoveryFilters()


def test_controls_give_typed_filters_in_a_fixed_order() -> None:
    filters = filters_from_controls(["fair", "good"], ["still"], "Strap", ["2026-09-01", None], "table")
    assert filters == RecoveryFilters(
        (Grade.GOOD, Grade.FAIR), (Mode.STILL,), "Strap", dt.date(2026, 9, 1), None, View.TABLE
    )


def test_controls_that_say_what_the_address_says_leave_it_alone() -> None:
    search = "?grade=good&page=3&colour=red"
    assert after_controls(search, RecoveryFilters(grades=(Grade.GOOD,))) == search
    assert after_controls(None, RecoveryFilters()) == ""


def test_a_moved_control_goes_back_to_the_first_page() -> None:
    moved = RecoveryFilters(grades=(Grade.FAIR,))
    assert after_controls("?grade=good&page=3", moved) == "?grade=fair"


@settings(deadline=None, max_examples=50)  # a busy machine is no fault
@given(st.integers(0, 10**9), st.integers(0, 10**5))
def test_a_selection_written_into_an_address_is_read_back(session_id: int, order: int) -> None:
    key = RecoveryKey(session_id, order)
    assert read_selection(write_selection(key)) == key


@pytest.mark.parametrize("fragment", ["", None, "#", "#page", "#12", "#12.", "#.3", "#12.3.4", "#-1.2"])
def test_a_fragment_that_names_no_recovery_opens_none(fragment: str | None) -> None:
    assert read_selection(fragment) is None


def test_a_recovery_and_a_session_have_an_address() -> None:
    assert recovery_address(RecoveryKey(12, 3)) == "/recovery#12.3"
    assert session_address(12) == "/sessions/12"


@pytest.mark.parametrize("page", [1, 2, 60])
def test_a_page_of_the_list_written_into_an_address_is_read_back(page: int) -> None:
    assert read_sessions_page(sessions_address(page)) == page
    assert read_session(sessions_address(page)) is None


@pytest.mark.parametrize("pathname", ["/sessions/page/0", "/sessions/page/", "/sessions/12", "/", None])
def test_other_paths_are_no_page_of_the_list(pathname: str | None) -> None:
    assert read_sessions_page(pathname) is None


@pytest.mark.parametrize(
    ("pathname", "number"),
    [("/sessions/12", 12), ("/sessions/12/", 12), ("/sessions", None), ("/sessions/x", None), (None, None)],
)
def test_a_path_names_a_session_only_by_its_number(pathname: str | None, number: int | None) -> None:
    assert read_session(pathname) == number
