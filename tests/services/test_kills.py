"""Killed with -9 at any moment, nothing that was reported stored is lost; `tests.benchmarks.kills` does more."""

import random
from pathlib import Path

import pytest

from tests.support.kills import Bench, Work, kill_once, prepare, usual_time_s


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return prepare(tmp_path_factory.mktemp("kills") / "bench")


@pytest.mark.parametrize("work", [Work.MIGRATION, Work.RESTORE, Work.REPAIR])
def test_a_kill_leaves_the_old_or_the_new_and_never_part_of_it(
    bench: Bench, work: Work, tmp_path: Path
) -> None:
    rng = random.Random(7)  # noqa: S311 - no secrets
    longest_s = usual_time_s(bench, work, tmp_path / "timed")
    left = [kill_once(bench, work, tmp_path / str(number), rng, longest_s=longest_s) for number in range(6)]
    assert set(left) <= {"before", "after"}
    assert len(left) == 6


def test_a_killed_import_keeps_what_it_reported(bench: Bench, tmp_path: Path) -> None:
    rng = random.Random(7)  # noqa: S311 - no secrets
    longest_s = usual_time_s(bench, Work.IMPORT, tmp_path / "timed")
    left = [
        kill_once(bench, Work.IMPORT, tmp_path / str(number), rng, longest_s=longest_s) for number in range(4)
    ]
    assert set(left) <= {"before", "between", "after"}
