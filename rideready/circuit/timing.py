"""How long a circuit takes: reps, changes, rests, warm-up and cool-down.

``time = counts * seconds of a count + changes + rests``. Seconds per rep stand with each exercise; the
other figures stand here. None has a published source: they are a coach's estimates for a garage, and a
recording shows what the rider really needs (``rideready.circuit.match``). Slowing down when tired is not
in them.
"""

from collections.abc import Iterable

from rideready.intensity import target_bpm
from rideready.model.circuit import CircuitRequest, Rest, RestBy, Start
from rideready.model.reason import Reason, because

#: From one exercise to the next: put down, walk, pick up, s.
CHANGE_S = 10.0
#: Length of a rest by pulse before a recording has shown the rider's own, s.
USUAL_REST_S = 45.0
#: Easy movement before a cold start, and the moves after it, s.
COLD_EASY_S, COLD_MOVES, COLD_MOVE_S = 180.0, 3, 40.0
#: Straight from the cardio piece the body is warm: only the joints are rehearsed, s.
WARM_MOVES, WARM_MOVE_S = 2, 30.0
#: Easy movement after the circuit, s.
COOL_EASY_S = 120.0
#: Stretches after it; 60 s for each in all, as 30 s a side or twice 30 s, s
#: (Garber et al. 2011, Med Sci Sports Exerc 43:1334-59: 10-30 s a hold, 60 s an exercise).
STRETCHES, STRETCH_S = 4, 60.0


def ladder_counts(top_count: int) -> int:
    """Count the reps of one exercise from ``top_count`` down to 1: ``n * (n + 1) / 2``.

    Parameters
    ----------
    top_count
        Reps of the first round.

    Examples
    --------
    >>> ladder_counts(10)
    55
    """
    return top_count * (top_count + 1) // 2


def ladder_s(top_count: int, seconds_of_counts: Iterable[float], *, change_s: float, rest_s: float) -> float:
    """Give the length of a ladder from its first rep to its last.

    Parameters
    ----------
    top_count
        Reps of the first round.
    seconds_of_counts
        Seconds of one count of each exercise, both sides included, s.
    change_s
        From one exercise to the next within a round, s.
    rest_s
        Between rounds, the change to the first exercise included, s.

    Returns
    -------
    float
        Length, s.

    Examples
    --------
    Three exercises of 3 s a rep, 15 s from each to the next, 29 times:

    >>> ladder_s(10, [3.0, 3.0, 3.0], change_s=15.0, rest_s=15.0)
    930.0
    """
    seconds = list(seconds_of_counts)
    work = ladder_counts(top_count) * sum(seconds)
    return work + top_count * (len(seconds) - 1) * change_s + (top_count - 1) * rest_s


def around_s(start: Start) -> float:
    """Give the length of warm-up and cool-down together, s.

    Parameters
    ----------
    start
        Cold, or straight from the cardio piece.
    """
    warm_up = COLD_EASY_S + COLD_MOVES * COLD_MOVE_S if start is Start.COLD else WARM_MOVES * WARM_MOVE_S
    return warm_up + COOL_EASY_S + STRETCHES * STRETCH_S


def fixed_s(top_count: int, n_exercises: int, rest_s: float, start: Start) -> float:
    """Give everything but the reps themselves: changes, rests, warm-up and cool-down, s.

    Parameters
    ----------
    top_count, n_exercises
        Size of the circuit.
    rest_s
        Between rounds, s.
    start
        Cold, or straight from the cardio piece.
    """
    idle = ladder_s(top_count, [0.0] * n_exercises, change_s=CHANGE_S, rest_s=rest_s)
    return idle + around_s(start)


def rest_of(request: CircuitRequest) -> tuple[Rest, tuple[Reason, ...]]:
    """Settle the rest between rounds: by pulse where the rider's numbers allow it, else by clock.

    Parameters
    ----------
    request
        Its rest, its rider and the rests its log has seen.

    Returns
    -------
    Rest
        What ends the rest and how long it is taken to last.
    tuple of Reason
        Why by clock although the pulse was asked for; what the expected length rests on.
    """
    choice, rider = request.rest, request.rider
    by_clock = Rest(RestBy.CLOCK, choice.clock_s, choice.clock_s)
    if choice.by is RestBy.CLOCK:
        return by_clock, (because("circuit.rest_clock", seconds=choice.clock_s),)
    if rider.takes_heart_rate_medicine:
        return by_clock, (because("circuit.rest_medicine", seconds=choice.clock_s),)
    reserve = rider.settle_reserve if choice.reserve is None else choice.reserve
    level_bpm = target_bpm(reserve, rider)
    if level_bpm is None:
        return by_clock, (because("circuit.rest_no_numbers", seconds=choice.clock_s),)
    seen = _rest_seen_s(request)
    expected_s = min(USUAL_REST_S if seen is None else seen, choice.cap_s)
    basis = "circuit.rest_pulse" if seen is None else "circuit.rest_pulse_seen"
    why = because(basis, bpm=round(level_bpm), cap=choice.cap_s, expected=round(expected_s))
    return Rest(RestBy.PULSE, expected_s, choice.cap_s, reserve, level_bpm), (why,)


def _rest_seen_s(request: CircuitRequest) -> float | None:
    """Median rest of the latest recorded circuit, s."""
    seen = [
        (log.date, log.recoveries.median_rest_s)
        for log in request.log
        if log.date <= request.date and log.recoveries and log.recoveries.median_rest_s is not None
    ]
    return max(seen)[1] if seen else None
