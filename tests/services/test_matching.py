"""A recording of a circuit is laid beside what was prescribed for its day; simulated recordings."""

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from rideready.model.circuit import Circuit, Start
from rideready.model.exercise import Equipment
from rideready.model.session import Kind, Session
from rideready.services.analysis import analyse
from rideready.services.circuits import circuit_request, log_circuit, todays_circuit
from rideready.services.context import Context, open_context
from rideready.services.matching import match_of_session, matched_circuits
from rideready.services.riders import get_rider, update_rider
from rideready.services.training import update_training
from rideready.store.sessions import add_session, describe
from tests.circuit.recorded import RIDER, record

DAY = dt.date(2026, 10, 6)


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    opened = open_context(tmp_path / "store.sqlite", today=DAY)
    update_rider(opened, max_hr_bpm=RIDER.max_hr_bpm, resting_hr_bpm=RIDER.resting_hr_bpm)
    update_training(opened, equipment=(Equipment.KETTLEBELL, Equipment.BOX, Equipment.MAT))
    yield opened
    opened.store.close()


def stored(
    ctx: Context, circuit: Circuit, *, kind: Kind = Kind.CIRCUIT, hour: int = 17, n_rounds: int | None = None
) -> int:
    """Put a simulated recording of a circuit into the store; return its number."""
    done = record(circuit, np.random.default_rng(5), n_rounds=n_rounds)
    start = dt.datetime.combine(circuit.date, dt.time(hour), tzinfo=dt.UTC)
    session = Session.from_arrays(done.signal.t_s, done.signal.hr_bpm, kind=kind, start_utc=start)
    analysis = analyse(session, get_rider(ctx))
    with ctx.store.writing() as connection:
        return add_session(connection, ctx.rider_id, session, fingerprint=f"{kind}{hour}", analysis=analysis)


def test_a_recorded_circuit_is_matched_to_what_was_asked_for_that_day(ctx: Context) -> None:
    circuit = todays_circuit(ctx, top_count=10, start=Start.FROM_CARDIO)
    found = match_of_session(ctx, stored(ctx, circuit))
    assert found is not None
    assert found.circuit.names == circuit.names
    assert len(found.match.rounds) == 10
    assert found.match.planned_minutes < (found.match.minutes or 0) < 1.6 * found.match.planned_minutes
    assert 0.3 < (found.match.share_above_floor or 0) <= 1


def test_a_match_is_kept_and_given_back_the_same(ctx: Context) -> None:
    stored(ctx, todays_circuit(ctx, start=Start.FROM_CARDIO))
    first = matched_circuits(ctx)[DAY].match
    with ctx.store.reading() as connection:
        kept = connection.exec_driver_sql("SELECT count(*) FROM circuit_match").scalar_one()
    assert kept == 1
    assert matched_circuits(ctx)[DAY].match == first


def test_the_circuit_asked_for_last_is_the_one_prescribed(ctx: Context) -> None:
    todays_circuit(ctx)
    other = todays_circuit(ctx, alternative=1)
    stored(ctx, other)
    assert matched_circuits(ctx)[DAY].circuit.names == other.names


def test_a_circuit_asked_for_after_logging_does_not_take_its_place(ctx: Context) -> None:
    done = todays_circuit(ctx)
    log_circuit(ctx, done, rounds_done=None, rpe=6)
    todays_circuit(ctx, alternative=1, equipment=frozenset())
    stored(ctx, done)
    assert matched_circuits(ctx)[DAY].circuit.names == done.names


def test_recoveries_of_a_recording_reach_the_log_and_the_next_step(ctx: Context) -> None:
    circuit = todays_circuit(ctx, start=Start.FROM_CARDIO)
    log_circuit(ctx, circuit, rounds_done=None, rpe=5)
    stored(ctx, circuit)
    later = replace(ctx, today=DAY + dt.timedelta(days=3))
    (log,) = circuit_request(later).log
    assert log.recoveries is not None
    assert log.recoveries == matched_circuits(later)[DAY].match.recoveries


def test_a_circuit_recorded_but_not_logged_counts_as_done(ctx: Context) -> None:
    circuit = todays_circuit(ctx, start=Start.FROM_CARDIO)
    number = stored(ctx, circuit)
    with ctx.store.writing() as connection:
        describe(connection, number, {"rpe": 6.5})
    (log,) = circuit_request(ctx).log
    assert (log.exercises, log.is_finished, log.rpe) == (circuit.names, True, 6.5)


def test_a_recording_of_no_kind_is_the_circuit_if_it_shows_the_rounds(ctx: Context) -> None:
    number = stored(ctx, todays_circuit(ctx, start=Start.FROM_CARDIO), kind=Kind.OTHER)
    assert match_of_session(ctx, number) is not None


def test_a_bike_ride_on_the_day_of_a_circuit_is_none_unless_the_circuit_was_logged(ctx: Context) -> None:
    circuit = todays_circuit(ctx, start=Start.FROM_CARDIO)
    number = stored(ctx, circuit, kind=Kind.BIKE)
    assert match_of_session(ctx, number) is None
    log_circuit(ctx, circuit, rounds_done=None, rpe=6)
    assert match_of_session(ctx, number) is not None


def test_a_recording_of_a_day_without_a_circuit_is_not_matched(ctx: Context) -> None:
    circuit = todays_circuit(ctx)
    assert match_of_session(ctx, stored(ctx, replace(circuit, date=DAY - dt.timedelta(days=1)))) is None


def test_a_circuit_left_early_is_laid_beside_the_rounds_that_were_done(ctx: Context) -> None:
    circuit = todays_circuit(ctx, top_count=10, start=Start.FROM_CARDIO)
    log_circuit(ctx, circuit, rounds_done=6, rpe=7)
    found = match_of_session(ctx, stored(ctx, circuit, n_rounds=6))
    assert found is not None
    assert [one.reps for one in found.match.rounds] == [10, 9, 8, 7, 6, 5]
    assert found.match.planned_minutes == pytest.approx(
        (sum(circuit.round_s[:6]) + 5 * circuit.rest.expected_s) / 60
    )
