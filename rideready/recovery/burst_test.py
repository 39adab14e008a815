"""Score a repeat-burst test: 45 s hard, 60 s still, again and again, as a ride goes.

Ours, without published norms: it compares with the rider's own history only. Three figures come out of
it: the median drop in 45 s, its change from burst to burst, and the pulse at which the bursts begin.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from rideready.model.clean import CleanSignal
from rideready.model.fieldtest import Burst, Counting, FieldTest, FieldTestResult, Figure, Measure
from rideready.model.reason import Reason, because
from rideready.model.recovery import Effort, Evidence, Mode
from rideready.model.session import FloatArray
from rideready.recovery.efforts import find_efforts
from rideready.recovery.indices import Reading, drop_after, level_at
from rideready.recovery.stepping import HARD_DELAY_S
from rideready.recovery.stops import mode_after
from rideready.recovery.turns import smooth_5s

#: The protocol: seconds hard, seconds still, and both.
HARD_S, STILL_S = 45.0, 60.0
APART_S = HARD_S + STILL_S
#: The drop is read this long after each burst, s: before the next one, with room for a late start.
READ_AT_S = 45.0
#: Ends of bursts lie this close to the protocol's spacing, s; one burst in between may be missing.
SPACING_WITHIN_S, MOST_MISSING = 20.0, 1
#: The test takes at least so many bursts, and a change from burst to burst one more (ours).
LEAST_BURSTS, LEAST_FOR_CHANGE = 3, 4
#: In its 45 s a burst raises the pulse by at least this, bpm; the end of a steady warm-up does not.
LEAST_RISE_BPM = 10.0
#: A spacing off by more than this is said, s.
EVEN_WITHIN_S = 8.0


@dataclass(frozen=True, slots=True)
class _Placed:
    order: int
    effort: Effort
    stop_s: float


def read_burst_test(signal: CleanSignal) -> FieldTestResult:
    """Score a repeat-burst test from a recording.

    Parameters
    ----------
    signal
        Clean signal of the session, from `rideready.signal.clean.clean`.

    Returns
    -------
    FieldTestResult
        Median drop in 45 s with its 95 % interval, its change from burst to burst with its own, and the
        median pulse at the start of the second and later bursts; no figures, with a reason, where fewer
        than three bursts are found.

    References
    ----------
    None: the test is this program's own. Least squares and Student's interval of the slope: any textbook.
    """
    row = _longest_row([effort for effort in find_efforts(signal) if _is_burst(signal, effort)])
    if len(row) < LEAST_BURSTS:
        few = because("fieldtest.too_few_bursts", found=float(len(row)), least=float(LEAST_BURSTS))
        return FieldTestResult(
            FieldTest.BURSTS, Counting.RECORDING, (), was_by_protocol=False, reasons=(few,)
        )
    placed = _place(row)
    bursts = tuple(_measure(signal, burst) for burst in placed)
    off = _off_protocol(signal, placed)
    figures, limits = _figures(bursts)
    return FieldTestResult(
        test=FieldTest.BURSTS,
        counting=Counting.RECORDING,
        figures=figures,
        bursts=bursts,
        stop_s=placed[-1].stop_s,
        was_by_protocol=not off and bool(figures),
        reasons=(*off, *limits, because("fieldtest.own_history_only")),
    )


def _is_burst(signal: CleanSignal, effort: Effort) -> bool:
    """Say whether the pulse rose in the effort's last 45 s; where that was not recorded, it may have."""
    smooth = smooth_5s(signal.hr_bpm)
    before = smooth[max(int(effort.knee_s - HARD_S), 0)]
    return not effort.peak_bpm - before < LEAST_RISE_BPM


def _longest_row(efforts: list[Effort]) -> list[tuple[int, Effort]]:
    """Return the longest run of efforts spaced as the test asks, each with its order."""
    best: list[tuple[int, Effort]] = []
    row: list[tuple[int, Effort]] = []
    for effort in efforts:
        steps = _steps_between(row[-1][1], effort) if row else None
        row = [(1, effort)] if steps is None else [*row, (row[-1][0] + steps, effort)]
        best = max(best, row, key=len)
    return best


def _steps_between(one: Effort, other: Effort) -> int | None:
    """Return how many bursts apart two efforts are; None if they are not spaced as the test asks."""
    apart_s = other.end_s - one.end_s
    steps = max(round(apart_s / APART_S), 1)
    fits = abs(apart_s - steps * APART_S) <= SPACING_WITHIN_S and steps <= 1 + MOST_MISSING
    return steps if fits else None


def _place(row: list[tuple[int, Effort]]) -> list[_Placed]:
    """Say where each burst stopped.

    Power or cadence tell it. The pulse alone tells it late by a different delay each time; a test run by
    the clock has its stops evenly spaced, so the delays are averaged over all bursts.
    """
    if any(effort.evidence is not Evidence.HEART_RATE for _, effort in row):
        return [_Placed(order, effort, effort.end_s) for order, effort in row]
    orders = np.array([order for order, _ in row], dtype=float)
    ends = np.array([effort.end_s for _, effort in row])
    spacing, first = np.polynomial.polynomial.polyfit(orders, ends, 1)[::-1]
    if abs(spacing - APART_S) <= 3.0:
        # Within what the delays can do the clock's own spacing is the better guess.
        spacing, first = APART_S, float(np.mean(ends - APART_S * orders))
    return [_Placed(order, effort, float(first + spacing * order - HARD_DELAY_S)) for order, effort in row]


def _measure(signal: CleanSignal, placed: _Placed) -> Burst:
    since_s = signal.raw_t_s - placed.stop_s
    window = (since_s >= 0) & (since_s <= STILL_S)
    level = level_at(since_s[window], signal.raw_hr_bpm[window], READ_AT_S) if window.any() else None
    drop = drop_after(Reading(placed.effort.peak_bpm, placed.effort.peak_se_bpm), level)
    return Burst(
        order=placed.order,
        end_s=placed.stop_s,
        start_bpm=_start_pulse(signal, placed.stop_s - HARD_S),
        peak_bpm=placed.effort.peak_bpm,
        hrr45_bpm=None if drop is None else drop.value,
        hrr45_se_bpm=None if drop is None else drop.se,
    )


def _start_pulse(signal: CleanSignal, start_s: float) -> float | None:
    """Return the mean of the 5 s before a burst, bpm; None if fewer than 3 of them are known."""
    before = (signal.t_s > start_s - 5.0) & (signal.t_s <= start_s)
    values = signal.hr_bpm[before]
    known = values[np.isfinite(values)]
    return float(known.mean()) if known.size >= 3 else None


def _off_protocol(signal: CleanSignal, placed: list[_Placed]) -> list[Reason]:
    """Say what the recording shows that differs from the protocol."""
    found = []
    missing = placed[-1].order - placed[0].order + 1 - len(placed)
    if missing:
        found.append(because("fieldtest.burst_missing", missing=float(missing)))
    stops = np.array([burst.stop_s for burst in placed])
    orders = np.array([burst.order for burst in placed])
    apart = np.diff(stops) / np.diff(orders)
    if np.abs(apart - APART_S).max() > EVEN_WITHIN_S:
        found.append(
            because(
                "fieldtest.bursts_uneven",
                shortest=float(apart.min()),
                longest=float(apart.max()),
                asked=APART_S,
            )
        )
    modes = [mode_after(signal, burst.stop_s, window_s=STILL_S - 5.0) for burst in placed]
    if modes.count(Mode.MOVING) > len(modes) / 2:
        found.append(because("fieldtest.moved_on"))
    return found


def _figures(bursts: tuple[Burst, ...]) -> tuple[tuple[Figure, ...], list[Reason]]:
    """Return the three figures, as far as they can be had, and what limits them."""
    read = [(burst.order, burst.hrr45_bpm) for burst in bursts if burst.hrr45_bpm is not None]
    limits = []
    if len(read) < len(bursts):
        unread = float(len(bursts) - len(read))
        limits.append(because("fieldtest.burst_unread", unread=unread, found=float(len(bursts))))
    if len(read) < LEAST_BURSTS:
        return (), limits
    orders = np.array([order for order, _ in read], dtype=float)
    drops = np.array([drop for _, drop in read])
    figures = [_median(Measure.DROP_45, drops)]
    if len(read) >= LEAST_FOR_CHANGE:
        figures.append(_change(orders, drops))
    else:
        limits.append(because("fieldtest.no_burst_slope", least=float(LEAST_FOR_CHANGE)))
    starts = [b.start_bpm for b in bursts if b.start_bpm is not None and b.order > bursts[0].order]
    if len(starts) >= 2:
        figures.append(_median(Measure.START_PULSE, np.array(starts)))
    return tuple(figures), limits


def _median(measure: Measure, values: FloatArray) -> Figure:
    """Return the median with Student's interval from the spread around it.

    A median of normal values varies by the square root of pi / 2 more than their mean.
    """
    centre = float(np.median(values))
    se = float(np.sqrt(np.pi / 2) * values.std(ddof=1) / np.sqrt(values.size))
    half = float(stdtrit(values.size - 1, 0.975)) * se
    return Figure(measure, centre, centre - half, centre + half)


def _change(orders: FloatArray, drops: FloatArray) -> Figure:
    """Return the least-squares slope over the bursts with Student's 95 % interval, bpm a burst."""
    centred = orders - orders.mean()
    spread = float(centred @ centred)
    slope = float(centred @ drops) / spread
    residual = drops - drops.mean() - slope * centred
    se = float(np.sqrt(residual @ residual / (orders.size - 2) / spread))
    half = float(stdtrit(orders.size - 2, 0.975)) * se
    return Figure(Measure.DROP_45_CHANGE, slope, slope - half, slope + half)
