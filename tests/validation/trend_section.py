"""The trend's part of the validation report: false alarms, power, the one confounder named in the requirement.

``python -m tests.validation.trend_section`` prints it (about three minutes of processor time);
``--draws 100`` draws fewer autumns. Every figure is a share of invented autumns
(``tests/support/recovery_tables.py``) with fixed seeds; the generator draws curves, not the model.
"""

import argparse
import sys

from scipy.stats import nct, t

from tests.support.trend_rates import GAIN, HARDER, NO_CHANGE, gaining, rates
from tests.validation.drawing import Axis, Line, line_chart
from tests.validation.section import Section, percent, standard_error

GAINS_BPM, PER_WEEK = (3, 4, 6, 8), (2, 3, 5)


def section(*, draws: int = 600) -> Section:
    """Write the section.

    Parameters
    ----------
    draws
        Autumns for each rate of a gain; five thirds of them without change, a quarter for the frontier.

    Returns
    -------
    Section
        With a drawing of power against gain.
    """
    fewer = max(draws // 4, 4)
    powers = powers_by_gain(fewer)
    parts = [
        "## Trend",
        _required(draws),
        _frontier(powers, fewer),
        "![Power of the verdict against the gain, by sessions a week](power.svg)",
    ]
    return Section("\n\n".join(parts) + "\n", {"power.svg": draw_power(powers, fewer)})


def powers_by_gain(draws: int) -> dict[int, dict[int, float]]:
    """Share of autumns called faster, by sessions a week and by gain in bpm."""
    return {
        n: {
            gain: rates(gaining(gain, per_week=n), draws, seed=60 + 10 * gain + n).faster
            for gain in GAINS_BPM
        }
        for n in PER_WEEK
    }


def draw_power(powers: dict[int, dict[int, float]], draws: int) -> str:
    """Draw the frontier: what must happen before a verdict is likely."""
    lines = [
        Line(
            f"{n} sessions a week",
            tuple((gain, 100 * p, 100 * standard_error(p, draws)) for gain, p in by_gain.items()),
        )
        for n, by_gain in powers.items()
    ]
    return line_chart(
        'Autumns called "faster"',
        Axis("gain over 12 weeks, bpm", (0, 2, 4, 6, 8, 10)),
        Axis("called, %", (0, 20, 40, 60, 80, 100)),
        lines,
        wanted=(80, 100),
    )


def _required(draws: int) -> str:
    null = rates(NO_CHANGE, draws * 5 // 3, seed=1)
    kinds = (GAIN, gaining(6, per_week=3), HARDER)
    gain, slower_gain, harder = (rates(kind, draws, seed=seed) for seed, kind in enumerate(kinds, start=2))
    rows = [
        ("no change: false faster or slower", "at most 5 %", null.changed, null),
        ("6 bpm from first to last session (81 days): faster", "at least 80 %", gain.faster, gain),
        ("6 bpm over all 84 days: faster", "at least 80 %", slower_gain.faster, slower_gain),
        ("efforts from 68 to 90 % of the reserve: no clear change", "at least 95 %", harder.unclear, harder),
    ]
    lines = [
        (
            f"{draws} autumns each, {null.n} without change: 12 weeks, 3 sessions a week (uneven and one week lost under no change), 4 recoveries "
            "a session, SD 3 bpm from day to day and 4 bpm within a session. ± is one binomial standard error."
        ),
        "",
        "| season | wanted | found | interval holds the truth | plain medians cry faster |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name, wanted, share, found in rows:
        lines.append(
            f"| {name} | {wanted} | {percent(share, found.n)} | {percent(found.holds_truth, found.n)} "
            f"| {percent(found.plain_faster, found.n)} |"
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


def _frontier(powers: dict[int, dict[int, float]], draws: int) -> str:
    lines = [
        f"Power against gain and sessions: share called faster, {draws} autumns each, 4 recoveries a session; the gain is spread over 84 days.",
        "",
        f"| gain over 12 weeks | {' | '.join(f'{n} sessions a week' for n in PER_WEEK)} |",
        f"| --- | {' | '.join('---' for _ in PER_WEEK)} |",
    ]
    for gain in GAINS_BPM:
        cells = [percent(powers[n][gain], draws) for n in PER_WEEK]
        lines.append(f"| {gain} bpm | {' | '.join(cells)} |")
    return "\n".join(lines)


def main() -> None:
    """Print the section."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=600, help="autumns for each required rate")
    sys.stdout.write(section(draws=parser.parse_args().draws).text)


if __name__ == "__main__":
    main()
