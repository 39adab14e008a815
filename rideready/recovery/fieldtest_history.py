"""A field test beside the rider's earlier ones, and whether it changed by more than it varies by itself.

The typical error comes from the rider's own tests, as the spread of the steps from one to the next: a
steady gain is common to all steps and drops out. Few steps know it badly, so Student's factor stands in
for 1.96.
"""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from rideready.model.fieldtest import FieldTestResult, Figure, Measure
from rideready.model.fieldtest_history import Change, DatedResult, Direction, HistoryComparison
from rideready.model.reason import Reason, because
from rideready.recovery.typical_error import minimal_detectable_change, typical_error

#: Earlier tests it takes to know how much the figure varies by itself.
LEAST_EARLIER = 4
_Z95 = 1.96
#: Figures that rest on where and how fast the pulse falls; they also speed up in overreaching.
_DROPS = frozenset(
    {Measure.DROP_45, Measure.DROP_60, Measure.MINUTE_COUNT, Measure.RECOVERY_PULSE, Measure.FITNESS_INDEX}
)


@dataclass(frozen=True, slots=True)
class _Error:
    """Typical error of one test, and the factor that makes it a detectable change."""

    value: float
    factor: float

    def detectable(self, n_before: int) -> float:
        """Change of one test from the median of ``n_before`` that stands out with 95 % confidence."""
        one_to_one = minimal_detectable_change(self.value) * self.factor / _Z95
        # The median of n varies like the mean of 2 n / pi (normal errors).
        fewer = max(n_before * 2 / np.pi, 1.0)
        return one_to_one * float(np.sqrt((1 + 1 / fewer) / 2))


def compare_with_earlier(
    now: DatedResult, earlier: Iterable[DatedResult], *, known_error: float | None = None
) -> HistoryComparison:
    """Compare a test with the rider's earlier ones of the same kind.

    ``MDC = t * sqrt(2) * TE`` between two tests, with ``TE`` the SD of the steps between tests in a row
    over ``sqrt(2)``. It misleads where tests differ in box, sleep, heat or hour of the day.

    Parameters
    ----------
    now
        The test in question.
    earlier
        The rider's other tests, in any order; those of another kind, of a later day, without a figure
        or off the protocol are left out.
    known_error
        Typical error of one test, if it is known from elsewhere, in the unit of the main figure.

    Returns
    -------
    HistoryComparison
        Against the last one and against the median of all; directions only where they stand out.

    References
    ----------
    Hopkins 2000, Sports Med 30:1-15.
    """
    figure = now.result.main
    if figure is None:
        return HistoryComparison(None, None, None, None, 0, now.result.reasons)
    alike = sorted((e for e in earlier if _is_alike(e, now)), key=lambda e: e.day)
    kept = [e for e in alike if e.result.was_by_protocol]
    reasons = _conditions(now, kept, left_out=len(alike) - len(kept))
    if not kept:
        reasons.insert(0, because("fieldtest.first_one"))
        return HistoryComparison(figure.measure, None, None, known_error, 0, tuple(reasons))
    values = np.array([_value(e.result) for e in kept])
    error = _typical_error(values, known_error)
    last = _change(kept[-1].day, values[-1:], figure.value, error)
    usual = _change(kept[0].day, values, figure.value, error)
    said = _say(figure, usual, len(kept), error)
    if error is None and _is_within_reading_error(figure, kept[-1].result.main):
        said.append(because("fieldtest.within_measuring_error"))
    return HistoryComparison(
        measure=figure.measure,
        from_last=last,
        from_usual=usual,
        typical_error=None if error is None else error.value,
        n_earlier=len(kept),
        reasons=(*said, *reasons),
    )


def _is_alike(one: DatedResult, now: DatedResult) -> bool:
    main = one.result.main
    return (
        one.result.test is now.result.test
        and one.day < now.day
        and main is not None
        and now.result.main is not None
        and main.measure is now.result.main.measure
    )


def _value(result: FieldTestResult) -> float:
    return float("nan") if result.main is None else result.main.value


def _typical_error(values: Sequence[float] | np.ndarray, known_error: float | None) -> _Error | None:
    """Return the typical error as known, else from the steps between the tests; None if too few."""
    if known_error is not None:
        return _Error(known_error, _Z95)
    if len(values) < LEAST_EARLIER:
        return None
    # Neighbouring steps share a test, yet with one degree of freedom less than steps a change is called
    # in 3 to 5 % of simulated histories without any (measured for 4 to 20 earlier tests).
    steps = len(values) - 1
    return _Error(typical_error(values[:-1], values[1:]), float(stdtrit(steps - 1, 0.975)))


def _change(since: dt.date, before: np.ndarray, now: float, error: _Error | None) -> Change:
    middle = float(np.median(before))
    detectable = None if error is None else error.detectable(before.size)
    direction = Direction.NOT_YET
    if detectable is not None:
        direction = Direction.NO_CLEAR_CHANGE
        if abs(now - middle) > detectable:
            direction = Direction.UP if now > middle else Direction.DOWN
    return Change(since, middle, now, detectable, direction)


def _say(figure: Figure, usual: Change, n_earlier: int, error: _Error | None) -> list[Reason]:
    if error is None or usual.detectable is None:
        return [because("fieldtest.error_unknown", least=float(LEAST_EARLIER))]
    is_clear = usual.direction in {Direction.UP, Direction.DOWN}
    said = [
        because(
            "fieldtest.changed" if is_clear else "fieldtest.not_changed",
            measure=figure.measure.value.capitalize(),
            now=_shown(usual.now, figure.measure),
            before=_shown(usual.before, figure.measure),
            detectable=_shown(usual.detectable, figure.measure),
            n=float(n_earlier),
        )
    ]
    if is_clear and figure.measure in _DROPS:
        is_better = (usual.direction is Direction.UP) == (figure.measure.fitter_is > 0)
        said.append(because("fieldtest.overreaching" if is_better else "fieldtest.slower_caution"))
    return said


def _shown(value: float, measure: Measure) -> str:
    return f"{value:.0f} {measure.unit}".strip()


def _is_within_reading_error(one: Figure, other: Figure | None) -> bool:
    """Say whether two figures differ by no more than their own intervals let them."""
    halves = [_half_width(one), None if other is None else _half_width(other)]
    if other is None or halves[0] is None or halves[1] is None:
        return False
    return abs(one.value - other.value) <= float(np.hypot(halves[0], halves[1]))


def _half_width(figure: Figure) -> float | None:
    if figure.low is None or figure.high is None:
        return None
    return (figure.high - figure.low) / 2


def _conditions(now: DatedResult, kept: list[DatedResult], *, left_out: int) -> list[Reason]:
    """Say what keeps the tests from being alike."""
    found = []
    if not now.result.was_by_protocol:
        found.append(because("fieldtest.off_protocol_now"))
    if left_out:
        found.append(because("fieldtest.off_protocol_before", n=float(left_out)))
    if len({e.result.counting for e in [now, *kept]}) > 1:
        found.append(because("fieldtest.counting_differs"))
    if len({e.device for e in [now, *kept] if e.device is not None}) > 1:
        found.append(because("fieldtest.device_differs"))
    return found
