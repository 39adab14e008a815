"""Which reader takes a file, and what becomes of files that are no workouts."""

import gzip
import io
import json
import zipfile
from pathlib import Path

import pytest

from rideready.errors import RidereadyError, UnreadableFile
from rideready.importers import registry
from rideready.importers.registry import find_workout_files, read_session, read_sessions, shape_of
from tests.support.fit_bytes import Value, workout

ROWS: list[list[Value]] = [[second, 120 + second % 5] for second in range(30)]
FIT = workout(ROWS).build()
TABLE = b"time_s,hr_bpm\n" + b"".join(b"%d,%d\n" % (second, 120 + second % 5) for second in range(30))


def _zip() -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        archive.writestr("ride.fit", FIT)
    return buffer.getvalue()


ODD = {
    "empty": (b"", "is empty"),
    "blank": (b" \n\n  \n", "is empty"),
    "zip": (_zip(), "zip archive"),
    "gzip": (gzip.compress(FIT), "gzip"),
    "picture": (b"\x89PNG\r\n\x1a\n" + bytes(200), "a picture"),
    "photograph": (b"\xff\xd8\xff\xe0\x00\x10JFIF" + bytes(200), "a picture"),
    "pdf": (b"%PDF-1.7\n%\xe2\xe3\xcf\xd3\n", "a PDF"),
    "web page": (b"<!DOCTYPE html><html><body>404</body></html>", "a web page"),
    "web page with a mark": (b"\xef\xbb\xbf\n<HTML><head></head></HTML>", "a web page"),
    "xml": (b'<?xml version="1.0"?><tracks></tracks>', "an XML file"),
    "json": (json.dumps({"hr": [120, 121]}).encode(), "a JSON file"),
    "json list": (b'[{"hr": 120}]', "a JSON file"),
    "database": (b"SQLite format 3\x00" + bytes(100), "a database"),
    "random bytes": (bytes((7 * n * n + 3 * n) % 256 for n in range(4000)), "neither a FIT file nor text"),
    "zeros": (bytes(4000), "neither a FIT file nor text"),
    "prose": (b"Dear rider,\nthe snow is here.\nSee you.\n", "no table of samples"),
    "one word": (b"hello", "no table of samples"),
    "one column": (b"hr\n120\n121\n122\n", "no table of samples"),
    "headings only": (b"time_s,hr_bpm\n", "no table of samples"),
    "no readable time": (b"time,hr\nsoon,120\nlater,121\n", "no column holds a time"),
    "open quotation mark": (b'time_s,hr_bpm\n0,"120\n' + b"1,121\n" * 30_000, "breaks off"),
    "a fit header and no more": (b"\x0e\x10\x43\x08\x00\x00\x00\x00.FIT\x00\x00", "damaged FIT file"),
}


@pytest.mark.parametrize("name", ["ride.fit", "ride.csv", "ride", "ride.FIT.bak"])
@pytest.mark.parametrize("data", [FIT, TABLE], ids=["fit", "table"])
def test_the_reader_is_chosen_by_content_and_not_by_name(name: str, data: bytes, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_bytes(data)

    assert read_session(path).hr_bpm.tolist() == [row[1] for row in ROWS]


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize("suffix", [".fit", ".csv"])
def test_a_file_that_is_no_workout_gives_one_sentence(name: str, suffix: str, tmp_path: Path) -> None:
    data, words = ODD[name]
    path = tmp_path / f"odd{suffix}"
    path.write_bytes(data)

    with pytest.raises(UnreadableFile) as caught:
        read_session(path)

    sentence = str(caught.value)
    assert words in sentence
    assert sentence.startswith(f"{path}: ")
    assert sentence.endswith(".")
    assert "\n" not in sentence


def test_a_missing_file_says_so(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="there is no such file"):
        read_session(tmp_path / "ride.fit")


def test_a_folder_named_as_a_file_says_so(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="this is a folder"):
        read_session(tmp_path)


def _refuse(*_: object, **__: object) -> None:
    raise PermissionError(13, "Permission denied")


def test_a_file_that_may_not_be_read_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "ride.fit"
    path.write_bytes(FIT)
    monkeypatch.setattr(Path, "open", _refuse)

    with pytest.raises(UnreadableFile, match="Permission denied"):
        read_session(path)


@pytest.mark.parametrize(
    ("data", "limit"), [(FIT, "LARGEST_FIT"), (TABLE, "LARGEST_TABLE")], ids=["fit", "table"]
)
def test_a_file_beyond_any_session_is_refused_unread(
    data: bytes, limit: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "ride"
    path.write_bytes(data)
    monkeypatch.setattr(registry, limit, len(data) - 1)

    with pytest.raises(UnreadableFile, match="a session has at most"):
        read_session(path)


def test_a_single_session_comes_without_a_word_about_others(tmp_path: Path) -> None:
    path = tmp_path / "ride.fit"
    path.write_bytes(FIT)

    assert read_session(path).warnings == ()
    assert len(read_sessions(path)) == 1


def test_the_longest_of_several_sessions_is_taken_with_a_word(tmp_path: Path) -> None:
    path = tmp_path / "days.fit"
    later: list[list[Value]] = [[90_000 + second, 130] for second in range(60)]
    path.write_bytes(FIT + workout(later).build())

    session = read_session(path)

    assert session.t_s.size == 60
    assert session.warnings[0].startswith("The file holds 2 sessions; this is the longest")


def test_a_fit_file_has_no_shape_to_remember(tmp_path: Path) -> None:
    path = tmp_path / "ride.fit"
    path.write_bytes(FIT)

    assert shape_of(path) is None


def test_the_shape_of_what_is_no_workout_is_refused_like_the_file(tmp_path: Path) -> None:
    path = tmp_path / "odd.csv"
    path.write_bytes(b"hello")

    with pytest.raises(RidereadyError):
        shape_of(path)


def test_a_folder_is_searched_to_the_bottom_and_sorted(tmp_path: Path) -> None:
    for name in [
        "b/2.csv",
        "a/1.fit",
        "a/9.TSV",
        "c/d/notes.txt",
        "c/d/unnamed",
        "c/photo.jpg",
        ".hidden/3.fit",
        "a/.4.fit",
    ]:
        file = tmp_path / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(FIT if name in {"a/1.fit", "c/d/unnamed"} else b"x")

    found = find_workout_files([tmp_path])

    names = [str(path.relative_to(tmp_path)) for path in found]
    assert names == ["a/1.fit", "a/9.TSV", "b/2.csv", "c/d/notes.txt", "c/d/unnamed"]


def test_a_file_named_directly_is_always_tried_and_only_once(tmp_path: Path) -> None:
    photo = tmp_path / "photo.jpg"
    photo.write_bytes(b"\xff\xd8\xff")
    ride = tmp_path / "ride.fit"
    ride.write_bytes(FIT)

    found = find_workout_files([photo, tmp_path, ride, tmp_path / "missing.fit"])

    assert found == [photo, ride, tmp_path / "missing.fit"]


def test_a_file_in_a_folder_that_may_not_be_read_is_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "unnamed").write_bytes(FIT)
    monkeypatch.setattr(Path, "open", _refuse)

    assert find_workout_files([tmp_path]) == []
