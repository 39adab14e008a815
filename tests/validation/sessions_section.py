"""Whole sessions: which ends of efforts are found, how exact the figures are, and what a grade is worth.

``python -m tests.validation.report --only sessions_section`` measures it (about three minutes of processor time).
Sessions are those of ``tests/support/varied_sessions.py``.
"""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from rideready.model.recovery import Evidence, Grade
from tests.support.varied_sessions import CLEAR_DROP_BPM, SENSORS, Match, Outcome, varied_outcome
from tests.validation.section import Section, percent

Floats = npt.NDArray[np.float64]
Figure = Callable[[Match], float]

GRADES = (Grade.GOOD, Grade.FAIR, Grade.ROUGH)
RESAMPLES = 1000
PULSE = {Evidence.HEART_RATE}
CHANNELS = set(Evidence) - PULSE


def drop_error_bpm(match: Match) -> float:
    """Distance of the one-minute drop from the heart's own since the stop, the definition of the literature."""
    found, true = match.found, match.truth.hrr60_bpm
    return (
        float("nan")
        if found is None or found.hrr60_bpm is None or true is None
        else abs(found.hrr60_bpm - true)
    )


def seen_drop_error_bpm(match: Match) -> float:
    """Distance from the heart's own drop since the moment that was found: the knee where only the pulse tells."""
    found = match.found
    return (
        float("nan")
        if found is None or found.hrr60_bpm is None
        else abs(found.hrr60_bpm - match.seen_drop_bpm)
    )


def tau_error(match: Match) -> float:
    """Relative distance of tau from that of the fall's first phase."""
    found = match.found
    return (
        float("nan") if found is None or found.tau_s is None else abs(found.tau_s / match.truth.tau_s - 1.0)
    )


def holds_tau(match: Match) -> float:
    """1 if the interval holds tau, else 0; NaN without one."""
    found = match.found
    if found is None or found.tau_low_s is None or found.tau_high_s is None:
        return float("nan")
    return float(found.tau_low_s <= match.truth.tau_s <= found.tau_high_s)


def holds_drop(match: Match) -> float:
    """1 if 1.96 standard errors hold the drop since the moment that was found, else 0; NaN without one."""
    found = match.found
    if found is None or found.hrr60_bpm is None or found.hrr60_se_bpm is None:
        return float("nan")
    off = abs(found.hrr60_bpm - match.seen_drop_bpm)
    return float("nan") if np.isnan(off) else float(off <= 1.96 * found.hrr60_se_bpm)


def mean_with_interval(
    outcomes: Sequence[Outcome], figure: Figure, kept: Callable[[Match], bool]
) -> tuple[int, float, float, float]:
    """Give number, mean and 95 % bootstrap interval of a figure, drawing sessions whole: theirs belong together."""
    sums = np.array(
        [
            (np.nansum(values), np.isfinite(values).sum())
            for outcome in outcomes
            if (values := np.array([figure(m) for m in outcome.matches if kept(m)], dtype=float)).size
        ]
    ).reshape(-1, 2)
    draws = np.random.default_rng(1).integers(0, len(sums), size=(RESAMPLES, len(sums)))
    total = sums[draws].sum(axis=1)
    low, high = np.quantile(total[:, 0] / np.maximum(total[:, 1], 1), [0.025, 0.975])
    return int(sums[:, 1].sum()), float(sums[:, 0].sum() / sums[:, 1].sum()), float(low), float(high)


def has_grade(grade: Grade) -> Callable[[Match], bool]:
    """Keep what was found with a grade."""
    return lambda match: match.found is not None and match.found.grade == grade


def section(*, draws: int = 600) -> Section:
    """Write the section.

    Parameters
    ----------
    draws
        Two sessions are simulated for every three of them.

    Returns
    -------
    Section
        Tables of detection, coverage and grades.
    """
    outcomes = [varied_outcome(seed) for seed in range(max(draws * 2 // 3, 20))]
    parts = [
        "## Whole sessions",
        (
            f"{len(outcomes)} simulated sessions (bike and circuit, intervals, bursts, ride test, hill runs, strength), with"
            " hearts, sensors and faults drawn at random; two in five recorded the pulse alone. Unlike the recoveries"
            " above, these come with drift, two-phase falls near the maximum, and riders who stand and then walk."
        ),
        _detection(outcomes),
        _coverage(outcomes),
        _grades(outcomes),
    ]
    return Section("\n\n".join(parts) + "\n")


def detection(outcomes: Sequence[Outcome]) -> tuple[float, float, list[Match]]:
    """Recall, precision and hits for true drops of at least 15 bpm."""
    clear = [m for o in outcomes for m in o.matches if m.true_drop_bpm >= CLEAR_DROP_BPM]
    hits = [m for m in clear if m.found is not None]
    n_extra = sum(o.n_extra for o in outcomes)
    return len(hits) / len(clear), len(hits) / (len(hits) + n_extra), hits


def _detection(outcomes: Sequence[Outcome]) -> str:
    lines = [
        (
            f"Ends of efforts: true drops of at least {CLEAR_DROP_BPM:.0f} bpm in a minute must be found; every other end"
            " found is false. A channel tells the stop itself, the pulse alone only where it begins to fall."
        ),
        "",
        "| sensor | recall | precision | within 5 s of the stop, by a channel | within 5 s of the knee, by the pulse |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name in (*SENSORS, "all"):
        of_kind = [o for o in outcomes if name in {o.sensor, "all"}]
        recall, precision, hits = detection(of_kind)
        shares = []
        for evidence in (CHANNELS, PULSE):
            kept = _was_seen(name, evidence)
            errors = np.array([m.end_error_s for m in hits if kept(m)])
            shares.append(
                percent(float(np.mean(np.abs(errors) <= 5)), errors.size) if errors.size else "none"
            )
        lines.append(
            f"| {name} | {percent(recall, len(hits))} | {percent(precision, len(hits))} | {' | '.join(shares)} |"
        )
    return "\n".join(lines)


def _was_seen(sensor: str, evidence: set[Evidence]) -> Callable[[Match], bool]:
    """Keep what one sensor, or all, found by some kinds of evidence."""
    return lambda match: (
        sensor in {match.sensor, "all"} and match.found is not None and match.found.evidence in evidence
    )


def _coverage(outcomes: Sequence[Outcome]) -> str:
    lines = [
        (
            "How often intervals hold the truth in whole sessions: tau of the first phase, and the drop in the minute from"
            " the moment that was found. Where only the pulse was recorded nobody sees a rider walk off, and tau of a long"
            " window is that of two falls."
        ),
        "",
        "| sensor, what was recorded | tau held | drop held | mean error of drop |",
        "| --- | --- | --- | --- |",
    ]
    for name in SENSORS:
        for what, evidence in (("a channel tells the stop", CHANNELS), ("pulse alone", PULSE)):
            kept = _was_seen(name, evidence)
            n_tau, tau, tau_low, tau_high = mean_with_interval(outcomes, holds_tau, kept)
            _, drop, drop_low, drop_high = mean_with_interval(outcomes, holds_drop, kept)
            _, error, low, high = mean_with_interval(outcomes, seen_drop_error_bpm, kept)
            lines.append(
                f"| {name}, {what} ({n_tau}) | {100 * tau:.0f} ({100 * tau_low:.0f} to {100 * tau_high:.0f}) %"
                f" | {100 * drop:.0f} ({100 * drop_low:.0f} to {100 * drop_high:.0f}) %"
                f" | {error:.1f} ({low:.1f} to {high:.1f}) bpm |"
            )
    return "\n".join(lines)


def _grades(outcomes: Sequence[Outcome]) -> str:
    lines = [
        (
            "Grade against error: means with 95 % intervals, sessions drawn whole. The drop is first compared with the"
            " heart's own since the stop, which is what the literature calls the drop, then with that since the moment"
            " that was found: a pulse alone shows its own fall well, but not how long it waited. Drops of rough"
            " recoveries exist only where the window has a minute. The criteria were set on 400 other sessions (seeds"
            " 2000 to 2399); these were looked at once before, with other criteria."
        ),
        "",
        "| grade | recoveries | error of drop since the stop | since the moment found | error of tau |",
        "| --- | --- | --- | --- | --- |",
    ]
    for grade in GRADES:
        kept = has_grade(grade)
        n = sum(kept(m) for o in outcomes for m in o.matches)
        cells = []
        for figure, scale, unit in (
            (drop_error_bpm, 1, "bpm"),
            (seen_drop_error_bpm, 1, "bpm"),
            (tau_error, 100, "%"),
        ):
            count, mean, low, high = mean_with_interval(outcomes, figure, kept)
            digits = 0 if unit == "%" else 2
            cells.append(
                f"{scale * mean:.{digits}f} ({scale * low:.{digits}f} to {scale * high:.{digits}f}) {unit}, n {count}"
            )
        lines.append(f"| {grade.value} | {n} | {' | '.join(cells)} |")
    return "\n".join(lines)
