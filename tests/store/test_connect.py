"""A store opens, keeps all of a transaction or nothing, and says in one sentence what is wrong."""

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import text

from rideready.errors import StoreProblem
from rideready.store import sqlite_file
from rideready.store.connect import Store, open_store
from rideready.store.place import place_of
from rideready.store.settings import get_setting, set_setting
from tests.support.stores import run_without_rights


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return open_store(tmp_path / "store.sqlite")


def one_sentence(problem: pytest.ExceptionInfo[StoreProblem]) -> str:
    said = str(problem.value)
    assert "\n" not in said
    assert "Traceback" not in said
    return said


def test_a_store_is_made_with_the_folders_it_needs(tmp_path: Path) -> None:
    path = tmp_path / "not" / "yet" / "store.sqlite"
    assert open_store(path).path == path
    assert path.is_file()


def test_a_folder_holds_the_store_under_its_usual_name(tmp_path: Path) -> None:
    assert open_store(tmp_path).path == tmp_path / "store.sqlite"


def test_the_environment_names_the_store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("RIDEREADY_STORE", str(tmp_path / "mine.sqlite"))
    assert open_store().path == tmp_path / "mine.sqlite"


def test_without_a_name_the_store_lies_in_the_users_data_folder(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("RIDEREADY_STORE", raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", "/somewhere")  # XDG base directory specification, 0.8
    assert place_of(None) == Path("/somewhere/rideready/store.sqlite")


@pytest.mark.parametrize(
    ("pragma", "value"),
    [("journal_mode", "wal"), ("foreign_keys", 1), ("busy_timeout", 5000), ("synchronous", 1)],
)
def test_every_connection_is_set_up(store: Store, pragma: str, value: object) -> None:
    with store.reading() as connection:
        assert connection.exec_driver_sql(f"PRAGMA {pragma}").scalar() == value


def test_a_name_with_marks_of_an_address_in_it_is_a_name(tmp_path: Path) -> None:
    path = tmp_path / "what? #1 & 50%.sqlite"
    open_store(path)
    assert path.is_file()
    assert [found.name for found in tmp_path.iterdir() if found.suffix == ".sqlite"] == [path.name]


def write_and_fail(store: Store) -> None:
    with store.writing() as connection:
        set_setting(connection, "colour", "grey")
        connection.exec_driver_sql("CREATE TABLE left_behind (x INTEGER)")
        raise ZeroDivisionError


def test_an_error_takes_back_the_whole_transaction(store: Store) -> None:
    with pytest.raises(ZeroDivisionError):
        write_and_fail(store)
    with store.reading() as connection:
        assert get_setting(connection, "colour") is None
        assert "left_behind" not in connection.execute(text("SELECT name FROM sqlite_master")).scalars().all()


def test_a_reader_sees_one_moment_while_another_writes(store: Store) -> None:
    with store.writing() as connection:
        set_setting(connection, "colour", "grey")
    with store.reading() as reader:
        before = get_setting(reader, "colour")
        with store.writing() as writer:
            set_setting(writer, "colour", "blue")
        during = get_setting(reader, "colour")
    with store.reading() as reader:
        assert (before, during, get_setting(reader, "colour")) == ("grey", "grey", "blue")


def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    content = b"Dear neighbour, the snow machine is yours for a week.\n" * 100
    path.write_bytes(content)
    with pytest.raises(StoreProblem) as problem:
        open_store(path)
    assert one_sentence(problem) == (
        f"{path}: this is not a rideready store. Name another file with --store."
    )
    assert path.read_bytes() == content
    assert list(tmp_path.iterdir()) == [path]


def test_a_database_of_another_program_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "other.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("CREATE TABLE recipe (name TEXT)")
    other.close()
    content = path.read_bytes()
    with pytest.raises(StoreProblem, match="a database of another program") as problem:
        open_store(path)
    assert one_sentence(problem).startswith(str(path))
    assert path.read_bytes() == content


def test_a_locked_store_is_waited_for_and_then_named(store: Store) -> None:
    with sqlite3.connect(store.path) as other:
        other.execute("BEGIN IMMEDIATE")
        impatient = open_store(store.path)
        with impatient.reading() as connection:  # reading goes on
            connection.exec_driver_sql("PRAGMA busy_timeout = 50")
        with pytest.raises(StoreProblem) as problem, impatient.writing() as connection:
            set_setting(connection, "colour", "grey")
        other.rollback()
    other.close()
    assert one_sentence(problem) == (
        f"{store.path}: another program has kept the store locked for 5 s. "
        "Wait until it has finished, then try again."
    )


def test_a_store_locked_before_it_exists_is_named_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sqlite_file, "PATIENCE_S", 0.1)
    path = tmp_path / "store.sqlite"
    with sqlite3.connect(path) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(StoreProblem, match="kept the store locked") as problem:
            open_store(path)
        other.rollback()
    other.close()
    assert one_sentence(problem).startswith(str(path))


def write_more_than_fits(store: Store, pages: int) -> None:
    with store.writing() as connection:
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        set_setting(connection, "colour", "blue")
        set_setting(connection, "long", "x" * 100_000)


def test_a_full_disk_is_named_and_nothing_of_the_step_stays(store: Store) -> None:
    with store.writing() as connection:
        set_setting(connection, "colour", "grey")
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
    with pytest.raises(StoreProblem, match="the disk is full") as problem:
        write_more_than_fits(store, pages)
    assert one_sentence(problem).startswith(str(store.path))
    with store.reading() as connection:
        assert (get_setting(connection, "colour"), get_setting(connection, "long")) == ("grey", None)


def read_every_setting(path: Path) -> None:
    with open_store(path).reading() as connection:
        connection.execute(text("SELECT count(value) FROM setting")).scalar()


def test_a_damaged_store_is_named(store: Store) -> None:
    with store.writing() as connection:
        for number in range(2000):
            set_setting(connection, f"setting {number}", "x" * 100)
    store.close()  # the log goes into the file
    content = bytearray(store.path.read_bytes())
    content[8192:] = b"\xa5" * (len(content) - 8192)
    store.path.write_bytes(content)
    with pytest.raises(StoreProblem, match="the store is damaged") as problem:
        read_every_setting(store.path)
    assert one_sentence(problem).startswith(str(store.path))


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(StoreProblem, match="its folder cannot be made") as problem:
        open_store(tmp_path / "file" / "store.sqlite")
    assert one_sentence(problem).startswith(str(tmp_path))


READ_THEN_WRITE = """
import sys
from pathlib import Path
from rideready.errors import StoreProblem
from rideready.store.connect import open_store
from rideready.store.settings import get_setting, set_setting
try:
    store = open_store(Path(sys.argv[1]))
    with store.reading() as connection:
        print(get_setting(connection, "colour"))
    with store.writing() as connection:
        set_setting(connection, "colour", "blue")
except StoreProblem as problem:
    print(problem)
"""


@pytest.mark.parametrize("folder_rights", [0o755, 0o555], ids=["folder open", "folder closed"])
def test_a_read_only_store_can_be_read_and_says_so_when_written(store: Store, folder_rights: int) -> None:
    with store.writing() as connection:
        set_setting(connection, "colour", "grey")
    store.close()
    store.path.chmod(0o444)
    store.path.parent.chmod(folder_rights)
    done = run_without_rights(READ_THEN_WRITE, store.path)
    store.path.parent.chmod(0o755)
    assert done.stdout.splitlines() == [
        "grey",
        f"{store.path}: the store may be read but not written. Allow writing to the file and its folder.",
    ]


def test_a_store_in_a_folder_closed_to_everybody_is_named(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    closed.mkdir(mode=0o555)
    done = run_without_rights(READ_THEN_WRITE, closed / "store.sqlite")
    closed.chmod(0o755)
    assert done.stdout.splitlines() == [
        f"{closed / 'store.sqlite'}: the store cannot be opened. Check that the file and its folder may be written."
    ]
