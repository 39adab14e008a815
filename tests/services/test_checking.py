"""A check finds whatever in a store does not fit, and nothing in one that is whole."""

import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import text

from rideready.errors import StoreProblem
from rideready.model.rider import Sex
from rideready.services.checking import check_figures, check_structure
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.riders import update_rider
from tests.support.stores import write_ride


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> bytes:
    folder = tmp_path_factory.mktemp("store")
    context = open_context(folder / "store.sqlite")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
    import_paths(context, [write_ride(folder)])
    context.store.close()
    return (folder / "store.sqlite").read_bytes()


@pytest.fixture
def ctx(whole: bytes, tmp_path: Path) -> Context:
    (tmp_path / "store.sqlite").write_bytes(whole)
    return open_context(tmp_path / "store.sqlite")


def change(ctx: Context, statement: str) -> None:
    with ctx.store.writing() as connection:
        connection.execute(text(statement))


def test_a_whole_store_passes_with_every_figure_worked_out_again(ctx: Context) -> None:
    report = check_figures(ctx.store_path)
    assert (report.n_sessions, report.n_recoveries, report.n_worked_out) == (1, 2, 1)
    assert report.problems == ()


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE session SET n_samples = 839", "n_samples is kept as 839, but the samples give 840."),
        ("UPDATE session SET fingerprint = 'x'", "fingerprint is kept as 'x'"),
        ("UPDATE session SET n_trusted = 7", "n_trusted is kept as 7, but its recoveries give 2."),
        ("DELETE FROM recovery WHERE position = 2", "n_recoveries is kept as 2, but its recoveries give 1."),
        ("UPDATE samples SET data = substr(data, 1, 400)", "samples are damaged"),
        ("DELETE FROM samples", "the recording cannot be read"),
    ],
)
def test_what_does_not_fit_together_is_named(ctx: Context, statement: str, said: str) -> None:
    change(ctx, statement)
    problems = check_structure(ctx.store_path).problems
    assert problems
    assert all(problem.startswith("Session 1: ") for problem in problems)
    assert any(said in problem for problem in problems)


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE session SET trimp = trimp * 1.000001", "trimp is kept as"),
        ("UPDATE recovery SET tau_s = tau_s + 0.001 WHERE position = 2", "recovery 2: tau_s is kept as"),
    ],
)
def test_a_figure_that_works_out_otherwise_is_found_when_asked_for(
    ctx: Context, statement: str, said: str
) -> None:
    change(ctx, statement)
    assert check_structure(ctx.store_path).problems == ()
    (problem,) = check_figures(ctx.store_path).problems
    assert said in problem


def test_a_row_without_its_owner_is_found(ctx: Context) -> None:
    with sqlite3.connect(ctx.store_path) as other:  # another program, which does not mind references
        other.execute("INSERT INTO samples (session_id, data) VALUES (99, x'00')")
    other.close()
    problems = check_structure(ctx.store_path).problems
    assert problems == ("A row of samples belongs to a row of session that is not there.",)


def test_a_damaged_page_is_found(ctx: Context) -> None:
    ctx.store.close()
    content = bytearray(ctx.store_path.read_bytes())
    middle = len(content) // 8192 * 4096
    content[middle : middle + 4096] = b"\xa5" * 4096
    ctx.store_path.write_bytes(content)
    problems = check_structure(ctx.store_path).problems
    assert problems
    assert all(problem.startswith("The file is damaged: ") for problem in problems)


def test_a_store_that_is_not_there_is_not_made(tmp_path: Path) -> None:
    with pytest.raises(StoreProblem, match="there is no store here"):
        check_structure(tmp_path / "store.sqlite")
    assert list(tmp_path.iterdir()) == []
