"""How long a season, a week and a today take: ``python tests/benchmarks/bench_plan.py``.

Prints median, 95th percentile and worst of random riders, in wall-clock and processor time, and the same for one
programme of a week. Nothing is cached between riders.
"""

import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from rideready.model.rider import Rider
from rideready.plan.season import plan_season
from rideready.plan.solve import solve
from rideready.plan.today import today
from rideready.plan.week import week_at_hand
from tests.plan.riders import random_request
from tests.plan.test_solve import small_programme

RIDERS = 150


def timed(work: Callable[[], object]) -> tuple[float, float]:
    """Return wall-clock and processor seconds of one call."""
    wall, cpu = time.perf_counter(), time.process_time()
    work()
    return time.perf_counter() - wall, time.process_time() - cpu


def show(name: str, seconds: list[tuple[float, float]]) -> None:
    """Print one line for what was timed."""
    wall, cpu = (1000 * np.array(each) for each in zip(*seconds, strict=True))
    figures = [f"{np.median(t):7.1f} {np.percentile(t, 95):7.1f} {t.max():7.1f}" for t in (wall, cpu)]
    sys.stdout.write(f"{name:28}{figures[0]}  |{figures[1]}\n")


def main() -> None:
    """Time everything once and print it."""
    solve(small_programme(np.random.default_rng(0)))  # the solver's first call loads it
    seasons, weeks, answers = [], [], []
    for seed in range(RIDERS):
        request = random_request(np.random.default_rng(seed))
        seasons.append(timed(lambda request=request: plan_season(request)))  # type: ignore[misc]
        season = plan_season(request)
        weeks.append(timed(lambda season=season: week_at_hand(season)))  # type: ignore[misc]
        plan = week_at_hand(season)
        answers.append(timed(lambda season=season, plan=plan: today(season, plan, Rider())))  # type: ignore[misc]
    head = f"ms, {RIDERS} random riders"
    sys.stdout.write(f"{head:28}{'median':>7} {'95 %':>7} {'worst':>7}  | the same in processor time\n")
    show("season", seasons)
    show("week on its days", weeks)
    show("today", answers)


if __name__ == "__main__":
    main()
