"""Why a trend says what it says, and what to beware of: reasons in the order a rider needs them."""

from collections.abc import Iterator
from dataclasses import dataclass

from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.trend import Trend, Verdict
from rideready.recovery.course import Course
from rideready.recovery.same_weeks import SameWeeks
from rideready.recovery.standardise import Comparable
from rideready.recovery.typical_error import minimal_detectable_change

#: Fewer sessions, or a shorter span, give no slope. Our choice; the false-alarm rate is measured down to it.
LEAST_SESSIONS, LEAST_WEEKS = 6, 3.0


@dataclass(frozen=True, slots=True, eq=False)
class Findings:
    """What there is to give reasons for.

    Parameters
    ----------
    trend
        The trend, its reasons still empty.
    recoveries
        What it rests on.
    beside
        Load and resting pulse of the same weeks; None without any session.
    rider
        For the caution about a medicine.
    course
        The fit behind it; None without any session.
    """

    trend: Trend
    recoveries: Comparable
    beside: SameWeeks | None
    rider: Rider
    course: Course | None


def reasons_of(findings: Findings) -> tuple[Reason, ...]:
    """Give the reasons: verdict, what else changed, sudden shifts, what it rests on, how many more.

    Parameters
    ----------
    findings
        A trend and what was found on the way.
    """
    return tuple(
        reason for part in (_verdict, _same_weeks, _sudden, _basis, _outlook) for reason in part(findings)
    )


def _verdict(findings: Findings) -> Iterator[Reason]:
    trend = findings.trend
    if not trend.n_sessions:
        yield because("trend.nothing")
        return
    low, high, change = trend.change_low_bpm, trend.change_high_bpm, trend.change_bpm
    if low is None or high is None or change is None or trend.minimal_detectable_bpm is None:
        yield because(
            "trend.too_few_sessions",
            sessions=_counted(trend.n_sessions, "session"),
            weeks=trend.weeks,
            least_sessions=LEAST_SESSIONS,
            least_weeks=LEAST_WEEKS,
        )
    elif trend.direction is Verdict.FASTER:
        yield because("trend.faster", change=change, weeks=trend.weeks, low=low, high=high)
    elif trend.direction is Verdict.SLOWER:
        yield because("trend.slower", change=-change, weeks=trend.weeks, low=-high, high=-low)
        yield because("trend.slower_caution")
    elif trend.direction is Verdict.TOO_FEW:
        yield because("trend.too_wide", weeks=trend.weeks, low=low, high=high)
    else:
        detectable = trend.minimal_detectable_bpm
        yield because("trend.no_clear_change", weeks=trend.weeks, low=low, high=high, detectable=detectable)


def _same_weeks(findings: Findings) -> Iterator[Reason]:
    """Read the verdict beside load and resting pulse, whatever it is; silence is allowed only unless faster."""
    beside = findings.beside
    if beside is None:
        return
    if beside.load_jumped and beside.load_ratio is not None:
        yield because("trend.load_jumped", percent=100 * (beside.load_ratio - 1))
    if beside.pulse_shifted and beside.pulse_shift_bpm is not None:
        code = "trend.pulse_rose" if beside.pulse_shift_bpm > 0 else "trend.pulse_fell"
        yield because(code, bpm=abs(beside.pulse_shift_bpm))
    if findings.trend.direction is not Verdict.FASTER:
        return
    knowledge = {"load": beside.load_ratio, "resting pulse": beside.pulse_shift_bpm}
    known = [name for name, value in knowledge.items() if value is not None]
    unknown = [name for name, value in knowledge.items() if value is None]
    jumped = beside.load_jumped or beside.pulse_shifted
    if known and not jumped:
        yield because("trend.same_weeks_quiet", known=" and ".join(known).capitalize())
    if unknown:
        yield because("trend.same_weeks_unknown", unknown=" or ".join(unknown))
    if unknown or jumped:
        yield because("trend.overreaching")


def _sudden(findings: Findings) -> Iterator[Reason]:
    trend, shift = findings.trend, findings.trend.shift
    if shift is not None:
        size = {"size": abs(shift.bpm), "low": shift.low_bpm, "high": shift.high_bpm}
        date = _day_words(findings, shift.from_day)
        if shift.until_day is None:
            yield because("trend.step", date=date, direction="up" if shift.bpm > 0 else "down", **size)
        else:
            until = _day_words(findings, shift.until_day)
            direction = "higher" if shift.bpm > 0 else "lower"
            yield because("trend.spell", date=date, until=until, direction=direction, **size)
    if len(trend.recorders) > 1:
        yield because("trend.recorder_changed", recorders=_listed(trend.recorders))
    for adjustment in trend.adjustments:
        if adjustment.is_recorder and abs(adjustment.bpm) > 2 * adjustment.se_bpm:
            low, high = adjustment.bpm - 2 * adjustment.se_bpm, adjustment.bpm + 2 * adjustment.se_bpm
            recorder = adjustment.name.removeprefix("recorder: ")
            yield because("trend.recorder_level", recorder=recorder, bpm=adjustment.bpm, low=low, high=high)
    course = findings.course
    if course is not None and course.suspicion is not None and course.suspicion.is_suspected:
        day = float(findings.recoveries.day[course.suspicion.first])
        yield because("trend.maybe_sudden", date=_day_words(findings, day))
    if course is not None and course.fit.spread.slow_share > 0:
        yield because("trend.slow_swings")
    is_called = trend.direction in {Verdict.FASTER, Verdict.SLOWER}
    if is_called and course is not None and course.may_swing:
        yield because("trend.maybe_swings")
    # A shift is in the ranks but not in the slope, so the two then answer different questions.
    if is_called and shift is None and trend.rank is not None and trend.rank.p > 0.1:
        yield because("trend.ranks_disagree", p=trend.rank.p)


def _basis(findings: Findings) -> Iterator[Reason]:
    trend, recoveries = findings.trend, findings.recoveries
    if trend.standard_bpm is not None:
        counts: dict[str, float | str] = {
            "recoveries": _counted(trend.n_recoveries, "recovery"),
            "sessions": _counted(trend.n_sessions, "session"),
            "start": trend.standard_bpm,
        }
        if trend.standard_reserve is None:
            yield because("trend.rests_on_bpm", **counts)
        else:
            yield because("trend.rests_on_reserve", percent=100 * trend.standard_reserve, **counts)
    names = dict.fromkeys(term.name.split(":")[0].split(",")[0] for term in recoveries.terms)
    names.pop("starting heart rate", None)
    if names:
        yield because("trend.adjusted", names=_listed(tuple(names)))
    if recoveries.n_left_out:
        yield because("trend.left_out", recoveries=_counted(recoveries.n_left_out, "recovery"))
    if trend.typical_error_bpm is not None:
        detectable = minimal_detectable_change(trend.typical_error_bpm)
        yield because("trend.typical_error", error=trend.typical_error_bpm, detectable=detectable)
    if findings.rider.takes_heart_rate_medicine:
        yield because("trend.medicine")


def _outlook(findings: Findings) -> Iterator[Reason]:
    trend = findings.trend
    if not trend.n_sessions or trend.direction in {Verdict.FASTER, Verdict.SLOWER}:
        return
    if trend.more_sessions is None:
        yield because("trend.more_out_of_reach")
    elif trend.more_sessions == 0:
        yield because("trend.enough")
    else:
        yield because("trend.more_sessions", more=trend.more_sessions)


def _counted(n: int, noun: str) -> str:
    plural = f"{noun[:-1]}ies" if noun.endswith("y") else f"{noun}s"
    return f"{n} {noun if n == 1 else plural}"


def _listed(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _day_words(findings: Findings, day: float) -> str:
    date = findings.recoveries.date_of(day)
    return f"{date.day} {date:%B}"
