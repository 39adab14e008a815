"""Kill imports, migrations and restores with -9 at random moments, and count what was left.

``python -m tests.benchmarks.kills --kills 200 --seed 1 [--work import]``; ends at the first loss.
"""

import argparse
import random
import tempfile
import time
from collections import Counter
from pathlib import Path

from tests.support.kills import Work, kill_once, prepare, usual_time_s


def main() -> None:
    """Print one line for each kind of work."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=200, help="in all, shared out evenly")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--work", choices=[*Work], action="append", help="only this; may be repeated")
    asked = parser.parse_args()
    works = [Work(name) for name in asked.work or Work]
    rng = random.Random(asked.seed)  # noqa: S311 - no secrets
    with tempfile.TemporaryDirectory() as folder:
        bench = prepare(Path(folder) / "bench")
        for work in works:
            longest_s = 1.1 * usual_time_s(bench, work, Path(folder) / "timed")
            began, left = time.monotonic(), Counter[str]()
            for number in range(asked.kills // len(works)):
                place = Path(folder) / f"{work}-{number}"
                left[kill_once(bench, work, place, rng, longest_s=longest_s)] += 1
            took = time.monotonic() - began
            counted = ", ".join(f"{count} {what}" for what, count in sorted(left.items()))
            print(  # noqa: T201 - what a benchmark is for
                f"{work}: {left.total()} kills within {longest_s:.2f} s; found {counted}; nothing lost ({took:.0f} s)"
            )


if __name__ == "__main__":
    main()
