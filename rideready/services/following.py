"""A circuit that was followed along on a screen, written down as it was followed."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace

from rideready.circuit.library import BY_NAME
from rideready.circuit.timing import CHANGE_S, ladder_counts
from rideready.errors import BadInput
from rideready.load import session_rpe_load
from rideready.model.circuit import Circuit, CircuitLog, CircuitStation, Rest, RestBy
from rideready.services.circuits import log_circuit
from rideready.services.context import Context


@dataclass(frozen=True, slots=True)
class Followed:
    """What a screen tells when a circuit is over.

    Parameters
    ----------
    day
        The local day it was written for.
    names
        Exercises in order; each one of the library.
    top_count, full_top_count
        Reps of the first round, and what they would have been but for lack of time.
    rounds_done
        Rounds finished.
    minutes
        How long it took, from the first step to the last, min.
    rpe
        How hard it felt, 0 to 10; None if not said.
    weights_kg
        Weight shown with each exercise, kg; None where none was; empty if none was shown at all.
    """

    day: dt.date
    names: tuple[str, ...]
    top_count: int
    full_top_count: int
    rounds_done: int
    minutes: float
    rpe: float | None
    weights_kg: tuple[float | None, ...] = ()


def log_followed(ctx: Context, followed: Followed) -> CircuitLog:
    """Write down a circuit that was followed along.

    It is written down from what was on the screen and not made again: settings and log may have
    changed since it was begun, and the day may have gone over midnight.

    Parameters
    ----------
    ctx
        Store and rider.
    followed
        What the screen tells.

    Raises
    ------
    BadInput
        If an exercise is none of the library's, the day lies ahead, or a number lies outside its range.
    """
    if followed.day > ctx.today + dt.timedelta(days=1):  # one day for a clock in another zone
        raise BadInput(f"the circuit was done on {followed.day}, which has not come yet", "circuit")
    dated = replace(ctx, today=followed.day)
    return log_circuit(dated, _as_followed(followed), rounds_done=followed.rounds_done, rpe=followed.rpe)


def _as_followed(followed: Followed) -> Circuit:
    rpe = 0.0 if followed.rpe is None else followed.rpe
    return Circuit(
        date=followed.day,
        top_count=followed.top_count,
        full_top_count=followed.full_top_count,
        stations=_stations(followed),
        warm_up=(),
        cool_down=(),
        rest=Rest(RestBy.CLOCK, 0.0, 0.0),
        change_s=CHANGE_S,
        minutes=followed.minutes,
        minutes_at_most=followed.minutes,
        expected_rpe=rpe,
        load=session_rpe_load(rpe, followed.minutes),
        reasons=(),
    )


def _stations(followed: Followed) -> tuple[CircuitStation, ...]:
    unknown = [name for name in followed.names if name not in BY_NAME]
    if unknown or not followed.names:
        named = ", ".join(map(repr, unknown)) or "no exercise"
        raise BadInput(f"the circuit names {named}, which is not in the library", "circuit")
    if len(followed.weights_kg) not in {0, len(followed.names)}:
        n_weights, n = len(followed.weights_kg), len(followed.names)
        raise BadInput(f"the circuit tells {n_weights} weights for {n} exercises", "circuit")
    weights: Sequence[float | None] = followed.weights_kg or (None,) * len(followed.names)
    return tuple(
        CircuitStation(
            exercise=BY_NAME[name],
            reps=tuple(range(followed.top_count, 0, -1)),
            work_s=ladder_counts(followed.top_count) * BY_NAME[name].seconds_of_a_count,
            weight_kg=weight_kg,
            reasons=(),
        )
        for name, weight_kg in zip(followed.names, weights, strict=True)
    )
