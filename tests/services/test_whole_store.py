"""Everything goes out in open formats and comes back equal, or not at all."""

import csv
import json
import sys
import zipfile
from pathlib import Path

import pytest
from sqlalchemy import text

from rideready.errors import BadInput, RidereadyError, UnreadableFile
from rideready.model.rider import Sex
from rideready.services.checking import check_figures
from rideready.services.context import Context, open_context
from rideready.services.deletion import delete_session, erase_session
from rideready.services.editing import edit_session
from rideready.services.importing import import_paths
from rideready.services.keeping import back_up_store, delete_everything
from rideready.services.riders import add_rider, update_rider
from rideready.services.whole_store import MANIFEST, SampleFormat, export_whole
from rideready.store.connect import open_store
from rideready.store.dump import rows_of, same_contents, table_names
from tests.support.stores import write_ride


@pytest.fixture(scope="module")
def ctx(tmp_path_factory: pytest.TempPathFactory) -> Context:
    """Make a store with two riders, notes, a deleted session, one erased and a file that gave nothing."""
    folder = tmp_path_factory.mktemp("store")
    context = open_context(folder / "store.sqlite", rider="Runa")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
    (folder / "rides").mkdir()
    for days in range(3):
        write_ride(folder / "rides", days=days)
    (folder / "rides" / "letter.csv").write_text("Dear neighbour,\nthe snow machine is yours.\n")
    import_paths(context, [folder / "rides"])
    edit_session(context, 1, notes='ice, "black" ice\non the road; =1+1', rpe=7.0)
    delete_session(context, 2)
    erase_session(context, 3)
    add_rider(context.store_path, "Tam")
    import_paths(open_context(folder / "store.sqlite", rider="Tam"), [folder / "rides" / "ride-02.csv"])
    return context


@pytest.mark.parametrize("name", ["all", "all.zip"])
def test_export_wipe_import_gives_an_equal_store(ctx: Context, tmp_path: Path, name: str) -> None:
    assert export_whole(ctx, tmp_path / name) == 3
    wiped = tmp_path / "store.sqlite"
    back_up_store(ctx.store_path, out=wiped)
    delete_everything(wiped)
    fresh = open_context(wiped)
    report = import_paths(fresh, [tmp_path / name])
    assert (report.stored, report.session_ids) == (3, (1, 2, 4))
    with ctx.store.reading() as before, fresh.store.reading() as after:
        for table in table_names():
            assert [*rows_of(after, table)] == [*rows_of(before, table)]
        assert same_contents(before, after)
        numbers = text("SELECT name, seq FROM sqlite_sequence ORDER BY name")
        assert after.execute(numbers).all() == before.execute(numbers).all()
    checked = check_figures(wiped)
    assert (checked.problems, checked.n_worked_out) == ((), 3)


def test_reading_back_what_is_there_already_changes_nothing(ctx: Context, tmp_path: Path) -> None:
    export_whole(ctx, tmp_path / "all.zip")
    report = import_paths(ctx, [tmp_path / "all.zip"])
    assert (report.stored, report.duplicates) == (0, 3)


def test_a_store_that_holds_something_else_is_left_alone(ctx: Context, tmp_path: Path) -> None:
    export_whole(ctx, tmp_path / "all.zip")
    other = open_context(tmp_path / "store.sqlite", rider="Liv")
    with pytest.raises(BadInput, match="can only be read into an empty one"):
        import_paths(other, [tmp_path / "all.zip"])
    with open_store(other.store_path).reading() as connection:
        assert [row["name"] for row in rows_of(connection, "rider")] == ["Liv"]


def test_the_tables_are_plain_json_and_csv(ctx: Context, tmp_path: Path) -> None:
    export_whole(ctx, tmp_path / "all")
    first = json.loads((tmp_path / "all" / "tables" / "session.json").read_text(encoding="utf-8"))[0]
    with (tmp_path / "all" / "tables" / "session.csv").open(newline="", encoding="utf-8") as stream:
        row = next(iter(csv.DictReader(stream)))
    assert (first["rpe"], row["rpe"]) == (7.0, "7.0")
    assert first["notes"] == row["notes"]
    with (tmp_path / "all" / "samples" / "1.csv").open(newline="", encoding="utf-8") as stream:
        samples = [*csv.DictReader(stream)]
    assert len(samples) == 840
    assert (samples[1]["t_s"], samples[100]["power_w"]) == ("1.0", "260.0")


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda folder: (folder / "samples" / "1.csv").unlink(), "cannot be read"),
        (lambda folder: (folder / "tables" / "rider.json").write_text("[{"), "the export is damaged"),
        (lambda folder: (folder / "tables" / "rider.json").write_text("[]"), "contradict each other"),
        (lambda folder: (folder / "tables" / "rider.json").write_text('[{"x; --": 1}]'), "no column 'x; --'"),
        (lambda folder: (folder / MANIFEST).write_text('{"layout": 9, "schema": 1}'), "newer rideready"),
        (lambda folder: (folder / MANIFEST).write_text("[]"), "the export is damaged"),
        (lambda folder: (folder / "samples" / "1.csv").write_text("t_s\nx\n"), "the export is damaged"),
    ],
)
def test_a_damaged_export_is_one_sentence_and_leaves_the_store_empty(
    ctx: Context, tmp_path: Path, spoil: object, said: str
) -> None:
    export_whole(ctx, tmp_path / "all")
    assert callable(spoil)
    spoil(tmp_path / "all")
    fresh = open_context(tmp_path / "store.sqlite")
    with pytest.raises(UnreadableFile, match=said) as problem:
        import_paths(fresh, [tmp_path / "all"])
    assert "\n" not in str(problem.value)
    with fresh.store.reading() as connection:
        assert [*rows_of(connection, "session")] == []
    assert sorted(left.name for left in tmp_path.iterdir() if left.name.startswith(".")) == []


def test_a_name_that_leads_elsewhere_is_not_followed(ctx: Context, tmp_path: Path) -> None:
    export_whole(ctx, tmp_path / "all")
    head = json.loads((tmp_path / "all" / MANIFEST).read_text())
    head["tables"] = ["../../secret"]
    (tmp_path / "all" / MANIFEST).write_text(json.dumps(head))
    with pytest.raises(UnreadableFile, match="is no table"):
        import_paths(open_context(tmp_path / "store.sqlite"), [tmp_path / "all"])


def test_an_export_never_takes_the_place_of_something(ctx: Context, tmp_path: Path) -> None:
    (tmp_path / "all.zip").write_text("mine")
    with pytest.raises(BadInput, match="there is something here already"):
        export_whole(ctx, tmp_path / "all.zip")
    with pytest.raises(BadInput, match="it cannot be written"):
        export_whole(ctx, tmp_path / "all.zip" / "below")
    assert [left.name for left in tmp_path.iterdir()] == ["all.zip"]


def test_parquet_goes_out_and_comes_back_or_says_what_it_needs(ctx: Context, tmp_path: Path) -> None:
    pytest.importorskip("pyarrow", reason="pyarrow is not installed")
    export_whole(ctx, tmp_path / "all.zip", samples=SampleFormat.PARQUET)
    with zipfile.ZipFile(tmp_path / "all.zip") as archive:
        assert "samples/1.parquet" in archive.namelist()
    fresh = open_context(tmp_path / "store.sqlite")
    import_paths(fresh, [tmp_path / "all.zip"])
    with ctx.store.reading() as before, fresh.store.reading() as after:
        assert same_contents(before, after)


def test_without_pyarrow_parquet_is_refused_in_one_sentence(
    ctx: Context, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    monkeypatch.setattr("importlib.util.find_spec", lambda _: None)
    with pytest.raises(RidereadyError, match="Parquet needs pyarrow"):
        export_whole(ctx, tmp_path / "all.zip", samples=SampleFormat.PARQUET)
