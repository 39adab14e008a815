"""Many archives at once: one table, whoever does the work."""

import csv
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from rideready.errors import BadInput
from rideready.model.rider import Rider
from rideready.services import bulk, workers
from rideready.services.analysis import analyse
from rideready.services.bulk import Archives, analyse_archives, numbers_in_store
from rideready.services.context import open_context
from rideready.services.riders import update_rider

SAMPLES = Path(__file__).parents[2] / "sample_sessions"
RIDERS = {"Runa": Rider(max_hr_bpm=181.0, resting_hr_bpm=54.0)}
#: Small files of the samples, by rider.
FILES = {
    "Runa": ("2026-08-25-ride-test.fit", "2026-08-28-strength.fit", "2026-09-08-interval-bike.fit"),
    "Tam": ("2026-09-11-strength.fit", "2026-09-05-step-test.csv"),
}


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Two riders' folders with a broken file in one, and an empty one."""
    root = tmp_path_factory.mktemp("school")
    for name, files in FILES.items():
        (root / name / "autumn").mkdir(parents=True)
        for file in files:
            shutil.copy(SAMPLES / file, root / name / "autumn")
    whole = (SAMPLES / FILES["Tam"][0]).read_bytes()
    (root / "Tam" / "broken.fit").write_bytes(whole[:14] + bytes(200))
    (root / "Una").mkdir()
    return [root / "Runa", root / "Tam", root / "Una"]


@pytest.fixture(scope="module")
def alone(folders: list[Path], tmp_path_factory: pytest.TempPathFactory) -> tuple[Archives, Path]:
    """Return what one process makes of the folders."""
    out = tmp_path_factory.mktemp("table") / "school.csv"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(workers, "_cores", lambda: 1)
        return analyse_archives(folders, out, riders=RIDERS), out


def rows_of(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def assert_same_table(one: Path, other: Path) -> None:
    """Text is equal, and so are numbers but for the last digits, which the threads of a matrix product change."""
    for left, right in zip(rows_of(one), rows_of(other), strict=True):
        assert left.keys() == right.keys()
        for name, value in left.items():
            try:
                expected: float | str = float(value)
            except ValueError:
                assert right[name] == value
            else:
                assert float(right[name]) == pytest.approx(expected, rel=1e-9), name


def test_each_recovery_has_a_row_with_its_rider_file_and_session(alone: tuple[Archives, Path]) -> None:
    done, out = alone

    rows = rows_of(out)

    told = [row for row in rows if row["order"]]
    assert done.recoveries == len(told) > 10
    assert (done.riders, done.files, done.sessions, done.problems) == (3, 7, 5, 2)
    assert {(row["rider"], row["file"]) for row in told} >= {
        ("Runa", "autumn/2026-09-08-interval-bike.fit"),
        ("Tam", "autumn/2026-09-11-strength.fit"),
    }
    assert all(float(row["peak_bpm"]) > 60 and row["start_utc"] and row["grade"] for row in told)


def test_figures_are_those_of_the_analysis_with_the_riders_numbers(alone: tuple[Archives, Path]) -> None:
    from rideready.importers.registry import read_sessions

    file = FILES["Runa"][2]
    (session,) = read_sessions(SAMPLES / file)
    known = analyse(session, RIDERS["Runa"])

    rows = [row for row in rows_of(alone[1]) if row["file"].endswith(file)]

    assert [float(row["peak_bpm"]) for row in rows] == [m.recovery.peak_bpm for m in known.recoveries]
    assert [row["tau_s"] for row in rows] == [
        "" if m.recovery.tau_s is None else repr(m.recovery.tau_s) for m in known.recoveries
    ]
    assert {row["highest_hr_bpm"] for row in rows} == {repr(known.peak_hr_bpm)}


def test_a_broken_file_and_an_empty_folder_have_a_row_that_says_so(alone: tuple[Archives, Path]) -> None:
    problems = {(row["rider"], row["file"]): row for row in rows_of(alone[1]) if row["problem"]}

    assert set(problems) == {("Tam", "broken.fit"), ("Una", "")}
    assert problems["Una", ""]["problem"] == "No recordings are in this folder."
    assert problems["Tam", "broken.fit"]["problem"].endswith(".")
    assert problems["Tam", "broken.fit"]["peak_bpm"] == ""


def test_several_processes_make_the_same_table(
    folders: list[Path], alone: tuple[Archives, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(workers, "_cores", lambda: 2)
    steps: list[tuple[int, int]] = []

    done = analyse_archives(
        folders, tmp_path / "t.csv", riders=RIDERS, progress=lambda *step: steps.append(step)
    )

    assert done == alone[0]
    assert_same_table(tmp_path / "t.csv", alone[1])
    assert steps == [(n, 7) for n in range(1, 8)]


@pytest.fixture
def cluster() -> Iterator[Any]:
    """Two workers of Dask, processes of their own."""
    distributed = pytest.importorskip("distributed", reason="Dask is not installed (pip install '.[bulk]')")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None
    ) as started:
        yield started


def test_machines_of_dask_make_the_same_table(
    cluster: Any,
    folders: list[Path],
    alone: tuple[Archives, Path],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(bulk, "_UNDER_WAY", 3)

    done = analyse_archives(folders, tmp_path / "t.csv", riders=RIDERS, scheduler=cluster.scheduler_address)

    assert done == alone[0]
    assert_same_table(tmp_path / "t.csv", alone[1])

    # The same cluster, since starting one takes seconds: workers of another version are refused.
    monkeypatch.setattr(bulk, "ANALYSIS_VERSION", 0)
    with pytest.raises(BadInput, match="another version of rideready works at"):
        analyse_archives(folders, tmp_path / "u.csv", scheduler=cluster.scheduler_address)
    assert not (tmp_path / "u.csv").exists()


def test_an_address_where_nobody_answers_is_said(
    folders: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pytest.importorskip("distributed", reason="Dask is not installed (pip install '.[bulk]')")
    monkeypatch.setattr(bulk, "_PATIENCE_S", 0.5)

    with pytest.raises(BadInput, match="no scheduler answers there"):
        analyse_archives(folders, tmp_path / "t.csv", scheduler="tcp://127.0.0.1:9")


def test_two_folders_of_one_name_and_a_file_are_refused(folders: list[Path], tmp_path: Path) -> None:
    (tmp_path / "Runa").mkdir()

    with pytest.raises(BadInput, match="two folders are called 'Runa'"):
        analyse_archives([*folders, tmp_path / "Runa"], tmp_path / "t.csv")
    with pytest.raises(BadInput, match="no folder"):
        analyse_archives([SAMPLES / FILES["Runa"][0]], tmp_path / "t.csv")
    with pytest.raises(BadInput, match="cannot be written"):
        analyse_archives([tmp_path / "Runa"], tmp_path / "nowhere" / "t.csv")


def test_numbers_come_from_the_riders_of_a_store(tmp_path: Path) -> None:
    store = tmp_path / "store.sqlite"
    assert numbers_in_store(store) == {}
    assert not store.exists()
    context = open_context(store, rider="Runa")
    update_rider(context, max_hr_bpm=181.0)
    context.store.close()

    assert numbers_in_store(store)["Runa"].max_hr_bpm == 181.0
