"""Time of importing and analysing an archive beside a plain script on one core: a ratio in one run.

Run from the project's folder: ``python -m tests.benchmarks.bench_import --files 1000``. The archive is
made by the simulator: hours of four kinds of workout by three recorders. The plain script reads with
fitparse, cleans with pandas and fits each recovery by ``curve_fit`` (`tests.benchmarks.plain_import`), once with
intervals from the covariance and once with refitted ones, that hold as ours do; it is given a sample of the
files, since its cost per file is the same for each. Also printed: memory, cost of a
session at the start and at the end of the import and for archives of 10 and 100 files, and the speed of importing
again what is known.
Issue 7 asks for a ratio of 8, 600 MB, a flat cost and 500 files a second.
"""

import argparse
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from tests.benchmarks.plain_import import N_REFITS
from tests.support.archive import N_DISTINCT, write_archive

#: Smaller archives that are imported for comparison, files.
SMALLER = (10, 100)
#: Files the plain script is timed on: as many as there are sessions that differ.
N_PLAIN = N_DISTINCT
#: Of these, those it is timed on with refitted intervals.
N_REFITTED = 6


def ours(folder: Path, store: Path) -> dict[str, Any]:
    """Import a folder twice, in this process and its workers."""
    from rideready.services.context import open_context
    from rideready.services.import_report import ImportProgress
    from rideready.services.importing import import_paths
    from rideready.services.recoveries import list_recoveries
    from rideready.services.riders import update_rider

    context = open_context(store, rider="Runa Vell")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    marks: list[float] = []

    def mark(_: ImportProgress) -> None:
        marks.append(time.perf_counter())

    begun = time.perf_counter()
    report = import_paths(context, [folder], progress=mark)
    took = time.perf_counter() - begun
    n_recoveries = len(list_recoveries(context))
    again = time.perf_counter()
    repeated = import_paths(context, [folder])
    again = time.perf_counter() - again
    context.store.close()
    own, workers = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    quarter = max(len(marks) // 4, 1)
    first = min(4, len(marks) - 1)  # workers start meanwhile, and the libraries load
    return {
        "stored": report.stored,
        "unchanged": repeated.unchanged,
        "recoveries": n_recoveries,
        "wall_s": took,
        "again_s": again,
        "processor_s": own.ru_utime + own.ru_stime + workers.ru_utime + workers.ru_stime,
        "main_mb": own.ru_maxrss / 1024,
        "worker_mb": workers.ru_maxrss / 1024,
        "once_started_s": (marks[-1] - marks[first]) / max(len(marks) - 1 - first, 1),
        "second_quarter_s": (marks[2 * quarter - 1] - marks[quarter - 1]) / quarter,
        "last_quarter_s": (marks[-1] - marks[-1 - quarter]) / quarter,
    }


def plain(n_refits: int, files: list[Path]) -> dict[str, Any]:
    """Run the plain script over files."""
    from tests.benchmarks.plain_import import import_file

    import_file(files[0])  # what is loaded once is not its fault
    begun, spent = time.perf_counter(), time.process_time()
    found = [import_file(path, n_refits=n_refits) for path in files]
    return {
        "wall_s": time.perf_counter() - begun,
        "processor_s": time.process_time() - spent,
        "recoveries": sum(len(session["recoveries"]) for session in found),
    }


def _alone(*arguments: object) -> dict[str, Any]:
    """Run one side in a process of its own, so that its memory is its own."""
    one_thread = {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1", "MKL_NUM_THREADS": "1"}
    command = [sys.executable, "-m", "tests.benchmarks.bench_import", *map(str, arguments)]
    said = subprocess.run(command, env=os.environ | one_thread, capture_output=True, text=True, check=True)
    found: dict[str, Any] = json.loads(said.stdout)
    return found


def main() -> None:
    """Print both sides and their ratio."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--files", type=int, default=60)
    parser.add_argument("--folder", type=Path, help="where the archive lies, or is made")
    parser.add_argument("--ours", nargs=2, type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--plain", nargs="+", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.ours:
        print(json.dumps(ours(*asked.ours)))  # noqa: T201 - handed to the process that asked
    elif asked.plain:
        print(json.dumps(plain(int(asked.plain[0]), [Path(name) for name in asked.plain[1:]])))  # noqa: T201
    else:
        with tempfile.TemporaryDirectory() as scratch:
            _compare(asked.files, asked.folder or Path(scratch, "archive"), Path(scratch))


def _compare(n_files: int, folder: Path, scratch: Path) -> None:
    folder.mkdir(exist_ok=True)
    files = sorted(folder.glob("*.fit"))
    if len(files) != n_files:
        files = list(write_archive(folder, n_files))
    # Each simulated session once; an even stride through the archive would meet only some of them.
    sample = files[:N_PLAIN]
    before = _alone("--plain", 0, *sample)
    smaller = {n: _first_files(files[:n], scratch) for n in SMALLER if n < n_files}
    found = _alone("--ours", folder, scratch / "store.sqlite")
    after = _alone("--plain", 0, *sample)  # the machine may have become busier meanwhile
    refitted = _alone("--plain", N_REFITS, *sample[:N_REFITTED])
    n_refitted = len(sample[:N_REFITTED])
    plain_wall = (before["wall_s"] + after["wall_s"]) / 2 / len(sample)
    plain_spent = (before["processor_s"] + after["processor_s"]) / 2 / len(sample)
    mb = found["main_mb"] + (os.cpu_count() or 1) * found["worker_mb"]
    refitted_wall, refitted_spent = refitted["wall_s"] / n_refitted, refitted["processor_s"] / n_refitted
    ours_wall, ours_spent = found["wall_s"] / n_files, found["processor_s"] / n_files
    size_mb = sum(file.stat().st_size for file in files) / 1e6
    n_recoveries, n_plain = found["recoveries"] / n_files, before["recoveries"] / len(sample)
    lines = (
        f"{n_files} files of an hour, {size_mb:.1f} MB, {found['stored']} sessions stored",
        f"recoveries a file: {n_recoveries:.1f}, the plain script {n_plain:.1f}",
        f"plain script, one core: {1e3 * plain_wall:.1f} ms a file, processor {1e3 * plain_spent:.1f}",
        f"import with analysis:   {1e3 * ours_wall:.1f} ms a file, processor {1e3 * ours_spent:.1f}",
        f"ratio {plain_wall / ours_wall:.1f} in time, {plain_spent / ours_spent:.1f} in processor time",
        f"the same with intervals that hold ({N_REFITS} refits): {1e3 * refitted_wall:.1f} ms a file",
        f"ratio {refitted_wall / ours_wall:.1f} in time, {refitted_spent / ours_spent:.1f} in processor time",
        *(
            f"an archive of {n:4d}: {1e3 * some['once_started_s']:.1f} ms a file once started, "
            f"processor {1e3 * some['processor_s'] / n:.1f} with the start"
            for n, some in (*smaller.items(), (n_files, found))
        ),
        f"a file in the second quarter {1e3 * found['second_quarter_s']:.1f} ms",
        f"a file in the last quarter   {1e3 * found['last_quarter_s']:.1f} ms",
        f"memory at most: main {found['main_mb']:.0f} MB, a worker {found['worker_mb']:.0f} MB, all {mb:.0f} MB",
        f"again, unchanged: {found['unchanged'] / found['again_s']:.0f} files a second",
    )
    print("\n".join(lines))  # noqa: T201 - printing is what a benchmark is for


def _first_files(files: list[Path], scratch: Path) -> dict[str, Any]:
    """Import some of the files into a store of their own."""
    folder = scratch / f"archive-{len(files)}"
    folder.mkdir()
    for file in files:
        (folder / file.name).hardlink_to(file)
    return _alone("--ours", folder, scratch / f"store-{len(files)}.sqlite")


if __name__ == "__main__":
    main()
