"""How often the trend says what, over many invented autumns of one kind."""

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from rideready.model.trend import Trend, Verdict
from rideready.recovery.rank_trend import kendall
from rideready.recovery.trend import recovery_trend
from tests.support.recovery_tables import RIDER, Autumn, autumn_table

#: Sensor noise, mixed intensities, uneven weeks, one week lost; nothing changes.
NO_CHANGE = Autumn(is_uneven=True, reserve_sd=0.08, reserve_session_sd=0.06, lost_weeks=(6,))
#: Three sessions a week for twelve weeks, four recoveries each; 6 bpm from the first session to the last.
GAIN = Autumn(gain=6 * 84 / 81)
#: Only the efforts get harder, from 68 to 90 % of the reserve.
HARDER = Autumn(reserve_first=0.68, reserve_last=0.90)

_CAUTIONS = {"trend.slow_swings", "trend.maybe_swings", "trend.maybe_sudden"}


@dataclass(frozen=True, slots=True)
class Rates:
    """Shares of the autumns, 0 to 1, and means over them.

    ``uncautioned`` counts either verdict where no reason says that it may be a swing or a sudden change.
    ``holds_truth`` is how often the interval holds the true change per week, ``plain_faster`` and
    ``plain_slower`` how often session medians of the drop as measured rise or fall by Kendall's test at 5 %.
    """

    n: int
    faster: float
    slower: float
    unclear: float
    too_few: float
    uncautioned: float
    step: float
    spell: float
    holds_truth: float
    plain_faster: float
    plain_slower: float
    half_width: float

    @property
    def changed(self) -> float:
        """Share with either verdict."""
        return self.faster + self.slower


def rates(autumn: Autumn, n: int, *, seed: int) -> Rates:
    """Draw autumns of one kind and count what the trend makes of them."""
    rng = np.random.default_rng(seed)
    tables = [autumn_table(rng, autumn) for _ in range(n)]
    trends = [recovery_trend(table, RIDER) for table in tables]
    fitted = [t for t in trends if t.low is not None and t.high is not None]
    plain = [_plain_sign(table) for table in tables]
    truth = autumn.gain / autumn.weeks
    return Rates(
        n=n,
        faster=_share(trends, Verdict.FASTER),
        slower=_share(trends, Verdict.SLOWER),
        unclear=_share(trends, Verdict.NO_CLEAR_CHANGE),
        too_few=_share(trends, Verdict.TOO_FEW),
        uncautioned=float(np.mean([_is_uncautioned(t) for t in trends])),
        step=float(np.mean([t.shift is not None and t.shift.until_day is None for t in trends])),
        spell=float(np.mean([t.shift is not None and t.shift.until_day is not None for t in trends])),
        holds_truth=_mean([float((t.low or 0) <= truth <= (t.high or 0)) for t in fitted]),
        plain_faster=float(np.mean([sign > 0 for sign in plain])),
        plain_slower=float(np.mean([sign < 0 for sign in plain])),
        half_width=_mean([((t.high or 0) - (t.low or 0)) / 2 for t in fitted]),
    )


def gaining(gain: float, *, per_week: float, weeks: int = 12) -> Autumn:
    """Describe an autumn with so much gain in bpm over it and so many sessions a week."""
    return replace(Autumn(), gain=gain, sessions_per_week=per_week, weeks=weeks)


def _is_uncautioned(trend: Trend) -> bool:
    is_called = trend.direction in {Verdict.FASTER, Verdict.SLOWER}
    return is_called and not _CAUTIONS & {reason.code for reason in trend.reasons}


def _share(trends: list[Trend], verdict: Verdict) -> float:
    return float(np.mean([t.direction is verdict for t in trends]))


def _mean(values: list[float]) -> float:
    return float(np.mean(values)) if values else float("nan")


def _plain_sign(table: pd.DataFrame) -> int:
    """Which way the session medians as measured go by Kendall's test, 0 for neither."""
    found = kendall(table.groupby("session_id")["hrr60_bpm"].median().to_numpy())
    return int(np.sign(found.s)) if found.p < 0.05 else 0
