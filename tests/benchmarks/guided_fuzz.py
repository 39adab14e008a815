"""Spoil files towards code that was not reached before (atheris, coverage-guided), beside `fuzz_importers`.

Needs ``pip install atheris`` (not among the extras: it is compiled for few platforms). Run from the project's
folder, one sort of file at a time: ``python -m tests.benchmarks.guided_fuzz --kind fit --minutes 10``. What is
new to the readers is kept in ``--corpus`` and taken up again by the next run; each fault is printed once, with
the file in ``--keep``. libFuzzer's own last lines give the number of tries.
"""

import argparse
import hashlib
import os
import resource
import signal
import sys
import tempfile
from pathlib import Path

import atheris

#: Its search through damage tries every byte, and followed step by step takes nine tenths of a try.
_NOT_FOLLOWED = "rideready.importers.mend"

with atheris.instrument_imports(
    include=["rideready.importers", "fitparse", "fitdecode"], exclude=[_NOT_FOLLOWED]
):
    import rideready.importers.csv_file  # loaded late by the product: too late to be followed
    import rideready.importers.fit  # noqa: F401
    from tests.benchmarks.fuzz_importers import MOST_BYTES, _ring, attempt
    from tests.support.documents import documents
    from tests.support.mutations import is_text

#: Longer documents make slow tries, bytes.
_LONGEST = 1000


def main() -> None:
    """Try until time is up; faults do not end the run."""
    asked = _asked()
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    signal.signal(signal.SIGPROF, _ring)
    asked.corpus.mkdir(parents=True, exist_ok=True)
    asked.keep.mkdir(parents=True, exist_ok=True)
    for document in dict.fromkeys(documents()):
        if is_text(document) == (asked.kind == "table") and len(document) <= _LONGEST:
            (asked.corpus / hashlib.sha256(document).hexdigest()).write_bytes(document)
    seen: set[str] = set()
    path = Path(tempfile.mkdtemp(), "ride")

    def try_one(data: bytes) -> None:
        path.write_bytes(data)
        outcome = attempt(path, analyses=False)
        if outcome.startswith("fault") and outcome not in seen:
            seen.add(outcome)
            kept = asked.keep / hashlib.sha256(data).hexdigest()
            kept.write_bytes(data)
            os.write(1, f"{kept.name}: {outcome}\n".encode())  # libFuzzer leaves without flushing

    flags = [
        f"-max_total_time={int(60 * asked.minutes)}",
        f"-max_len={2 * _LONGEST}",
        f"-seed={asked.seed}",
        "-rss_limit_mb=0",  # bound above
        "-print_final_stats=1",
        f"-artifact_prefix={asked.keep}/",
    ]
    atheris.Setup([sys.argv[0], *flags, str(asked.corpus)], try_one)
    atheris.Fuzz()


def _asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--kind", choices=("fit", "table"), required=True)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--corpus", type=Path, required=True)
    parser.add_argument("--keep", type=Path, required=True)
    return parser.parse_args()


if __name__ == "__main__":
    main()
