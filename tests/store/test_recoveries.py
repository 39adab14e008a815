"""A recovery comes back with every figure, and with every figure that is missing still missing."""

import datetime as dt
import math
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from sqlalchemy import Connection, text

from rideready.model.reason import SENTENCES, Reason
from rideready.model.recovery import Grade, Mode, Recovery
from rideready.model.session import Kind
from rideready.store.connect import Store, open_store
from rideready.store.recoveries import OPTIONAL_FIGURES, PLAIN_FIGURES, recovery_rows, replace_recoveries
from rideready.store.riders import add_rider
from rideready.store.sessions import add_session, describe
from rideready.store.values import MeasuredRecovery
from tests.support.stores import AN_EVENING, a_recovery, a_session, an_analysis, recoveries


@pytest.fixture
def store(place: Path | str) -> Store:
    store = open_store(place)
    with store.writing() as connection:
        add_rider(connection, "first")
        for days in (0, 3):
            session = a_session(start_utc=AN_EVENING + dt.timedelta(days))
            add_session(connection, 1, session, fingerprint=str(days), analysis=an_analysis())
    return store


@contextmanager
def undone(store: Store) -> Iterator[Connection]:
    """Write, look, and take it back."""
    with store.engine.connect() as connection:
        yield connection
        connection.rollback()


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(recovery=recoveries())
def test_any_recovery_comes_back_as_it_went_in(store: Store, recovery: Recovery) -> None:
    with undone(store) as connection:
        replace_recoveries(connection, 1, [MeasuredRecovery(recovery, 12.5, None)])
        (row,) = recovery_rows(connection, 1)
    assert row.recovery == recovery
    assert (row.altitude_m, row.temperature_c) == (12.5, None)


def test_figures_that_are_not_numbers_come_back_as_missing(store: Store) -> None:
    recovery = a_recovery(hrr60_bpm=math.nan, spacing_s=math.nan)
    with undone(store) as connection:
        replace_recoveries(connection, 1, [MeasuredRecovery(recovery, math.nan, 4.0)])
        (row,) = recovery_rows(connection, 1)
    assert row.recovery.hrr60_bpm is None
    assert math.isnan(row.recovery.spacing_s)
    assert (row.altitude_m, row.temperature_c) == (None, 4.0)


def test_a_row_carries_its_session(store: Store) -> None:
    with undone(store) as connection:
        replace_recoveries(connection, 2, [MeasuredRecovery(a_recovery(end_of_effort_s=90.0))])
        describe(connection, 2, {"posture": "lying"})
        (row,) = recovery_rows(connection, 1)
    assert (row.session_id, row.device, row.kind, row.posture) == (2, "wrist recorder", Kind.BIKE, "lying")
    assert row.end_local is not None
    assert row.end_local.isoformat() == "2026-09-04T19:31:30+02:00"  # 17:30 UTC, two hours ahead, 90 s later


def test_recoveries_are_listed_by_time_and_narrowed_as_asked(store: Store) -> None:
    with undone(store) as connection:
        for session_id in (2, 1):
            found = [
                MeasuredRecovery(a_recovery(order=2, grade=Grade.ROUGH, mode=Mode.MOVING)),
                MeasuredRecovery(a_recovery(order=1)),
            ]
            replace_recoveries(connection, session_id, found)
        every = recovery_rows(connection, 1)
        assert [(row.session_id, row.recovery.order) for row in every] == [(1, 1), (1, 2), (2, 1), (2, 2)]
        assert len(recovery_rows(connection, 1, grades=[Grade.ROUGH])) == 2
        assert recovery_rows(connection, 1, grades=[]) == []
        assert len(recovery_rows(connection, 1, modes=[Mode.MOVING, Mode.STILL])) == 4
        later = recovery_rows(connection, 1, since=dt.date(2026, 9, 2), grades=[Grade.GOOD])
        assert [(row.session_id, row.recovery.order) for row in later] == [(2, 1)]
        assert recovery_rows(connection, 1, session_id=1) == every[:2]
        assert recovery_rows(connection, 2) == []


def test_a_reason_of_another_version_is_left_out_instead_of_failing(store: Store) -> None:
    code = min(SENTENCES)
    with undone(store) as connection:
        replace_recoveries(
            connection, 1, [MeasuredRecovery(a_recovery(reasons=(Reason(code), Reason(code))))]
        )
        changed = """UPDATE recovery SET reasons = '[["no.such_code", {}], ["' || :code || '", {}]]'"""
        connection.execute(text(changed), {"code": code})
        (row,) = recovery_rows(connection, 1)
    assert row.recovery.reasons == (Reason(code),)


def test_no_figure_is_forgotten() -> None:
    apart = {"settle_is_extrapolated", "settle_is_censored", "mode", "evidence", "cut_by", "grade"}
    kept = {*PLAIN_FIGURES, *OPTIONAL_FIGURES, *apart, "fit", "order", "reasons"}
    assert kept == {field.name for field in fields(Recovery)}
