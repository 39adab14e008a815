"""What was chosen and swapped survives the way into an address and back."""

import datetime as dt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboards.components.circuit_address import (
    CircuitChoice,
    circuit_address,
    follow_address,
    read_choice,
    write_choice,
)
from dashboards.components.circuit_options import after_controls, choice_from_controls, control_values
from rideready.circuit.library import STATIONS
from rideready.model.circuit import RestBy, Start
from rideready.model.exercise import Equipment, Joint

NAMES = [exercise.name for exercise in STATIONS]


def _some(kind: type[Equipment] | type[Joint]) -> st.SearchStrategy[tuple[str, ...]]:
    return st.sets(st.sampled_from(list(kind))).map(
        lambda chosen: tuple(one for one in kind if one in chosen)
    )


CHOICES = st.builds(
    CircuitChoice,
    top=st.none() | st.integers(2, 20),
    exercises=st.integers(4, 8),
    minutes=st.none() | st.integers(1, 600),
    equipment=st.none() | _some(Equipment),
    spare=_some(Joint),
    start=st.sampled_from(Start),
    rest=st.sampled_from(RestBy),
    alternative=st.integers(0, 5),
    swapped=st.lists(st.sampled_from(NAMES), max_size=5).map(tuple),
    day=st.none() | st.dates(dt.date(2020, 1, 1), dt.date(2040, 1, 1)),
)


@given(CHOICES)
def test_every_choice_comes_back_from_its_address(choice: CircuitChoice) -> None:
    assert read_choice(write_choice(choice)) == choice


@given(CHOICES, _some(Equipment))
def test_controls_that_show_a_choice_leave_it_as_it_is(
    choice: CircuitChoice, kept: tuple[Equipment, ...]
) -> None:
    shown = control_values(choice, kept)
    moved = choice_from_controls(shown, kept)
    same = choice.equipment is None or set(choice.equipment) != set(kept)
    assert not same or after_controls(choice, moved) == choice


def test_no_exercise_of_the_library_has_a_comma_in_its_name() -> None:
    assert [name for name in NAMES if "," in name] == []


def test_a_moved_control_forgets_swaps_and_the_next_best() -> None:
    current = CircuitChoice(top=8, alternative=2, swapped=("Push-up",))
    assert after_controls(current, CircuitChoice(top=9)) == CircuitChoice(top=9)


def test_no_equipment_at_all_is_not_the_same_as_what_is_kept() -> None:
    assert write_choice(CircuitChoice(equipment=())) == "?with=none"
    assert read_choice("?with=none").equipment == ()
    assert read_choice("").equipment is None


@pytest.mark.parametrize(
    ("search", "ignored"),
    [
        ("?top=99", ("top=99",)),
        ("?exercises=three", ("exercises=three",)),
        ("?with=band,anvil", ("anvil",)),
        ("?day=yesterday", ("yesterday",)),
        ("?colour=red", ("colour=red",)),
    ],
)
def test_what_the_address_asks_for_in_vain_is_kept_to_be_said(search: str, ignored: tuple[str, ...]) -> None:
    assert read_choice(search).ignored == ignored


def test_the_day_belongs_to_following_alone() -> None:
    choice = read_choice("?top=3&day=2026-11-15")
    assert circuit_address(choice) == "/circuit?top=3"
    assert follow_address(choice, dt.date(2026, 11, 16)) == "/circuit/follow?top=3&day=2026-11-16"
