"""The dashboard is served to this machine only, and the demo shows simulated sessions in a store of its own."""

import json
import shutil
import signal
import socket
import subprocess
import sys
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from rideready.cli import dashboard
from rideready.cli.main import main
from rideready.errors import BadInput
from rideready.services import demo
from rideready.services.demo import samples_path


@contextmanager
def serving(*arguments: object) -> Iterator["subprocess.Popen[str]"]:
    """Run a command that goes on until it is stopped."""
    code = "import sys; from rideready.cli.main import main; sys.exit(main(sys.argv[1:]))"
    process = subprocess.Popen(
        [sys.executable, "-c", code, *map(str, arguments)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    try:
        yield process
    finally:
        process.kill()
        process.communicate()


def test_the_dashboard_answers_on_this_machine_and_stops_when_told(tmp_path: Path) -> None:
    arguments = ("dashboard", "--no-browser", "--json", "--port", "0", "--store", tmp_path / "s.sqlite")
    with serving(*arguments) as process:
        assert process.stdout is not None
        address = json.loads("".join(process.stdout.readline() for _ in range(3)))["address"]
        assert address.startswith("http://127.0.0.1:")
        with urllib.request.urlopen(address, timeout=30) as answer:  # noqa: S310 - our own address
            assert answer.status == 200
            assert "<html" in answer.read().decode()
        process.send_signal(signal.SIGINT)
        out, err = process.communicate(timeout=30)
    assert (process.returncode, out, err) == (0, "", "")


def test_a_port_in_use_that_was_asked_for_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
        arguments = ["dashboard", "--no-browser", "--port", str(port), "--store", str(tmp_path / "s.sqlite")]
        assert main(arguments) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err == (
        f"rideready: port {port} cannot be used (Address already in use). Name another with --port.\n"
    )


@pytest.mark.parametrize(
    ("platform", "display", "expected"),
    [("linux", None, False), ("linux", ":0", True), ("darwin", None, True), ("win32", None, True)],
)
def test_a_browser_is_opened_only_where_there_is_a_screen(
    platform: str, display: str | None, *, expected: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", platform)
    for name in ("DISPLAY", "WAYLAND_DISPLAY"):
        monkeypatch.delenv(name, raising=False)
    if display is not None:
        monkeypatch.setenv("DISPLAY", display)
    assert dashboard.has_screen() is expected


@pytest.fixture
def few_samples(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take two of the samples, so that no test need import them all."""
    folder = tmp_path / "samples"
    folder.mkdir()
    for sample in sorted(samples_path().glob("*bike-and-circuit.fit"))[:2]:
        shutil.copy(sample, folder)
    monkeypatch.setattr(demo, "samples_path", lambda: folder)


@pytest.mark.usefixtures("few_samples")
def test_the_demo_prints_its_recoveries_and_says_that_they_are_simulated(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = tmp_path / "demo.sqlite"
    assert main(["demo", "--no-dashboard", "--store", str(store)]) == 0
    said = capsys.readouterr().out
    assert "of 2 sessions" in said
    assert "1.1 " in said
    assert f"Simulated sessions of invented riders, made to look around in. Store: {store}" in said


@pytest.mark.usefixtures("few_samples")
def test_the_demo_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "--json", "--store", str(tmp_path / "demo.sqlite")]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["simulated"], found["stored"], found["unreadable"]) == (True, 2, [])
    assert {row["session"] for row in found["recoveries"]} == {1, 2}


@pytest.mark.usefixtures("few_samples")
def test_the_demo_serves_the_dashboard_after_the_table(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    served: list[tuple[bool, int | None]] = []

    def serve(context: object, *, port: int | None, **_: object) -> None:
        served.append((context.is_simulated, port))  # type: ignore[attr-defined]

    monkeypatch.setattr("rideready.cli.demo.serve", serve)
    assert main(["demo", "--port", "0", "--store", str(tmp_path / "demo.sqlite")]) == 0
    assert served == [(True, 0)]
    assert "of 2 sessions" in capsys.readouterr().out


def test_the_home_network_gets_in_with_the_key_alone(tmp_path: Path) -> None:
    address = _home_or_skip()
    arguments = ("dashboard", "--home-network", "--no-browser", "--json", "--port", "0")
    with serving(*arguments, "--store", tmp_path / "s.sqlite") as process:
        assert process.stdout is not None
        shown = json.loads("".join(process.stdout.readline() for _ in range(3)))["address"]
        plain_address, key = shown.split("?key=")
        assert plain_address.startswith(f"http://{address}:")
        assert len(key) == 32  # 24 random bytes
        with urllib.request.urlopen(shown, timeout=30) as answer:  # noqa: S310 - our own address
            assert "HttpOnly" in answer.headers["Set-Cookie"]
        with pytest.raises(urllib.error.HTTPError, match="403"):
            urllib.request.urlopen(plain_address, timeout=30)  # noqa: S310


def test_the_home_network_is_shown_a_code_to_scan_and_what_it_does_not_keep_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(dashboard, "home_address", lambda: "192.168.1.20")
    monkeypatch.setattr("waitress.server.TcpWSGIServer.run", lambda _: None)
    monkeypatch.setattr("waitress.server.MultiSocketServer.run", lambda _: None)
    store = str(tmp_path / "s.sqlite")
    assert main(["dashboard", "--home-network", "--no-browser", "--port", "0", "--store", store]) == 0
    said = capsys.readouterr().out
    assert "The dashboard is at http://192.168.1.20:" in said
    assert said.count("\N{FULL BLOCK}") > 20
    assert "unencrypted" in said


def _home_or_skip() -> str:
    try:
        return dashboard.home_address()
    except BadInput:
        pytest.skip("this machine is on no network")
