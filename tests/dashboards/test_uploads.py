"""Files come in as streams, and every one of them is told of."""

import time
from pathlib import Path
from typing import Any

import pytest
from werkzeug.test import Client

from dashboards import import_desk
from dashboards.app import create_app
from dashboards.import_desk import belongs, plain_name
from rideready.services.context import Context
from rideready.services.demo import samples_path
from tests.support.small_disk import SmallDisk, on_small_disk

SMALLEST = min(samples_path().glob("*.fit"), key=lambda path: path.stat().st_size)
#: The same reading twice over: 3 April, or 4 March.
OPEN_DATES = "date,time,hr\n" + "".join(
    f"03/04/2026,18:{n // 60:02d}:{n % 60:02d},{120 + n % 5}\n" for n in range(120)
)


@pytest.fixture
def client(nothing: Context) -> Client:
    return Client(create_app(nothing).server)


def _send(client: Client, name: str, data: bytes) -> int:
    answer = client.post("/import/file", data=data, headers={"X-File-Name": name})
    assert answer.status_code == 200
    return int((answer.json or {})["number"])


def _settled(client: Client, number: int) -> dict[str, Any]:
    for _ in range(300):
        lines = (client.get("/import/state?after=0").json or {})["lines"]
        found = next(line for line in lines if line["number"] == number)
        if found["is_done"]:
            return dict(found)
        time.sleep(0.1)
    raise AssertionError("the import did not end")


def test_a_recording_is_stored_once_and_known_the_second_time(client: Client) -> None:
    data = SMALLEST.read_bytes()
    first = _settled(client, _send(client, SMALLEST.name, data))
    again = _settled(client, _send(client, "renamed.fit", data))
    assert (first["outcome"], again["outcome"]) == ("stored", "duplicate")
    assert first["links"][0]["href"] == again["links"][0]["href"] == "/sessions/1"


def test_what_is_no_recording_says_why(client: Client) -> None:
    line = _settled(client, _send(client, "broken.fit", b"no recording"))
    assert line["outcome"] == "unreadable"
    assert "No table of samples" in line["said"][0]


def test_an_open_question_is_answered_with_one_press(client: Client) -> None:
    number = _send(client, "open.csv", OPEN_DATES.encode())
    asked = _settled(client, number)
    assert asked["outcome"] == "choice"
    options = [choice["option"] for choice in asked["choices"]]
    assert options == ["--dates day-first", "--dates month-first"]
    client.post("/import/answer", data={"number": str(number), "option": "--dates rm"})
    assert _settled(client, number)["outcome"] == "choice"  # only what was offered counts
    client.post("/import/answer", data={"number": str(number), "option": options[0]})
    line = _settled(client, number)
    assert line["outcome"] == "stored"
    assert line["links"][0]["text"].startswith(("3 Apr", "Apr 3", "2026-04-03"))


def test_too_large_and_empty_are_refused_with_a_sentence(client: Client) -> None:
    large = client.post("/import/file", data=b"x", environ_overrides={"CONTENT_LENGTH": str(1 << 40)})
    empty = client.post("/import/file", data=b"")
    assert (large.status_code, empty.status_code) == (413, 400)
    assert "larger than 64 MB" in large.text
    assert empty.text == "It is empty."


def test_more_files_than_may_wait_are_refused_with_a_sentence(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(import_desk, "MOST_FILES", 3)
    monkeypatch.setattr(import_desk.ImportDesk, "_run", lambda _: None)  # nothing is read meanwhile
    codes = [client.post("/import/file", data=b"x").status_code for _ in range(5)]
    assert codes == [200, 200, 200, 429, 429]
    answer = client.post("/import/file", data=b"x")
    assert answer.text.endswith(".")
    assert len((client.get("/import/state?after=0").json or {})["lines"]) == 3


@pytest.mark.parametrize(
    "named", ["{secret}", "../../{secret}", "..%2F..%2F{secret}", "%2e%2e%2f{secret}%00"]
)
def test_a_path_in_the_name_of_a_file_is_neither_read_nor_written(
    named: str, client: Client, tmp_path: Path
) -> None:
    secret = tmp_path / SMALLEST.name
    secret.write_bytes(SMALLEST.read_bytes())
    line = _settled(client, _send(client, named.format(secret=secret), b"no recording"))
    assert line["outcome"] == "unreadable"  # the body was read and not the file
    assert secret.read_bytes() == SMALLEST.read_bytes()
    assert str(tmp_path) not in " ".join(line["said"])


def test_no_word_of_a_client_is_a_path_for_the_other_addresses(client: Client, tmp_path: Path) -> None:
    secret = tmp_path / "secret.csv"
    secret.write_text("the pulse of the neighbour")
    for path in (f"/import/state?after={secret}", f"/import/file?name={secret}", f"/assets/{secret}"):
        assert b"neighbour" not in client.get(path).data
    answer = client.post(
        "/import/answer", data={"number": str(secret), "option": f"--column hr_bpm={secret}"}
    )
    assert (answer.status_code, answer.json) == (200, {"taken": True})
    assert (client.get("/import/state?after=0").json or {})["lines"] == []


def test_a_file_the_disk_has_no_room_for_is_refused_and_leaves_nothing(
    client: Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))

    def work(disk: SmallDisk) -> tuple[int, str]:
        disk.fill(leave=16 << 10)
        answer = client.post("/import/file", data=b"x" * (200 << 10), headers={"X-File-Name": "ride.fit"})
        assert list(disk.root.rglob("*.fit")) == []
        return answer.status_code, answer.text

    status, said = on_small_disk(tmp_path, 1 << 20, work)
    assert status == 507
    assert "No space left on device" in said


def test_the_token_changes_with_the_store_and_only_then(client: Client) -> None:
    before = (client.get("/import/state").json or {})["token"]
    same = (client.get("/import/state").json or {})["token"]
    _settled(client, _send(client, SMALLEST.name, SMALLEST.read_bytes()))
    after = (client.get("/import/state").json or {})["token"]
    assert before == same
    assert after != before


@pytest.mark.parametrize(
    ("sent", "kept"),
    [
        ("ride.fit", "ride.fit"),
        ("../../etc/passwd", "passwd"),
        ("C:\\rides\\one.csv", "one.csv"),
        ("..", "recording"),
        ("a\nb\0.fit", "ab.fit"),
        ("", "recording"),
        ("x" * 300 + ".fit", "x" * 116 + ".fit"),
        ("økt på ski.fit", "økt på ski.fit"),
    ],
)
def test_a_name_from_a_browser_is_made_plain(sent: str, kept: str) -> None:
    assert plain_name(sent) == kept


def test_a_name_in_a_report_belongs_to_its_file_and_to_no_other() -> None:
    path = Path("/kept/1/rides.zip")
    assert belongs("/kept/1/rides.zip", path)
    assert belongs("/kept/1/rides.zip/a.fit", path)
    assert not belongs("/kept/1/rides.zipped", path)
