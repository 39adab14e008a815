"""A week's load, monotony and strain; figures worked out by hand from Foster's definitions (1998, 2001)."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from statistics import mean, stdev

import pytest

from rideready.services.circuits import log_circuit, todays_circuit
from rideready.services.context import Context, open_context
from rideready.services.diary import write_entry
from rideready.services.week_load import WeekLoad, week_loads

MONDAY = dt.date(2026, 10, 5)


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    opened = open_context(tmp_path / "store.sqlite", today=MONDAY)
    yield opened
    opened.store.close()


def on(ctx: Context, days: int) -> Context:
    return replace(ctx, today=MONDAY + dt.timedelta(days=days))


def first_week(ctx: Context) -> WeekLoad:
    return week_loads(on(ctx, 7), weeks=2)[0]


def test_load_monotony_and_strain_follow_foster(ctx: Context) -> None:
    for day, minutes, rpe in ((0, 60, 5), (2, 30, 7), (5, 90, 3)):
        write_entry(on(ctx, day), "cardio", minutes=minutes, rpe=rpe)
    week = first_week(ctx)
    loads = [300, 0, 210, 0, 0, 270, 0]  # RPE times minutes
    assert week.daily_loads == tuple(loads)
    assert week.load == 780
    assert week.monotony == pytest.approx(mean(loads) / stdev(loads))
    assert week.strain == pytest.approx(780 * mean(loads) / stdev(loads))


def test_a_session_without_a_rating_leaves_the_week_without_figures_and_says_so(ctx: Context) -> None:
    write_entry(ctx, "cardio", minutes=60, rpe=5)
    write_entry(on(ctx, 1), "strength", minutes=30)
    week = first_week(ctx)
    assert (week.load, week.monotony, week.strain, week.n_unrated) == (None, None, None, 1)
    assert [reason.code for reason in week.reasons] == ["season.load_unrated"]


def test_a_lead_in_without_a_rating_takes_that_of_the_circuit_after_it(ctx: Context) -> None:
    circuit = todays_circuit(ctx)
    log_circuit(ctx, circuit, rounds_done=None, rpe=6)
    write_entry(ctx, "cardio", minutes=20)
    assert first_week(ctx).load == pytest.approx(6 * (circuit.minutes + 20))


def test_a_week_that_is_not_over_has_a_load_and_no_monotony(ctx: Context) -> None:
    write_entry(ctx, "cardio", minutes=60, rpe=5)
    (week,) = week_loads(on(ctx, 3), weeks=1)
    assert (week.load, week.monotony, week.strain) == (300, None, None)


def test_a_week_of_rest_has_no_monotony(ctx: Context) -> None:
    week = first_week(ctx)
    assert (week.load, week.monotony) == (0, None)
    assert [reason.code for reason in week.reasons] == ["season.load_even"]
