"""Every file gives its sessions or one sentence; nothing is stored twice and nothing is read twice."""

import bz2
from pathlib import Path

import numpy as np
import pytest

from rideready.importers import registry
from rideready.importers.mapping import ColumnMapping
from rideready.model.session import Kind
from rideready.services import importing
from rideready.services.context import Context, open_context
from rideready.services.import_report import FileNote, ImportProgress
from rideready.services.importing import import_paths
from rideready.services.recoveries import list_recoveries
from rideready.services.sessions import describe_session, list_sessions, session_view
from tests.support.csv_writer import english_csv, german_csv
from tests.support.stores import a_ride, write_ride


@pytest.fixture
def ctx(place: Path | str) -> Context:
    return open_context(place)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "exports"
    folder.mkdir()
    return folder


def test_a_folder_gives_its_sessions_with_their_recoveries(ctx: Context, folder: Path) -> None:
    for days in (0, 2):
        write_ride(folder, days=days)
    report = import_paths(ctx, [folder])
    assert (report.stored, report.duplicates, report.unchanged, report.unreadable) == (2, 0, 0, ())
    assert report.session_ids == (1, 2)
    assert [row.files for row in list_sessions(ctx)] == [("ride-02.csv",), ("ride-00.csv",)]
    ends = [row.recovery.end_of_effort_s for row in list_recoveries(ctx) if row.session_id == 1]
    assert ends == pytest.approx([240, 600], abs=5)  # where the power of `a_ride` drops


def test_the_samples_are_stored_as_they_were_read(ctx: Context, folder: Path) -> None:
    import_paths(ctx, [write_ride(folder)])
    view = session_view(ctx, 1)
    (read,) = registry.read_sessions(folder / "ride-00.csv")
    assert np.array_equal(view.session.t_s, read.t_s)
    assert view.session.channels.keys() == read.channels.keys()
    for name, values in read.channels.items():
        assert np.array_equal(view.session.channels[name], values, equal_nan=True)


def test_an_unchanged_folder_is_not_read_again(
    ctx: Context, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_ride(folder)
    (folder / "letter.csv").write_text("Dear neighbour,\nthe snow machine is yours.\n")
    first = import_paths(ctx, [folder])

    def fail(*_: object) -> None:
        pytest.fail("a file was read again")

    monkeypatch.setattr(importing, "prepare", fail)
    again = import_paths(ctx, [folder])
    assert (again.stored, again.duplicates, again.unchanged) == (0, 1, 1)
    assert again.unreadable == first.unreadable
    assert len(again.unreadable) == 1


def test_the_same_session_in_other_files_is_stored_once(ctx: Context, folder: Path) -> None:
    write_ride(folder, name="first.csv")
    (folder / "moved.csv").write_bytes((folder / "first.csv").read_bytes())
    (folder / "other layout.csv").write_bytes(german_csv(a_ride()))
    report = import_paths(ctx, [folder])
    assert (report.stored, report.duplicates, report.unreadable) == (1, 2, ())
    (row,) = list_sessions(ctx)
    assert set(row.files) == {"first.csv", "other layout.csv"}  # the copy is the same file to the byte


def test_two_sessions_of_one_evening_are_two(ctx: Context, folder: Path) -> None:
    write_ride(folder, name="runa.csv", seed=1)
    (folder / "tam.csv").write_bytes(english_csv(a_ride(seed=7)))
    session = a_ride(seed=7)
    slower = type(session)(
        session.t_s,
        {**session.channels, "hr_bpm": session.hr_bpm + 25},
        start_utc=session.start_utc,
        zone=session.zone,
    )
    (folder / "tam.csv").write_bytes(english_csv(slower))
    assert import_paths(ctx, [folder]).stored == 2


def test_a_fuller_file_takes_the_place_of_a_cut_off_one(ctx: Context, folder: Path) -> None:
    whole = english_csv(a_ride())
    (folder / "a-cut.csv").write_bytes(b"\n".join(whole.split(b"\n")[:760]) + b"\n")
    import_paths(ctx, [folder])
    describe_session(ctx, 1, rpe=7, kind=Kind.CIRCUIT)
    (folder / "b-whole.csv").write_bytes(whole)
    report = import_paths(ctx, [folder / "b-whole.csv"])
    assert (report.stored, report.duplicates) == (0, 1)
    assert report.warnings == (
        FileNote(str(folder / "b-whole.csv"), "It holds more of session 1, and took its place."),
    )
    (row,) = list_sessions(ctx)
    assert (row.n_samples, row.rpe, row.kind) == (840, 7, Kind.CIRCUIT)
    assert row.files == ("a-cut.csv", "b-whole.csv")


def test_a_file_that_is_not_there_is_one_sentence(ctx: Context, folder: Path) -> None:
    report = import_paths(ctx, [folder / "gone.fit"])
    assert report.unreadable == (FileNote(str(folder / "gone.fit"), "There is no such file."),)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.fit", b""),
        ("letter.csv", b"Dear neighbour,\nthe snow machine is yours.\n"),
        ("picture.fit", b"\x89PNG\r\n\x1a\n" + bytes(200)),
        ("packed.csv", bz2.compress(b"time,hr\n0,100\n")),
        ("zeros.fit", bytes(5000)),
    ],
)
def test_a_file_with_nothing_in_it_is_one_sentence_and_leaves_nothing(
    ctx: Context, folder: Path, name: str, content: bytes
) -> None:
    (folder / name).write_bytes(content)
    report = import_paths(ctx, [folder])
    (note,) = report.unreadable
    assert note.file == str(folder / name)
    assert note.reason.endswith(".")
    assert "\n" not in note.reason
    assert str(folder) not in note.reason
    assert (report.stored, list_sessions(ctx)) == (0, [])


def test_a_broken_file_does_not_keep_the_others_out(ctx: Context, folder: Path) -> None:
    (folder / "a.fit").write_bytes(b"nothing of use")
    write_ride(folder, name="b.csv")
    (folder / "c.csv").write_bytes(b"")
    report = import_paths(ctx, [folder])
    assert report.stored == 1
    assert [Path(note.file).name for note in report.unreadable] == ["a.fit", "c.csv"]


def with_two_pulses(folder: Path, *, harder_bpm: float = 0) -> Path:
    """Write a table whose heart rate could be either of two columns."""
    ride = a_ride()
    rows = ["elapsed_s,Pulse A,Pulse B"]
    rows += [
        f"{t:.0f},{hr + harder_bpm:.0f},{hr + harder_bpm - 7:.0f}"
        for t, hr in zip(ride.t_s, ride.hr_bpm, strict=True)
    ]
    path = folder / f"two-pulses-{harder_bpm}.csv"
    path.write_text("\n".join(rows) + "\n")
    return path


def test_where_two_readings_are_possible_it_asks_with_the_option_to_type(ctx: Context, folder: Path) -> None:
    path = with_two_pulses(folder)
    report = import_paths(ctx, [path])
    (note,) = report.unreadable
    assert '--column "hr_bpm=Pulse A"' in note.reason
    assert '--column "hr_bpm=Pulse B"' in note.reason
    assert list_sessions(ctx) == []


def test_an_answer_is_used_and_remembered_for_files_of_that_shape(ctx: Context, folder: Path) -> None:
    first, second = with_two_pulses(folder), with_two_pulses(folder, harder_bpm=12)
    import_paths(ctx, [first])  # asked, not answered
    said = ColumnMapping.from_options(column=["hr_bpm=Pulse B"])
    assert import_paths(ctx, [first], mapping=said).stored == 1
    assert np.array_equal(session_view(ctx, 1).session.hr_bpm, a_ride().hr_bpm - 7)
    report = import_paths(ctx, [second])
    assert (report.stored, report.unreadable) == (1, ())
    assert np.array_equal(session_view(ctx, 2).session.hr_bpm, a_ride().hr_bpm + 5)


def test_a_file_that_was_asked_about_is_read_once_another_of_its_shape_was_answered(
    ctx: Context, folder: Path
) -> None:
    first, _ = with_two_pulses(folder), with_two_pulses(folder, harder_bpm=12)
    assert len(import_paths(ctx, [folder]).unreadable) == 2
    import_paths(ctx, [first], mapping=ColumnMapping.from_options(column=["hr_bpm=Pulse A"]))
    report = import_paths(ctx, [folder])
    assert (report.stored, report.unchanged, report.unreadable) == (1, 1, ())


def test_a_column_that_is_not_there_is_one_sentence_and_can_be_corrected(ctx: Context, folder: Path) -> None:
    path = with_two_pulses(folder)
    wrong = ColumnMapping.from_options(column=["hr_bpm=Pulse C"])
    (note,) = import_paths(ctx, [path], mapping=wrong).unreadable
    assert "Pulse C" in note.reason
    right = ColumnMapping.from_options(column=["hr_bpm=Pulse A"])
    assert import_paths(ctx, [path], mapping=right).stored == 1


def test_progress_names_each_file_and_what_became_of_it(ctx: Context, folder: Path) -> None:
    write_ride(folder, name="a.csv")
    (folder / "b.csv").write_bytes((folder / "a.csv").read_bytes().replace(b"power_w", b"power"))
    (folder / "c.csv").write_bytes(b"")
    import_paths(ctx, [folder / "a.csv"])
    write_ride(folder, name="d.csv", days=4)
    steps: list[ImportProgress] = []
    import_paths(ctx, [folder], progress=steps.append)
    assert [(step.done, step.total, Path(step.file).name, step.outcome) for step in steps] == [
        (1, 4, "a.csv", "unchanged"),
        (2, 4, "b.csv", "duplicate"),
        (3, 4, "c.csv", "unreadable"),
        (4, 4, "d.csv", "stored"),
    ]


def test_riders_import_the_same_file_each_for_themselves(ctx: Context, folder: Path) -> None:
    from rideready.services.riders import add_rider, update_rider

    update_rider(ctx, name="Runa")
    add_rider(ctx.store.place, "Tam")
    path = write_ride(folder)
    import_paths(ctx, [path])
    other = open_context(ctx.store.place, rider="Tam")
    assert import_paths(other, [path]).stored == 1
    assert [len(list_sessions(found)) for found in (ctx, other)] == [1, 1]


def test_warnings_of_the_reader_are_passed_on_once(ctx: Context, folder: Path) -> None:
    path = folder / "no-date.csv"
    ride = a_ride()
    rows = ["elapsed_s,heart_rate_bpm"]
    rows += [f"{t:.0f},{hr:.0f}" for t, hr in zip(ride.t_s, ride.hr_bpm, strict=True)]
    path.write_text("\n".join(rows) + "\n")
    first, second = import_paths(ctx, [path]), import_paths(ctx, [path])
    assert [note.reason for note in first.warnings] == ["The file gives no date; the day is unknown."]
    assert second.warnings == ()
    (row,) = list_sessions(ctx)
    assert row.warnings == ("The file gives no date; the day is unknown.",)


def test_a_warning_is_said_once_a_file_and_for_a_copy_of_a_stored_session_too(
    ctx: Context, folder: Path
) -> None:
    ride = a_ride()
    for name, rows in (("a.csv", slice(None)), ("b.csv", slice(10, None))):
        lines = [f"{t:.0f},{hr:.0f}" for t, hr in zip(ride.t_s[rows], ride.hr_bpm[rows], strict=True)]
        (folder / name).write_text("\n".join(["elapsed_s,heart_rate_bpm", *lines]) + "\n")
    report = import_paths(ctx, [folder])
    assert (report.stored, report.duplicates) == (1, 1)
    assert [(Path(note.file).name, note.reason) for note in report.warnings] == [
        ("a.csv", "The file gives no date; the day is unknown."),
        ("b.csv", "The file gives no date; the day is unknown."),
    ]
