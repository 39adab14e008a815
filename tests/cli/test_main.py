"""One sentence for everything that can go wrong, exit codes that mean something, help in a blink."""

import json
import os
import re
import subprocess
import sys
import tempfile
import types
from collections.abc import Callable
from pathlib import Path

import pytest

from rideready.cli.main import COMMANDS, main
from rideready.errors import BadInput
from tests.support.stores import run_python

HEAVY = ("numpy", "pandas", "scipy", "dash", "plotly", "sqlalchemy", "rideready.services", "rideready.store")


def test_help_loads_nothing_heavy() -> None:
    code = (
        "import sys; from rideready.cli.main import COMMANDS, main\n"
        "codes = [main(['--help']), *(main([name, '--help']) for name in COMMANDS)]\n"
        f"heavy = [name for name in {HEAVY} if name in sys.modules]\n"
        "sys.exit(f'loaded: {heavy}, exit codes: {codes}' if heavy or any(codes) else 0)"
    )
    done = run_python(code)
    assert done.returncode == 0, done.stderr
    assert done.stdout.count("Usage: rideready") == 1 + len(COMMANDS)


def test_numerical_libraries_are_told_to_stay_on_one_thread_unless_the_user_says_otherwise() -> None:
    code = (
        "import os, sys; from rideready.cli.main import run\nsys.argv = ['rideready', '--version']\n"
        "try: run()\nexcept SystemExit: print(os.environ['OPENBLAS_NUM_THREADS'], 'numpy' in sys.modules)"
    )
    free = {name: value for name, value in os.environ.items() if not name.endswith("_NUM_THREADS")}
    for given, expected in (({}, "1 False"), ({"OPENBLAS_NUM_THREADS": "3"}, "3 False")):
        told = subprocess.run(
            [sys.executable, "-c", code], env=free | given, capture_output=True, text=True, check=True
        )
        assert told.stdout.splitlines()[-1] == expected


def test_help_lists_every_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    said = capsys.readouterr().out
    assert all(re.search(rf"\b{name}\b", said) for name in COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_the_common_options(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([name, "--help"]) == 0
    said = capsys.readouterr().out
    assert all(option in said for option in ("--store", "--rider", "--date", "--json", "--quiet"))


def test_the_version_is_the_installed_one(capsys: pytest.CaptureFixture[str]) -> None:
    from importlib.metadata import version

    assert main(["--version"]) == 0
    assert capsys.readouterr().out.strip() == version("rideready")


def test_without_a_command_help_is_shown(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert "Usage: rideready" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["recover"], "No such command 'recover'. Did you mean 'recovery'? Try: rideready --help"),
        (["sessions", "--since"], "--since"),
        (["sessions", "--nonsense"], "--nonsense"),
        (["session", "one"], "NUMBER"),
        (["import"], "PATH"),
    ],
    ids=" ".join,
)
def test_wrong_usage_is_one_sentence_and_exit_code_2(
    arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    output = capsys.readouterr()
    assert output.out == ""
    assert output.err.startswith("rideready: ")
    assert said in output.err
    assert len(output.err.strip().splitlines()) == 1


def fail_with(error: BaseException) -> Callable[[], None]:
    def command() -> None:
        raise error

    return command


@pytest.fixture
def failing(monkeypatch: pytest.MonkeyPatch) -> Callable[[BaseException], None]:
    """Put a command in the place of ``sessions`` that fails as told."""

    def put(error: BaseException) -> None:
        module = types.ModuleType("failing")
        module.command = fail_with(error)  # type: ignore[attr-defined]
        monkeypatch.setitem(sys.modules, "rideready.cli.sessions", module)

    return put


def test_an_error_of_ours_is_its_own_sentence(
    failing: Callable[[BaseException], None], capsys: pytest.CaptureFixture[str]
) -> None:
    failing(BadInput("the maximum is 300", "--max", "Give a number from 90 to 240"))
    assert main(["sessions"]) == 2
    assert capsys.readouterr().err == "rideready: --max: the maximum is 300. Give a number from 90 to 240.\n"


def test_an_error_nobody_foresaw_is_one_sentence_and_its_details_are_kept(
    failing: Callable[[BaseException], None],
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    failing(ZeroDivisionError("of all things"))
    assert main(["sessions"]) == 2
    said = capsys.readouterr()
    found = re.fullmatch(
        r"rideready: Something went wrong that nobody foresaw \(ZeroDivisionError\)\. "
        r"The details are in (.+error\.txt)\.\n",
        said.err,
    )
    assert found is not None, said.err
    assert "ZeroDivisionError: of all things" in Path(found[1]).read_text(encoding="utf-8")


def test_stopping_says_that_what_was_stored_stays(
    failing: Callable[[BaseException], None], capsys: pytest.CaptureFixture[str]
) -> None:
    failing(KeyboardInterrupt())
    assert main(["sessions"]) == 130  # what a shell gives for a program stopped with Ctrl+C
    assert capsys.readouterr().err == "rideready: Stopped. What was stored until then stays.\n"


def test_a_script_gets_the_error_as_a_document(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["sessions", "--json", "--store", str(tmp_path / "none.sqlite")]) == 2
    assert "there is no store here yet" in json.loads(capsys.readouterr().out)["error"]


def test_a_mistyped_store_is_named_and_not_made(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["recovery", "--store", str(tmp_path / "none.sqlite")]) == 2
    assert capsys.readouterr().err == (
        f"rideready: {tmp_path / 'none.sqlite'}: there is no store here yet. "
        "Import recordings first, with: rideready import FOLDER.\n"
    )
    assert list(tmp_path.iterdir()) == []


def test_output_that_nobody_reads_any_more_is_no_error() -> None:
    code = (
        "import os, sys; from rideready.cli.main import main\n"
        "read, write = os.pipe(); os.close(read); os.dup2(write, 1)\n"
        "sys.exit(main(['--help']))"
    )
    done = run_python(code)
    assert (done.returncode, done.stderr) == (0, "")
