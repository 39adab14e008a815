"""Spread work over processes that may die without harm.

The workers are started as programs of their own and spoken to through pipes: they end by themselves
when the parent is gone, however it went, and they need nothing of the program that called (the
standard library's process pool leaves its workers behind when the parent is killed, and starts the
calling script a second time).
"""

import contextlib
import os
import pickle
import queue
import struct
import subprocess
import sys
import threading
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import ThreadPoolExecutor
from typing import IO, Any, Final, TypeVar

Item = TypeVar("Item")
Result = TypeVar("Result")

#: With fewer items, starting workers (about 1.5 s for the numerical libraries) costs more than it saves.
FEWEST_ITEMS: Final = 6
#: A worker that takes longer over one item is ended, s; the slowest sound file takes seconds.
LONGEST_S: Final = 300.0
#: A worker that wants more memory is ended, bytes (of addresses, where the system keeps count).
MOST_BYTES: Final = 4 << 30
#: Each worker has one core; threads inside the numerical libraries would only get into each other's way.
_ONE_THREAD: Final = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}


def spread(
    function: Callable[[Item], Result], items: Sequence[Item], *, if_killed: Callable[[Item], Result]
) -> Generator[Result, None, None]:
    """Apply a function to every item, on all cores if there are enough items; results come in order.

    Parameters
    ----------
    function
        A function of a module, so that a worker can import it; it may raise nothing that the caller
        is not prepared for.
    items
        What it is applied to; items and results must be plain enough to be sent.
    if_killed
        Gives the result of an item over which a worker was killed: for taking longer than `LONGEST_S`
        or more than `MOST_BYTES`, or by the system.
    """
    n_workers = min(_cores(), len(items) // 2)
    if n_workers < 2 or len(items) < FEWEST_ITEMS:
        yield from map(function, items)
        return
    workers = [_Worker() for _ in range(n_workers)]
    idle: queue.SimpleQueue[_Worker] = queue.SimpleQueue()
    for worker in workers:
        idle.put(worker)

    def run(item: Item) -> Result:
        worker = idle.get()
        try:
            answer: Result = worker.call(function, item)
        except _Killed:
            return if_killed(item)
        except _Failed:
            return function(item)  # fails here as it failed there, where the caller can see it
        finally:
            idle.put(worker)
        return answer

    threads = ThreadPoolExecutor(n_workers)
    try:
        yield from threads.map(run, items)
    finally:
        for worker in workers:
            worker.stop()
        threads.shutdown(cancel_futures=True)
        for worker in workers:
            worker.close()


class _Killed(Exception):
    """A worker was ended by a signal."""


class _Failed(Exception):
    """A worker ended by itself, most likely by an error nobody foresaw."""


class _Stopped(Exception):
    """A worker was ended because nobody wants its results any more."""


class _Worker:
    """One process; started with the first call, and again after it has died."""

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._is_stopped = False

    def call(self, function: Callable[[Any], Any], item: Any) -> Any:
        """Have a function applied there and wait for the result."""
        process = self._process = self._process or _start()
        if process.stdin is None or process.stdout is None:
            raise _Failed
        too_long = threading.Timer(LONGEST_S, process.kill)
        too_long.daemon = True
        too_long.start()
        try:
            _send(process.stdin, (function, item))
            return _receive(process.stdout)
        except (OSError, EOFError) as error:
            self._process = None
            code = _let_go(process)
            if self._is_stopped:
                raise _Stopped from error
            raise (_Killed if code < 0 else _Failed) from error
        finally:
            too_long.cancel()

    def stop(self) -> None:
        """End the process, whatever it is doing; a call that is waiting for it fails."""
        self._is_stopped = True
        process = self._process
        if process is not None:
            process.kill()

    def close(self) -> None:
        """Let go of the process, once no call is waiting for it any more."""
        if self._process is not None:
            _let_go(self._process)


def _start() -> "subprocess.Popen[bytes]":
    return subprocess.Popen(
        [sys.executable, "-m", "rideready.services.workers"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        env=os.environ | _ONE_THREAD,
    )


def _let_go(process: "subprocess.Popen[bytes]") -> int:
    """Close the pipes of a process that has ended, or is about to, and return its exit code."""
    for pipe in (process.stdin, process.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):  # what was still to be sent has nobody to go to
                pipe.close()
    return process.wait()


def _cores() -> int:
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


def _send(stream: IO[bytes], message: Any) -> None:
    data = pickle.dumps(message, protocol=pickle.HIGHEST_PROTOCOL)
    stream.write(struct.pack("<Q", len(data)) + data)
    stream.flush()


def _receive(stream: IO[bytes]) -> Any:
    head = stream.read(8)
    if len(head) < 8:
        raise EOFError
    (size,) = struct.unpack("<Q", head)
    data = stream.read(size)
    if len(data) < size:
        raise EOFError
    return pickle.loads(data)  # noqa: S301 - from our own process, through a pipe nobody else holds


def serve() -> None:
    """Answer calls until the parent is gone; what this process runs."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C is the parent's to deal with
    _bound_memory()
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # a stray print must not be an answer
    while True:
        try:
            function, item = _receive(sys.stdin.buffer)
        except EOFError:
            return
        try:
            _send(answers, function(item))
        except MemoryError:
            os.abort()  # as if the system had ended it: the parent must not try for itself


def _bound_memory() -> None:
    """Have this process refused more than `MOST_BYTES`, where the system can."""
    try:
        import resource
    except ImportError:  # Windows
        return
    with contextlib.suppress(ValueError, OSError):  # a lower bound is set already
        resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


if __name__ == "__main__":
    serve()
