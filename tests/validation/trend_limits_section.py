"""What may mislead the trend: seasons that are not steady though nothing is gained, and sudden shifts.

``python -m tests.validation.report --only trend_limits_section`` measures it (about two minutes of processor time).
"""

from tests.support.recovery_tables import Autumn
from tests.support.trend_rates import rates
from tests.validation.section import Section, percent

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


def section(*, draws: int = 600) -> Section:
    """Write the section.

    Parameters
    ----------
    draws
        Each kind of season takes a quarter of them.

    Returns
    -------
    Section
        Two tables.
    """
    fewer = max(draws // 4, 4)
    return Section("\n\n".join(["## What may mislead the trend", _nuisances(fewer), _shifts(fewer)]) + "\n")


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
        lines.append(f"| {name} | {' | '.join(percent(share, draws) for share in shares)} |")
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
        lines.append(f"| {name} | {' | '.join(percent(share, draws) for share in shares)} |")
    return "\n".join(lines)
