"""The trend's part of the validation report: false alarms, power, confounders, shifts.

``python -m tests.validation.trend_section`` prints it (about six minutes of processor time);
``--draws 100`` draws fewer autumns. Every figure is a share of invented autumns
(``tests/support/recovery_tables.py``) with fixed seeds; the generator draws curves, not the model.
"""

import argparse
import sys
from collections.abc import Iterator

from scipy.stats import nct, t

from tests.support.recovery_tables import Autumn
from tests.support.trend_rates import GAIN, HARDER, NO_CHANGE, gaining, rates

#: What an autumn may do to a trend that must not call it a change, the three of the requirement aside.
NUISANCES: dict[str, Autumn] = {
    "one recovery in twelve three times as far out": Autumn(is_uneven=True, heavy_tails=True),
    "two sessions in five spent moving on": Autumn(is_uneven=True, moving_share=0.4),
    "second recorder half-way, reads 4 bpm more": Autumn(second_recorder_from=42, recorder_bias=4),
    "second recorder half-way, reads 8 bpm more": Autumn(second_recorder_from=42, recorder_bias=8),
    "efforts from 75 to 95 %, falls in two phases near the maximum": Autumn(
        reserve_first=0.75, reserve_last=0.95, slow_share=0.35
    ),
    "5 weeks, two sessions each": Autumn(weeks=5, sessions_per_week=2),
    "day's level with a memory of 3 days": Autumn(memory_days=3),
    "day's level with a memory of 7 days": Autumn(memory_days=7),
}
SHIFTS: dict[str, Autumn] = {
    **{f"step of {size} bpm down half-way": Autumn(step=-size, step_day=42) for size in (8, 12, 16)},
    **{
        f"twelve days {size} bpm lower": Autumn(step=-size, step_day=35, step_until=46)
        for size in (8, 12, 16)
    },
}
GAINS_BPM, PER_WEEK = (3, 4, 6, 8), (2, 3, 5)


def section(*, draws: int = 1000) -> str:
    """Write the section.

    Parameters
    ----------
    draws
        Autumns for each of the three required rates; the other tables take fewer.

    Returns
    -------
    str
        Markdown, from a second-level heading on.
    """
    return "\n\n".join(_parts(draws)) + "\n"


def _parts(draws: int) -> Iterator[str]:
    """Give heading and tables one after the other, as they are ready."""
    yield "## Trend"
    yield _required(draws)
    yield _nuisances(max(draws * 3 // 10, 10))
    yield _shifts(max(draws // 5, 10))
    yield _frontier(max(draws * 2 // 5, 10))


def _required(draws: int) -> str:
    kinds = (NO_CHANGE, GAIN, gaining(6, per_week=3), HARDER)
    null, gain, slower_gain, harder = (
        rates(kind, draws, seed=seed) for seed, kind in enumerate(kinds, start=1)
    )
    rows = [
        ("no change: false faster or slower", "at most 5 %", null.changed, null),
        ("6 bpm from first to last session (81 days): faster", "at least 80 %", gain.faster, gain),
        ("6 bpm over all 84 days: faster", "at least 80 %", slower_gain.faster, slower_gain),
        ("efforts from 68 to 90 % of the reserve: no clear change", "at least 95 %", harder.unclear, harder),
    ]
    lines = [
        (
            f"{draws} autumns each: 12 weeks, 3 sessions a week (uneven and one week lost under no change), 4 recoveries "
            "a session, SD 3 bpm from day to day and 4 bpm within a session. ± is one binomial standard error."
        ),
        "",
        "| season | wanted | found | interval holds the truth | plain medians cry faster |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name, wanted, share, found in rows:
        lines.append(
            f"| {name} | {wanted} | {_percent(share, found.n)} | {_percent(found.holds_truth, found.n)} "
            f"| {_percent(found.plain_faster, found.n)} |"
        )
    lines += [
        "",
        (
            "The exact t test on session means, with nothing to adjust for and no shift to look for, calls these "
            f"gains in {100 * _ideal_power(6 / 81 * 7):.1f} and {100 * _ideal_power(0.5):.1f} % (noncentral t): "
            "the second is out of reach with this little data."
        ),
    ]
    return "\n".join(lines)


def _ideal_power(slope_bpm_per_week: float) -> float:
    """Power of the exact t test on 36 session means of variance 3^2 + 4^2 / 4 (noncentral t)."""
    weeks = [(7 * week + day) / 7 for week in range(12) for day in (0, 2, 4)]
    middle = sum(weeks) / 36
    off = slope_bpm_per_week * (sum((w - middle) ** 2 for w in weeks) / 13) ** 0.5
    return float(nct.sf(t.ppf(0.975, 34), 34, off))


def _nuisances(draws: int) -> str:
    lines = [
        (
            f"Nothing changes but what is named, {draws} autumns each. Where the day's level has a memory for longer than "
            "the gap between sessions, a season of swings looks like a trend to any method; the figures say how much of "
            "that is left."
        ),
        "",
        "| season | faster | slower | either, without a caution | too few | shift called | interval holds the truth |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for k, (name, autumn) in enumerate(NUISANCES.items()):
        found = rates(autumn, draws, seed=20 + k)
        shares = (
            found.faster,
            found.slower,
            found.uncautioned,
            found.too_few,
            found.step + found.spell,
            found.holds_truth,
        )
        lines.append(f"| {name} | {' | '.join(_percent(share, draws) for share in shares)} |")
    return "\n".join(lines)


def _shifts(draws: int) -> str:
    lines = [
        f"Sudden shifts and no trend, {draws} autumns each. A shift is called at 1 % for the whole search.",
        "",
        "| season | shift called | faster | slower | either, without a caution | plain medians cry slower |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for k, (name, autumn) in enumerate(SHIFTS.items()):
        found = rates(autumn, draws, seed=40 + k)
        shares = (found.step + found.spell, found.faster, found.slower, found.uncautioned, found.plain_slower)
        lines.append(f"| {name} | {' | '.join(_percent(share, draws) for share in shares)} |")
    return "\n".join(lines)


def _frontier(draws: int) -> str:
    lines = [
        f"Power against gain and sessions: share called faster, {draws} autumns each, 4 recoveries a session; the gain is spread over 84 days.",
        "",
        f"| gain over 12 weeks | {' | '.join(f'{n} sessions a week' for n in PER_WEEK)} |",
        f"| --- | {' | '.join('---' for _ in PER_WEEK)} |",
    ]
    for gain in GAINS_BPM:
        cells = [rates(gaining(gain, per_week=n), draws, seed=60 + 10 * gain + n).faster for n in PER_WEEK]
        lines.append(f"| {gain} bpm | {' | '.join(_percent(cell, draws) for cell in cells)} |")
    return "\n".join(lines)


def _percent(share: float, n: int) -> str:
    return f"{100 * share:.1f} ± {100 * (share * (1 - share) / n) ** 0.5:.1f} %"


def main() -> None:
    """Print the section, each table as soon as it is there."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=1000, help="autumns for each required rate")
    for part in _parts(parser.parse_args().draws):
        sys.stdout.write(part + "\n\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
