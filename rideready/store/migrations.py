"""How the tables came about: ordered, named steps, each applied once and never edited afterwards.

A step is a function from a connection to nothing, run inside one transaction with its entry in
``schema_version``: a store is at one version or the next, never between. Steps are kept as SQL
text, since the tables in ``schema`` move on while a step must stay what it was; the text is SQLite's,
and `rideready.store.dialect.make` says it in the words of the database at hand.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, insert, inspect

from rideready.errors import StoreProblem
from rideready.store.dialect import make
from rideready.store.schema import schema_version


@dataclass(frozen=True, slots=True)
class Migration:
    """One step from a version to the next."""

    name: str
    step: Callable[[Connection], None]


def found_version(connection: Connection) -> int:
    """Return the version a store is at; 0 if it is empty.

    Raises
    ------
    StoreProblem
        If it holds tables of another program.
    """
    tables = inspect(connection).get_table_names()
    if "schema_version" in tables:
        found = connection.exec_driver_sql("SELECT max(version) FROM schema_version").scalar()
        return int(found or 0)
    if tables:
        raise StoreProblem("this is a database of another program", what_to_do="Name another with --store")
    return 0


def needs_migration(connection: Connection, migrations: Sequence[Migration]) -> bool:
    """Tell whether steps are missing; raises `StoreProblem` on a store from a newer rideready."""
    found = found_version(connection)
    if found > len(migrations):
        raise StoreProblem(
            f"it was written by a newer rideready (schema {found}; this one knows up to {len(migrations)})",
            what_to_do="Update rideready to open it",
        )
    return found < len(migrations)


def migrate(connection: Connection, migrations: Sequence[Migration]) -> None:
    """Apply the missing steps within the caller's transaction, which must already hold the write lock."""
    if not needs_migration(connection, migrations):
        return  # another process was faster
    for number in range(found_version(connection) + 1, len(migrations) + 1):
        migration = migrations[number - 1]
        migration.step(connection)
        done = {"version": number, "name": migration.name}
        done["applied_utc"] = dt.datetime.now(dt.UTC).isoformat(timespec="seconds")
        connection.execute(insert(schema_version), done)


def first_tables(connection: Connection) -> None:
    """Make the tables of the first version."""
    for statement in _FIRST_TABLES.split(";"):
        if statement.strip():
            make(connection, statement)


# AUTOINCREMENT: the number of a deleted session is an address somebody may have kept; it is never given again.
_FIRST_TABLES = """
CREATE TABLE schema_version (version INTEGER PRIMARY KEY, name TEXT NOT NULL, applied_utc TEXT NOT NULL);
CREATE TABLE setting (name TEXT PRIMARY KEY, value TEXT NOT NULL);
CREATE TABLE rider (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE);
CREATE TABLE rider_number (
    id INTEGER PRIMARY KEY AUTOINCREMENT, rider_id INTEGER NOT NULL REFERENCES rider (id),
    field TEXT NOT NULL, value TEXT NOT NULL, day TEXT NOT NULL);
CREATE TABLE resting_pulse (
    rider_id INTEGER NOT NULL REFERENCES rider (id), day TEXT NOT NULL, bpm DOUBLE PRECISION NOT NULL,
    PRIMARY KEY (rider_id, day));
CREATE TABLE log_entry (
    id INTEGER PRIMARY KEY AUTOINCREMENT, rider_id INTEGER NOT NULL REFERENCES rider (id),
    day TEXT NOT NULL, kind TEXT NOT NULL, minutes DOUBLE PRECISION, rpe DOUBLE PRECISION,
    tags TEXT NOT NULL, notes TEXT NOT NULL);
CREATE INDEX log_entry_by_day ON log_entry (rider_id, day);
CREATE TABLE session (
    id INTEGER PRIMARY KEY AUTOINCREMENT, rider_id INTEGER NOT NULL REFERENCES rider (id),
    start_utc TEXT, zone TEXT, local_day TEXT, kind TEXT NOT NULL, device TEXT,
    duration_s DOUBLE PRECISION NOT NULL, n_samples INTEGER NOT NULL, has_heart_rate INTEGER NOT NULL,
    pauses TEXT NOT NULL, warnings TEXT NOT NULL, fingerprint TEXT NOT NULL,
    posture TEXT, rpe DOUBLE PRECISION, notes TEXT NOT NULL,
    analysis_version INTEGER NOT NULL, analysed_for TEXT NOT NULL,
    mean_hr_bpm DOUBLE PRECISION, peak_hr_bpm DOUBLE PRECISION, clean_share DOUBLE PRECISION NOT NULL,
    flagged_s TEXT NOT NULL, class_minutes TEXT, maximum_is_predicted INTEGER NOT NULL,
    trimp DOUBLE PRECISION, n_recoveries INTEGER NOT NULL, n_trusted INTEGER NOT NULL,
    median_hrr60_bpm DOUBLE PRECISION);
CREATE INDEX session_by_day ON session (rider_id, local_day);
CREATE TABLE samples (
    session_id INTEGER PRIMARY KEY REFERENCES session (id) ON DELETE CASCADE, data BLOB NOT NULL);
CREATE TABLE recovery (
    session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE, position INTEGER NOT NULL,
    end_of_effort_s DOUBLE PRECISION NOT NULL, peak_bpm DOUBLE PRECISION, peak_reserve DOUBLE PRECISION,
    window_s DOUBLE PRECISION, clean_share DOUBLE PRECISION, spacing_s DOUBLE PRECISION,
    hrr30_bpm DOUBLE PRECISION, hrr30_se_bpm DOUBLE PRECISION,
    hrr60_bpm DOUBLE PRECISION, hrr60_se_bpm DOUBLE PRECISION,
    hrr120_bpm DOUBLE PRECISION, hrr120_se_bpm DOUBLE PRECISION, t30_s DOUBLE PRECISION,
    settle_s DOUBLE PRECISION, settle_is_extrapolated INTEGER NOT NULL, settle_is_censored INTEGER NOT NULL,
    tau_s DOUBLE PRECISION, tau_low_s DOUBLE PRECISION, tau_high_s DOUBLE PRECISION, fit TEXT,
    mode TEXT NOT NULL, evidence TEXT NOT NULL, cut_by TEXT NOT NULL, grade TEXT NOT NULL,
    reasons TEXT NOT NULL, altitude_m DOUBLE PRECISION, temperature_c DOUBLE PRECISION,
    PRIMARY KEY (session_id, position));
CREATE TABLE source_file (
    id INTEGER PRIMARY KEY AUTOINCREMENT, rider_id INTEGER NOT NULL REFERENCES rider (id),
    sha256 TEXT NOT NULL, path TEXT NOT NULL, size BIGINT NOT NULL, modified_utc TEXT NOT NULL,
    reader_version INTEGER NOT NULL, unreadable_because TEXT, UNIQUE (rider_id, sha256));
CREATE TABLE source_session (
    source_id INTEGER NOT NULL REFERENCES source_file (id) ON DELETE CASCADE,
    session_id INTEGER NOT NULL REFERENCES session (id) ON DELETE CASCADE,
    PRIMARY KEY (source_id, session_id));
CREATE TABLE column_mapping (shape TEXT PRIMARY KEY, mapping TEXT NOT NULL)
"""


def circuits(connection: Connection) -> None:
    """Make room for circuits that were done."""
    make(
        connection,
        "CREATE TABLE circuit (id INTEGER PRIMARY KEY AUTOINCREMENT, "
        "rider_id INTEGER NOT NULL REFERENCES rider (id), day TEXT NOT NULL, document TEXT NOT NULL)",
    )
    make(connection, "CREATE INDEX circuit_by_day ON circuit (rider_id, day)")


def field_tests(connection: Connection) -> None:
    """Make room for results of field tests."""
    make(
        connection,
        "CREATE TABLE field_test (rider_id INTEGER NOT NULL REFERENCES rider (id), day TEXT NOT NULL, "
        "test TEXT NOT NULL, session_id INTEGER REFERENCES session (id) ON DELETE SET NULL, "
        "device TEXT, document TEXT NOT NULL, PRIMARY KEY (rider_id, day, test))",
    )


def partner_documents(connection: Connection) -> None:
    """Make room for what was shared with a riding partner and what came from one."""
    make(
        connection,
        "CREATE TABLE partner_document (rider_id INTEGER NOT NULL REFERENCES rider (id), kind TEXT NOT NULL, "
        "name TEXT NOT NULL, document TEXT NOT NULL, PRIMARY KEY (rider_id, kind, name))",
    )


def written_plans(connection: Connection) -> None:
    """Make room for circuits as prescribed, recordings matched to them, and plans as they were seen."""
    make(
        connection,
        "CREATE TABLE written_circuit (rider_id INTEGER NOT NULL REFERENCES rider (id), day TEXT NOT NULL, "
        "document TEXT NOT NULL, PRIMARY KEY (rider_id, day))",
    )
    make(
        connection,
        "CREATE TABLE circuit_match (session_id INTEGER PRIMARY KEY REFERENCES session (id) "
        "ON DELETE CASCADE, made_for TEXT NOT NULL, document TEXT NOT NULL)",
    )
    make(
        connection,
        "CREATE TABLE kept_plan (rider_id INTEGER NOT NULL REFERENCES rider (id), kind TEXT NOT NULL, "
        "day TEXT NOT NULL, document TEXT NOT NULL, PRIMARY KEY (rider_id, kind, day))",
    )


def deleted_sessions(connection: Connection) -> None:
    """Let a session be deleted and brought back."""
    make(connection, "ALTER TABLE session ADD COLUMN deleted_utc TEXT")


def held_pulses(connection: Connection) -> None:
    """Keep the highest and lowest pulse held in a session, so that nobody reads samples for them."""
    make(connection, "ALTER TABLE session ADD COLUMN held_pulse TEXT")


#: Every step there ever was, in order; the n-th brings a store to version n.
MIGRATIONS: tuple[Migration, ...] = (
    Migration("first tables", first_tables),
    Migration("circuits", circuits),
    Migration("field tests", field_tests),
    Migration("partner documents", partner_documents),
    Migration("written plans", written_plans),
    Migration("deleted sessions", deleted_sessions),
    Migration("held pulses", held_pulses),
)
