"""A deleted session is out of sight, comes back when asked, and never by an import."""

from pathlib import Path

import pytest
from sqlalchemy import func, select

from rideready.errors import NotInStore
from rideready.model.session import Kind
from rideready.services.context import Context, open_context
from rideready.services.deletion import delete_session, erase_session, list_deleted, restore_session
from rideready.services.editing import edit_session
from rideready.services.importing import import_paths
from rideready.services.recoveries import list_recoveries
from rideready.services.sessions import list_sessions, session_view
from rideready.store import schema
from tests.support.stores import write_ride


@pytest.fixture
def ctx(place: Path | str, tmp_path: Path) -> Context:
    context = open_context(place)
    (tmp_path / "rides").mkdir()
    for days in (0, 2):
        write_ride(tmp_path / "rides", days=days)
    import_paths(context, [tmp_path / "rides"])
    return context


def test_a_deleted_session_is_in_no_list(ctx: Context) -> None:
    delete_session(ctx, 1)
    assert [row.session_id for row in list_sessions(ctx)] == [2]
    assert {row.session_id for row in list_recoveries(ctx)} == {2}
    with pytest.raises(NotInStore, match="there is no session 1"):
        session_view(ctx, 1)


def test_a_deleted_session_comes_back_as_it_was(ctx: Context) -> None:
    edit_session(ctx, 1, kind=Kind.RUN, rpe=6.0, notes="ice on the road", posture="standing")
    before, recoveries = list_sessions(ctx), list_recoveries(ctx)
    delete_session(ctx, 1)
    assert [found.session_id for found in list_deleted(ctx)] == [1]
    assert restore_session(ctx, 1).notes == "ice on the road"
    assert (list_sessions(ctx), list_recoveries(ctx), list_deleted(ctx)) == (before, recoveries, [])


def test_what_is_not_there_cannot_be_deleted_or_brought_back(ctx: Context) -> None:
    delete_session(ctx, 1)
    for act in (delete_session, erase_session, restore_session):
        with pytest.raises(NotInStore):
            act(ctx, 9)
    with pytest.raises(NotInStore, match="there is no session 1"):
        delete_session(ctx, 1)
    with pytest.raises(NotInStore, match="there is no deleted session 2"):
        restore_session(ctx, 2)


@pytest.mark.parametrize("name", ["ride-00.csv", "copy with another name and content.csv"])
def test_an_import_does_not_bring_a_deleted_session_back_and_says_how_to(
    ctx: Context, tmp_path: Path, name: str
) -> None:
    delete_session(ctx, 1)
    path = tmp_path / "rides" / name
    path.write_bytes((tmp_path / "rides" / "ride-00.csv").read_bytes() + (b"" if "00" in name else b"\n"))
    report = import_paths(ctx, [path])
    assert (report.stored, report.duplicates) == (0, 1)
    assert [note.reason for note in report.warnings] == [
        "Session 1 was deleted and stays so; bring it back with: rideready delete 1 --undo"
    ]
    assert [row.session_id for row in list_sessions(ctx)] == [2]


def test_a_session_erased_for_good_leaves_nothing_and_can_be_imported_anew(
    ctx: Context, tmp_path: Path
) -> None:
    erase_session(ctx, 1)
    with ctx.store.reading() as connection:
        for table in (schema.session, schema.samples, schema.source_file, schema.source_session):
            assert connection.execute(select(func.count()).select_from(table)).scalar() == 1
    report = import_paths(ctx, [tmp_path / "rides" / "ride-00.csv"])
    assert (report.stored, report.session_ids) == (1, (3,))  # a number is never given again
