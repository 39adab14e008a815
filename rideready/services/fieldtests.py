"""Field tests: how they are done, what one says, and how it lies beside the rider's earlier ones."""

from collections.abc import Sequence
from dataclasses import dataclass

from rideready.errors import BadInput
from rideready.model.fieldtest import FieldTest, FieldTestResult
from rideready.model.fieldtest_history import DatedResult, HistoryComparison
from rideready.model.protocol import Protocol
from rideready.model.rider import Rider
from rideready.recovery.burst_test import read_burst_test
from rideready.recovery.fieldtest_history import compare_with_earlier
from rideready.recovery.fieldtest_reading import read_step_test
from rideready.recovery.fieldtests import score_harvard, score_queens_college, score_ymca
from rideready.recovery.protocols import protocol_for
from rideready.recovery.ride_test import read_ride_test
from rideready.services.context import Context
from rideready.services.done import conditions, local_day
from rideready.services.riders import get_rider
from rideready.signal.clean import clean
from rideready.store.fieldtests import KeptTest, kept_tests, put_test
from rideready.store.sessions import load_session, session_row

#: What is counted by hand in each test that can be: the sentence for whoever typed something else.
BY_HAND = {
    FieldTest.HARVARD: "--seconds 300 --counts 90,80,70",
    FieldTest.YMCA: "--counts 95",
    FieldTest.QUEENS_COLLEGE: "--counts 34",
}


@dataclass(frozen=True, slots=True)
class FieldTestView:
    """One test beside the rider's earlier ones.

    Parameters
    ----------
    kept
        The result with its day and session.
    comparison
        Against earlier tests of the same kind.
    is_kept
        Whether it is in the store; a test without a figure is shown and not kept.
    """

    kept: KeptTest
    comparison: HistoryComparison
    is_kept: bool = True

    @property
    def result(self) -> FieldTestResult:
        """What the test says."""
        return self.kept.dated.result


@dataclass(frozen=True, slots=True)
class Instruction:
    """How a test is done, and whether today is a day for it.

    Parameters
    ----------
    protocol
        The steps, filled in for the rider.
    not_today
        Why not today, from the diary; empty if nothing there speaks against it.
    """

    protocol: Protocol
    not_today: tuple[str, ...]


def instruction(ctx: Context, test: FieldTest) -> Instruction:
    """Say how a test is done; an illness or a sore joint in the diary speaks against today."""
    illnesses, injuries = conditions(ctx)
    against = [
        f"You wrote down an illness ({illness.kind}) on {illness.first_day} and have not written that you are "
        "well: leave the test for later."
        for illness in illnesses
        if illness.last_day is None
    ]
    against += [
        f"You wrote down a sore {injury.joint} on {injury.since}: leave the test if stepping or pedalling "
        "hurts."
        for injury in injuries
    ]
    return Instruction(protocol_for(test, get_rider(ctx)), tuple(against))


def score_by_hand(
    ctx: Context, test: FieldTest, counts: Sequence[float], *, seconds: float | None = None
) -> FieldTestView:
    """Score a step test whose pulse was counted by hand, and keep it with today's date.

    Parameters
    ----------
    ctx
        Store, rider and today.
    test
        Harvard, YMCA or Queens College; the others need a recording.
    counts
        Beats: three counts of 30 s (or the first alone), one of a minute, one of 15 s.
    seconds
        How long the stepping lasted, s; for the Harvard test only.

    Raises
    ------
    BadInput
        If a number is missing, too many or cannot be meant; nothing is kept then.
    """
    result = _by_hand(test, counts, seconds, get_rider(ctx))
    return _keep(ctx, KeptTest(DatedResult(ctx.today, result)))


def score_session(
    ctx: Context,
    test: FieldTest,
    session_id: int,
    *,
    stop_s: float | None = None,
    stepped_s: float | None = None,
) -> FieldTestView:
    """Score a test from a recording, and keep it with the recording's day.

    Parameters
    ----------
    ctx
        Store, rider and today.
    test
        Which test was done.
    session_id
        The session it was done in; without a clock it counts as today's.
    stop_s
        Where the effort ended, s from the start of the session, if the rider says so.
    stepped_s
        How long the stepping lasted, s; for the Harvard test only.

    Raises
    ------
    NotInStore
        If there is no such session.
    BadInput
        If something is said that the test does not take.
    """
    if stop_s is not None and test is FieldTest.BURSTS:
        raise BadInput("the bursts are found by their spacing", "--stop", "Leave it out")
    if stepped_s is not None and test is not FieldTest.HARVARD:
        raise BadInput("only the Harvard test asks how long it lasted", "--seconds", "Leave it out")
    with ctx.store.reading() as connection:
        row = session_row(connection, ctx.rider_id, session_id)
        session = load_session(connection, session_id)
    rider, signal = get_rider(ctx), clean(session)
    if test is FieldTest.BURSTS:
        result = read_burst_test(signal)
    elif test is FieldTest.RIDE:
        result = read_ride_test(signal, rider, stop_s=stop_s)
    else:
        result = read_step_test(signal, test, rider, stop_s=stop_s, stepped_s=stepped_s)
    return _keep(ctx, KeptTest(DatedResult(local_day(row) or ctx.today, result, row.device), session_id))


def list_tests(ctx: Context, *, test: FieldTest | None = None) -> list[FieldTestView]:
    """List the rider's tests, oldest first, each beside those before it; None lists every kind."""
    with ctx.store.reading() as connection:
        found = kept_tests(connection, ctx.rider_id, test=test)
    earlier = [kept.dated for kept in found]
    return [FieldTestView(kept, compare_with_earlier(kept.dated, earlier)) for kept in found]


def _by_hand(
    test: FieldTest, counts: Sequence[float], seconds: float | None, rider: Rider
) -> FieldTestResult:
    if test not in BY_HAND:
        raise BadInput(
            f"the {test.label.lower()} cannot be counted by hand",
            what_to_do="Give a recording with --session",
        )
    like = f"Type it like: rideready test {test} {BY_HAND[test]}"
    if test is FieldTest.HARVARD:
        if seconds is None:
            raise BadInput("for how many seconds did you step", test.label, like)
        return score_harvard(seconds, counts, rider)
    if seconds is not None:
        raise BadInput("only the Harvard test asks how long it lasted", "--seconds", "Leave it out")
    if len(counts) != 1:
        raise BadInput(f"{len(counts)} counts were given where the test has one", test.label, like)
    score = score_ymca if test is FieldTest.YMCA else score_queens_college
    return score(counts[0], rider)


def _keep(ctx: Context, kept: KeptTest) -> FieldTestView:
    """Compare a result with the earlier ones, and keep it if it has a figure."""
    with ctx.store.reading() as connection:
        earlier = kept_tests(connection, ctx.rider_id, test=kept.dated.result.test)
    comparison = compare_with_earlier(kept.dated, [other.dated for other in earlier])
    if kept.dated.result.main is None:
        return FieldTestView(kept, comparison, is_kept=False)
    with ctx.store.writing() as connection:
        put_test(connection, ctx.rider_id, kept)
    return FieldTestView(kept, comparison)
