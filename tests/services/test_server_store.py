"""A riding school's store on a server: the same figures as in a file, riders apart, nothing lost."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from sqlalchemy import text

from rideready.errors import BadInput, StoreProblem
from rideready.importers.mapping import ColumnMapping
from rideready.model.rider import Sex
from rideready.services import reading_back
from rideready.services.checking import check_figures, check_structure
from rideready.services.context import Context, open_context
from rideready.services.deletion import delete_session, erase_session
from rideready.services.demo import samples_path
from rideready.services.diary import write_resting_pulse
from rideready.services.editing import edit_session
from rideready.services.importing import import_paths
from rideready.services.keeping import (
    back_up_store,
    delete_everything,
    keep_recent_copy,
    list_backups,
    restore_store,
)
from rideready.services.recoveries import list_recoveries
from rideready.services.riders import add_rider, update_rider
from rideready.services.sessions import list_sessions
from rideready.services.trends import trend
from rideready.services.whole_store import export_whole
from rideready.services.workers import FEWEST_ITEMS
from rideready.simulate.scenario import ZONE
from rideready.store.connect import Store, open_store
from rideready.store.dialect import last_numbers
from rideready.store.dump import same_contents
from tests.support.postgresql import Server
from tests.support.stores import write_ride

Fill = Callable[[Path | str], Context]


@pytest.fixture
def filled(tmp_path: Path) -> Fill:
    """Return what fills a store: two riders, notes, a deleted session, one erased, a file that gave nothing."""
    rides = tmp_path / "rides"
    rides.mkdir()
    for days in range(3):
        write_ride(rides, days=days)
    (rides / "letter.csv").write_text("Dear neighbour,\nthe snow machine is yours.\n")

    def fill(place: Path | str) -> Context:
        context = open_context(place, rider="Runa")
        update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
        import_paths(context, [rides])
        write_resting_pulse(context, 52)
        edit_session(context, 1, notes='ice, "black" ice «ä»\non the road', rpe=7.0)
        delete_session(context, 2)
        erase_session(context, 3)
        add_rider(place, "Tam")
        tam = open_context(place, rider="Tam")
        import_paths(tam, [rides / "ride-02.csv"])
        tam.store.close()
        return context

    return fill


def are_equal(one: Store, other: Store) -> bool:
    with one.reading() as here, other.reading() as there:
        return same_contents(here, there) and last_numbers(here) == last_numbers(there)


def test_a_file_goes_to_a_server_and_back_and_stays_equal(
    filled: Fill, on_server: str, tmp_path: Path
) -> None:
    first = filled(tmp_path / "first.sqlite")
    export_whole(first, tmp_path / "there.zip")
    school = open_context(on_server)
    assert import_paths(school, [tmp_path / "there.zip"]).stored == 3
    assert are_equal(first.store, school.store)
    export_whole(school, tmp_path / "back.zip")
    last = open_context(tmp_path / "last.sqlite")
    assert import_paths(last, [tmp_path / "back.zip"]).stored == 3
    assert are_equal(first.store, last.store)
    assert check_figures(on_server) == check_figures(tmp_path / "last.sqlite")
    again = import_paths(school, [tmp_path / "back.zip"])
    assert (again.stored, again.duplicates) == (0, 3)


def test_numbers_go_on_where_they_were_after_an_export(filled: Fill, on_server: str, tmp_path: Path) -> None:
    export_whole(filled(tmp_path / "first.sqlite"), tmp_path / "all")
    school = open_context(on_server)
    import_paths(school, [tmp_path / "all"])
    school = open_context(on_server, rider="Runa")
    write_ride(tmp_path, name="new.csv", days=9)
    assert import_paths(school, [tmp_path / "new.csv"]).session_ids == (5,)  # 1 to 4 were given


def test_a_whole_store_is_not_read_over_another(filled: Fill, on_server: str, tmp_path: Path) -> None:
    export_whole(filled(tmp_path / "first.sqlite"), tmp_path / "all")
    liv = open_context(on_server, rider="Liv")
    with pytest.raises(BadInput, match="can only be read into an empty one"):
        import_paths(liv, [tmp_path / "all"])
    assert list_sessions(liv) == []


def test_somebody_who_imports_meanwhile_is_not_written_over(
    filled: Fill, on_server: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    export_whole(filled(tmp_path / "first.sqlite"), tmp_path / "all")
    ride = write_ride(tmp_path, name="liv.csv")
    context = open_context(on_server, rider="Liv")
    with context.store.writing() as connection:
        connection.execute(text("UPDATE rider SET name = ''"))  # as empty as a store ever is

    def compare_while_another_imports(*_: object) -> bool:
        import_paths(context, [ride])
        return False

    monkeypatch.setattr(reading_back, "same_contents", compare_while_another_imports)
    with pytest.raises(BadInput, match="can only be read into an empty one"):
        import_paths(open_context(on_server), [tmp_path / "all"])
    assert len(list_sessions(context)) == 1


def test_samples_give_the_same_figures_in_a_file_and_on_a_server(on_server: str, tmp_path: Path) -> None:
    some = sorted(path for path in samples_path().iterdir() if path.suffix in {".csv", ".fit"})[::14]
    contexts = [open_context(place, rider="Runa") for place in (tmp_path / "store.sqlite", on_server)]
    for context in contexts:
        update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
        assert import_paths(context, some, mapping=ColumnMapping(zone=ZONE)).stored == len(some)
    here, there = contexts
    assert list_sessions(here) == list_sessions(there)
    assert list_recoveries(here) == list_recoveries(there)
    assert trend(here) == trend(there)
    checked = check_figures(on_server)
    assert (checked.problems, checked.n_worked_out) == ((), len(some))


def test_riders_of_one_store_are_kept_apart(on_server: str, tmp_path: Path) -> None:
    names = ("Runa", "Tam", "Liv")
    riders = []
    for name in names:
        if name != "Runa":
            add_rider(on_server, name)
        riders.append(open_context(on_server, rider=name))
    for days, context in enumerate(riders):
        (tmp_path / str(days)).mkdir()
        write_ride(tmp_path / str(days), days=days)
        shared = write_ride(tmp_path / str(days), name="shared.csv", days=10)  # the three rode together
        assert import_paths(context, [tmp_path / str(days)]).stored == 2
        assert import_paths(context, [shared]).unchanged == 1
    update_rider(riders[0], max_hr_bpm=181.0)
    seen = [{row.session_id for row in list_sessions(context)} for context in riders]
    assert [len(found) for found in seen] == [2, 2, 2]
    assert len(set.union(*seen)) == 6
    assert [any(row.class_minutes for row in list_sessions(context)) for context in riders] == [
        True,
        False,
        False,
    ]
    with pytest.raises(StoreProblem, match="there is no session"):
        edit_session(riders[1], min(seen[0]), notes="mine")
    with pytest.raises(StoreProblem, match="there is no session"):
        delete_session(riders[1], min(seen[0]))


def test_workers_on_all_cores_reach_the_server(on_server: str, tmp_path: Path) -> None:
    context = open_context(on_server, rider="Runa")
    for days in range(FEWEST_ITEMS):
        import_paths(context, [write_ride(tmp_path, days=days)])
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
    assert [row.trimp is not None for row in list_sessions(context)] == [True] * FEWEST_ITEMS


IMPORT = """
import json, sys
from pathlib import Path
from rideready.services.context import open_context
from rideready.services.importing import import_paths
context = open_context(sys.argv[1])
print("ready", flush=True)
sys.stdin.readline()
report = import_paths(context, [Path(name) for name in sys.argv[2:]])
print(json.dumps([report.stored, report.duplicates, len(report.unreadable)]))
"""


def test_two_imports_at_once_store_every_session_once(on_server: str, tmp_path: Path) -> None:
    own = []
    for number in range(2):
        folder = tmp_path / str(number)
        folder.mkdir()
        for days in range(4):  # the same recordings, as two devices would write them
            write_ride(folder, name=f"shared-{days}.csv", days=days).write_bytes(
                (folder / f"shared-{days}.csv").read_bytes() + b"\n" * number
            )
        write_ride(folder, name=f"own-{number}.csv", days=10 + number)
        own.append(f"own-{number}.csv")
    both = [
        subprocess.Popen(
            [sys.executable, "-c", IMPORT, on_server, str(tmp_path / str(number))],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for number in range(2)
    ]
    for process in both:
        assert process.stdout is not None
        assert process.stdout.readline() == "ready\n"
    for process in both:
        assert process.stdin is not None
        process.stdin.write("go\n")
        process.stdin.flush()
    said = [process.communicate(timeout=120) for process in both]
    assert [err for _, err in said] == ["", ""]
    counts = [json.loads(out) for out, _ in said]
    assert [sum(column) for column in zip(*counts, strict=True)] == [6, 4, 0]
    context = open_context(on_server)
    rows = list_sessions(context)
    assert len(rows) == 6
    assert {name for row in rows for name in row.files} == {f"shared-{days}.csv" for days in range(4)} | {
        *own
    }
    assert check_structure(on_server).problems == ()


def test_check_finds_what_does_not_fit(filled: Fill, on_server: str, server: Server) -> None:
    context = filled(on_server)
    assert check_figures(on_server).problems == ()
    with context.store.writing() as connection:
        there = connection.execute(text("SELECT current_schema()")).scalar_one()
        connection.execute(text("UPDATE session SET trimp = trimp + 1 WHERE id = 1"))
        connection.execute(text("UPDATE samples SET data = substr(data, 1, 30) WHERE session_id = 4"))
    # As after a server's disk lost a page: a rider is gone, against every reference.
    server.run("SET session_replication_role = replica; DELETE FROM rider WHERE name = 'Tam'", schema=there)
    problems = " ".join(check_structure(on_server).problems)
    assert "A row of session belongs to a row of rider that is not there." in problems
    server.run("INSERT INTO rider (id, name) VALUES (2, 'Tam')", schema=there)
    problems = " ".join(check_figures(on_server).problems)
    assert "Session 1: trimp is kept as" in problems
    assert "Session 4: the recording cannot be read" in problems


def test_a_backup_is_written_out_and_put_back(filled: Fill, on_server: str, tmp_path: Path) -> None:
    context = filled(on_server)
    before = list_sessions(context)
    copy = back_up_store(on_server, out=tmp_path / "copy.zip")
    write_ride(tmp_path, name="later.csv", days=20)
    import_paths(context, [tmp_path / "later.csv"])
    later = list_sessions(context)
    assert len(later) == len(before) + 1
    put_back, kept = restore_store(copy, on_server)
    assert (put_back, list_sessions(context)) == (copy, before)
    assert kept is not None
    restore_store(kept, on_server)
    assert list_sessions(context) == later


def test_what_a_server_has_no_place_for_is_said(filled: Fill, on_server: str, tmp_path: Path) -> None:
    context = filled(on_server)
    assert keep_recent_copy(context) is None
    context.store.close()
    with pytest.raises(BadInput, match=r"has no folder for its copies\. Name a file for the copy"):
        back_up_store(on_server)
    with pytest.raises(StoreProblem, match="Its copies lie where you put them"):
        list_backups(on_server)
    with pytest.raises(StoreProblem, match="Its copies lie where you put them"):
        restore_store(None, on_server)
    filled_file = tmp_path / "mine.sqlite"
    open_context(filled_file).store.close()
    with pytest.raises(StoreProblem, match="the backup of a store in a file"):
        restore_store(filled_file, on_server)
    with pytest.raises(StoreProblem, match="lies on a server and not in a file"):
        _ = open_store(on_server).path


def test_everything_is_deleted_for_good(filled: Fill, on_server: str) -> None:
    context = filled(on_server)
    assert delete_everything(on_server) == 0
    with context.store.reading() as connection:
        assert connection.execute(text("SELECT count(*) FROM samples")).scalar() == 0
        assert last_numbers(connection)["session"] == 4  # no number is given twice
    assert list_sessions(open_context(on_server)) == []
