"""Two rides in a store, and ways to run a command."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from rideready.cli.main import main
from tests.support.stores import write_ride

Run = Callable[..., tuple[int, str, str]]
RunJson = Callable[..., Any]


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command and return exit code, stdout and stderr."""

    def call(*arguments: object) -> tuple[int, str, str]:
        code = main([str(argument) for argument in arguments])
        said = capsys.readouterr()
        return code, said.out, said.err

    return call


@pytest.fixture
def run_json(run: Run) -> RunJson:
    """Run a command with --json; stdout must be one document without NaN, and nothing else."""

    def refuse(word: str) -> None:
        pytest.fail(f"{word} is no JSON")

    def call(*arguments: object, code: int = 0) -> Any:
        found, out, err = run(*arguments, "--json")
        assert found == code, err
        return json.loads(out, parse_constant=refuse)

    return call


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two rides, three days apart."""
    folder = tmp_path_factory.mktemp("exports")
    for days in (0, 3):
        write_ride(folder, days=days)
    return folder


@pytest.fixture(scope="module")
def store(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Those rides in a store, for a rider whose numbers are known."""
    store = tmp_path_factory.mktemp("store") / "store.sqlite"
    numbers = ["--max", "181", "--rest", "54", "--sex", "female"]
    assert main(["rider", "--name", "Runa", *numbers, "--quiet", "--store", str(store)]) == 0
    assert main(["import", str(folder), "--quiet", "--store", str(store)]) == 0
    return store
