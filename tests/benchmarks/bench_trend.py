"""Time of a season's trend beside statsmodels' mixed model on the same rows.

Run from the project's folder: ``python -m tests.benchmarks.bench_trend``. Prints milliseconds a season
(processor time, all threads) and their ratio. The trend does more (robust rounds, priors, slow swings, the search
for a shift, ranks, outlook), so a ratio near 1 is the aim: a screen should not wait for it.
"""

import sys
import time
import warnings

import numpy as np
import pandas as pd
from statsmodels.regression.mixed_linear_model import MixedLM
from statsmodels.tools.sm_exceptions import ConvergenceWarning

from rideready.recovery.trend import recovery_trend
from tests.support.recovery_tables import RIDER, Autumn, autumn_table

N_SEASONS = 40


def reference(table: pd.DataFrame) -> None:
    """Fit level, slope and start by statsmodels, one random effect a session."""
    week = (table["start_utc"] - table["start_utc"].min()).dt.total_seconds() / (7 * 86_400)
    design = np.column_stack([np.ones(len(table)), week, table["peak_bpm"] / 10 - 16])
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore", ConvergenceWarning
        )  # its own optimiser at times; the time counts all the same
        MixedLM(table["hrr60_bpm"].to_numpy(), design, groups=table["session_id"].to_numpy()).fit(reml=True)


def main() -> None:
    """Print both times and their ratio."""
    rng = np.random.default_rng(0)
    tables = [autumn_table(rng, Autumn(is_uneven=True)) for _ in range(N_SEASONS)]
    seconds = []
    for work in (lambda table: recovery_trend(table, RIDER), reference):
        work(tables[0])  # imports and first calls are not the question
        start = time.process_time()
        for table in tables:
            work(table)
        seconds.append(time.process_time() - start)
    ours, theirs = (1e3 * s / N_SEASONS for s in seconds)
    sys.stdout.write(
        f"trend {ours:.0f} ms, statsmodels MixedLM {theirs:.0f} ms a season; ratio {ours / theirs:.2f}\n"
    )


if __name__ == "__main__":
    main()
