"""What the log says about the rider: what came short, and which variants are theirs."""

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from rideready.circuit.library import BY_NAME, depth, root
from rideready.model.circuit import CircuitLog
from rideready.model.exercise import LOWER_MOVEMENTS, TRUNK_MOVEMENTS, Exercise, Movement, Muscle

_Key = TypeVar("_Key")

#: Groups that are due less work than the big ones, and how much less; a coach's judgement, no source.
SMALL_MUSCLES = frozenset(
    {
        Muscle.ADDUCTORS,
        Muscle.ABDUCTORS,
        Muscle.HIP_FLEXORS,
        Muscle.CALVES,
        Muscle.BICEPS,
        Muscle.TRICEPS,
        Muscle.LOWER_BACK,
    }
)
SMALL_SHARE = 0.5
#: How far back variety and balance look, days.
FORTNIGHT_DAYS = 14
#: How long what a rider did last says which variant is theirs, days.
STANDING_DAYS = 56


def need_by_muscle(log: Sequence[CircuitLog], date: dt.date) -> dict[Muscle, float]:
    """Say how short of work each muscle group has been over the last fortnight.

    Ladder counts are added up, whole for a main muscle and half for one trained along; a small group is
    due `SMALL_SHARE` of what a big one is.

    Parameters
    ----------
    log
        Circuits done.
    date
        The day looked back from.

    Returns
    -------
    dict
        1 for a group without any work, 0 for one with its due share, -1 for twice that or more; all 0
        without a log.
    """
    work = dict.fromkeys(Muscle, 0.0)
    for exercise, counts in _done_lately(log, date):
        for muscle in exercise.primary:
            work[muscle] += counts
        for muscle in exercise.secondary:
            work[muscle] += counts / 2
    due = {muscle: SMALL_SHARE if muscle in SMALL_MUSCLES else 1.0 for muscle in Muscle}
    return _need(work, due)


def need_by_movement(log: Sequence[CircuitLog], date: dt.date) -> dict[Movement, float]:
    """Say how short each movement of legs and trunk has come over the last fortnight.

    Parameters
    ----------
    log
        Circuits done.
    date
        The day looked back from.

    Returns
    -------
    dict
        As for `need_by_muscle`, legs and trunk each among themselves; 0 for all other movements.
    """
    counts = dict.fromkeys(Movement, 0.0)
    for exercise, done in _done_lately(log, date):
        counts[exercise.movement] += done
    need = dict.fromkeys(Movement, 0.0)
    for group in (LOWER_MOVEMENTS, TRUNK_MOVEMENTS):
        need |= _need({m: counts[m] for m in Movement if m in group}, dict.fromkeys(group, 1.0))
    return need


def trust_in_balance(log: Sequence[CircuitLog], date: dt.date) -> float:
    """Say how far the last fortnight's balance may be trusted: ``k / (k + 2)`` after k circuits.

    One circuit leaves most muscles out, whatever the rider does otherwise.

    Parameters
    ----------
    log
        Circuits done.
    date
        The day looked back from.
    """
    circuits = sum((date - entry.date).days <= FORTNIGHT_DAYS for entry in log)
    return circuits / (circuits + 2)


def _done_lately(log: Sequence[CircuitLog], date: dt.date) -> Iterator[tuple[Exercise, int]]:
    """Every exercise done in the last fortnight with its ladder counts."""
    for entry in log:
        if (date - entry.date).days <= FORTNIGHT_DAYS:
            yield from ((BY_NAME[name], entry.counts_done) for name in entry.exercises if name in BY_NAME)


def _need(work: Mapping[_Key, float], due: Mapping[_Key, float]) -> dict[_Key, float]:
    total = sum(work.values()) / sum(due.values())
    return {key: max(-1.0, 1 - done / (total * due[key])) if total else 0.0 for key, done in work.items()}


def standing(log: Sequence[CircuitLog], date: dt.date) -> dict[str, Exercise]:
    """Say which variant of each exercise the rider did last.

    Parameters
    ----------
    log
        Circuits done, oldest first.
    date
        The day looked back from.

    Returns
    -------
    dict
        Root of the variants to the variant done last; of two on one day the harder.
    """
    found: dict[str, tuple[dt.date, int, Exercise]] = {}
    for entry in log:
        if (date - entry.date).days > STANDING_DAYS or entry.rounds_done == 0:
            continue
        for exercise in (BY_NAME[name] for name in entry.exercises if name in BY_NAME):
            latest = (entry.date, depth(exercise), exercise)
            held = found.get(root(exercise))
            if held is None or latest[:2] > held[:2]:
                found[root(exercise)] = latest
    return {name: latest[2] for name, latest in found.items()}
