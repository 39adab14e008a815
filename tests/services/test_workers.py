"""Work comes back in order from several processes, and a process that dies takes nothing with it."""

import math
import operator
import os
import signal
import subprocess
import sys
import time

import pytest

from rideready.services import workers
from rideready.services.workers import spread


@pytest.fixture(autouse=True)
def two_cores(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "_cores", lambda: 2)


def never(item: object) -> None:
    pytest.fail(f"a worker was killed over {item}")


def test_results_come_in_the_order_of_the_items() -> None:
    assert list(spread(operator.neg, range(20), if_killed=never)) == [-n for n in range(20)]


def test_several_processes_do_the_work() -> None:
    slowly = "(__import__('time').sleep(0.05), __import__('os').getpid())[1]"
    pids = set(spread(eval, [slowly] * 20, if_killed=never))
    assert len(pids) == 2
    assert os.getpid() not in pids


def test_a_few_items_are_done_on_the_spot() -> None:
    asked: list[int] = []

    def double(item: int) -> int:  # could not be sent to another process
        asked.append(item)
        return 2 * item

    assert list(spread(double, [1, 2, 3], if_killed=never)) == [2, 4, 6]
    assert asked == [1, 2, 3]


def test_a_killed_worker_costs_its_own_item_and_no_other() -> None:
    items = [0, 0, int(signal.SIGKILL), 0, 0, 0, 0, 0]
    found = list(spread(signal.raise_signal, items, if_killed=lambda item: f"killed by {item}"))
    assert found == [None, None, "killed by 9", None, None, None, None, None]


def test_a_worker_that_takes_too_long_is_ended(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workers, "LONGEST_S", 8.0)
    items = ["1", "2", "__import__('time').sleep(600)", "4", "5", "6"]
    before = time.monotonic()
    assert list(spread(eval, items, if_killed=lambda _: "too long")) == [1, 2, "too long", 4, 5, 6]
    assert time.monotonic() - before < 120


def test_a_worker_that_wants_too_much_memory_is_ended() -> None:
    items = ["1", "2", f"len(bytearray({workers.MOST_BYTES}))", "4", "5", "6"]
    assert list(spread(eval, items, if_killed=lambda _: "too much")) == [1, 2, "too much", 4, 5, 6]


def test_an_error_nobody_foresaw_comes_up_where_the_caller_sees_it() -> None:
    results = spread(math.sqrt, [4.0, 9.0, -1.0, 16.0, 25.0, 36.0], if_killed=never)
    assert [next(results), next(results)] == [2.0, 3.0]
    with pytest.raises(ValueError, match=r"math domain|nonnegative"):
        next(results)


def test_what_a_function_prints_is_no_answer() -> None:
    items = [f"print('stray') or {n}" for n in range(6)]
    assert list(spread(eval, items, if_killed=never)) == list(range(6))


def test_ctrl_c_is_left_to_the_parent() -> None:
    items = [
        f"__import__('os').kill(__import__('os').getpid(), {int(signal.SIGINT)}) or {n}" for n in range(6)
    ]
    assert list(spread(eval, items, if_killed=never)) == list(range(6))


def test_stopping_early_ends_the_workers_at_once() -> None:
    items = ["__import__('os').getpid()", *["__import__('time').sleep(60)"] * 7]
    results = spread(eval, items, if_killed=never)
    pid = next(results)
    before = time.monotonic()
    results.close()
    assert time.monotonic() - before < 30
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


PARENT = """
import os
from rideready.services import workers
workers._cores = lambda: 2
item = "(__import__('time').sleep(0.5), __import__('os').getpid())[1]"
for pid in workers.spread(eval, [item] * 1000, if_killed=print):
    print(pid, flush=True)
"""


def is_running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    return True


def test_workers_end_by_themselves_when_the_parent_was_killed() -> None:
    parent = subprocess.Popen([sys.executable, "-c", PARENT], stdout=subprocess.PIPE, text=True)
    assert parent.stdout is not None
    pids = {int(parent.stdout.readline()) for _ in range(4)}
    assert len(pids) == 2
    parent.kill()
    parent.wait()
    parent.stdout.close()
    deadline = time.monotonic() + 30
    while any(is_running(pid) for pid in pids) and time.monotonic() < deadline:
        time.sleep(0.1)
    assert not any(is_running(pid) for pid in pids)
