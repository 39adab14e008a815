"""When no circuit fits: the smallest change to the request that makes one fit, found by solving.

For each number of exercises: what has to give way for any circuit at all, then what the time asks for
(a longer session, or a lower first round). The cheapest of all is proposed; prices say what a rider minds.
When only the time is too short, the change is in minutes, first round or number of exercises, never in
equipment or joints.
"""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import ceil

from rideready.circuit.constraints import REST_DAYS, Blocker, Rule, known_log, pool_of, set_rules
from rideready.circuit.explain import joined
from rideready.circuit.give_way import PRICES, WAITING, cheapest_to_give_way, missing_families
from rideready.circuit.programme import least_seconds_of_counts
from rideready.circuit.progression import LOWEST_TOP
from rideready.circuit.timing import fixed_s, ladder_counts, rest_of
from rideready.errors import Infeasible
from rideready.model.circuit import CircuitRequest
from rideready.model.exercise import Equipment, Impact, Joint, Level
from rideready.model.reason import Reason, because

#: How much a rider minds each minute more, each rep fewer in the first round, each exercise more or fewer.
MINUTE_PRICE, TOP_PRICE, EXERCISE_PRICE = 0.5, 1.0, 2.5
#: On top of that for touching any of the three at all: one thing changed is easier than two.
KIND_PRICE = 1.0
#: Fewest and most exercises, and the lowest first round, that a change may propose.
_FEWEST, _MOST, _LOWEST_TOP = 4, 8, 2


@dataclass(frozen=True, slots=True)
class Change:
    """A change to a request.

    Parameters
    ----------
    request
        The changed request, for which there is a circuit.
    price
        How much a rider minds it.
    parts
        What changes, one clause each.
    """

    request: CircuitRequest
    price: float
    parts: tuple[Reason, ...]

    @property
    def sentence(self) -> str:
        """The change as one sentence without a full stop."""
        text = joined(part.sentence for part in self.parts)
        return text[0].upper() + text[1:]


def infeasible(request: CircuitRequest) -> Infeasible:
    """Write the error for a request that no circuit meets.

    Parameters
    ----------
    request
        A request found infeasible.
    """
    change = smallest_change(request)
    return Infeasible(_why(request).sentence, "circuit", "" if change is None else change.sentence)


def _why(request: CircuitRequest) -> Reason:
    pool = pool_of(request)
    missing = missing_families(pool)
    if missing:
        return because("circuit.nothing_left_for", families=joined(missing))
    if request.minutes is None or least_seconds(request) is None:
        code = "circuit.too_few_rested" if pool.resting else "circuit.too_few_left"
        return because(code, n=request.exercises)
    return because("circuit.too_little_time", minutes=request.minutes)


def lowest_top(request: CircuitRequest) -> int:
    """Give the lowest top count a request can live with: its own, or the lowest the log leads to.

    Parameters
    ----------
    request
        Whose top count.
    """
    return LOWEST_TOP if request.top_count is None else request.top_count


def least_seconds(request: CircuitRequest) -> float | None:
    """Give the least time one count of every exercise can take, the time at hand aside, s.

    Parameters
    ----------
    request
        What the circuit has to fit.

    Returns
    -------
    float or None
        Seconds; None if no set of exercises meets the rules.

    References
    ----------
    Ours.
    """
    pool = pool_of(request)
    rules = set_rules(pool.exercises, pool.needed, request.exercises)
    return least_seconds_of_counts(pool.exercises, rules)


def least_minutes(request: CircuitRequest, top_count: int, seconds_of_counts: float) -> float:
    """Give the length of the shortest circuit, min.

    Parameters
    ----------
    request
        Its number of exercises, rest and start.
    top_count
        Reps of the first round.
    seconds_of_counts
        Seconds one count of all its exercises takes, from `least_seconds`.
    """
    rest, _ = rest_of(request)
    fixed = fixed_s(top_count, request.exercises, rest.expected_s, request.start)
    return (fixed + ladder_counts(top_count) * seconds_of_counts) / 60


def is_feasible(request: CircuitRequest) -> bool:
    """Say whether any circuit meets a request.

    Parameters
    ----------
    request
        Complaints are not looked at.
    """
    seconds = least_seconds(request)
    if seconds is None:
        return False
    return request.minutes is None or least_minutes(request, lowest_top(request), seconds) <= request.minutes


def smallest_change(request: CircuitRequest) -> Change | None:
    """Find the cheapest change after which there is a circuit.

    Parameters
    ----------
    request
        A request found infeasible.

    Returns
    -------
    Change or None
        None if nothing that may give way helps; this has not been seen to happen.

    References
    ----------
    Ours.
    """
    changes: list[Change] = []
    for n in sorted(range(_FEWEST, _MOST + 1), key=lambda n: abs(n - request.exercises)):
        price = KIND_PRICE * (n != request.exercises) + EXERCISE_PRICE * abs(n - request.exercises)
        if changes and price >= min(change.price for change in changes):
            continue
        given = cheapest_to_give_way(replace(request, exercises=n))
        if given is None:
            continue
        price += sum(PRICES[thing.rule] for thing in given)
        possible = _given_way(replace(request, exercises=n), given)
        for more, changed in _fitted(possible):
            parts = _parts(request, changed, is_waiting=WAITING in given)
            changes.append(Change(changed, price + more, parts))
    return min(changes, key=lambda change: change.price) if changes else None


def _fitted(request: CircuitRequest) -> Iterator[tuple[float, CircuitRequest]]:
    """Every way to make the time suffice, with its price; the request itself if it does."""
    seconds = least_seconds(request)
    if seconds is None:  # the programme that let things give way says otherwise
        raise RuntimeError("what gave way did not make a circuit possible")
    if request.minutes is None:
        yield 0.0, request
        return
    top = lowest_top(request)
    for lower in range(top, _LOWEST_TOP - 1, -1):
        minutes = max(request.minutes, float(ceil(least_minutes(request, lower, seconds) - 1e-9)))
        more = minutes - request.minutes
        price = (
            KIND_PRICE * (lower != top)
            + TOP_PRICE * (top - lower)
            + KIND_PRICE * (more > 0)
            + MINUTE_PRICE * more
        )
        changed = replace(request, minutes=minutes)
        yield price, changed if lower == top else replace(changed, top_count=lower)


def _given_way(request: CircuitRequest, given: frozenset[Blocker]) -> CircuitRequest:
    """Apply what gives way to the request."""

    def whats(rule: Rule) -> set[str]:
        return {thing.what for thing in given if thing.rule is rule}

    changed = replace(
        request,
        equipment=request.equipment | {Equipment(what) for what in whats(Rule.EQUIPMENT)},
        avoid_joints=request.avoid_joints - {Joint(what) for what in whats(Rule.JOINT)},
        exclude=request.exclude - whats(Rule.EXCLUDED),
        level=max([request.level, *(Level[what.upper()] for what in whats(Rule.LEVEL))]),
        highest_impact=max([request.highest_impact, *(Impact[what.upper()] for what in whats(Rule.IMPACT))]),
    )
    if WAITING not in given:
        return changed
    later = request.date + dt.timedelta(days=REST_DAYS)
    return replace(changed, date=later, trained_hard=frozenset(), log=known_log(request))


def _parts(request: CircuitRequest, changed: CircuitRequest, *, is_waiting: bool) -> tuple[Reason, ...]:
    """Say what differs between two requests, one clause each, the gentlest first."""
    parts = []
    if changed.exercises != request.exercises:
        parts.append(because("circuit.change_exercises", n=changed.exercises))
    if changed.top_count != request.top_count and changed.top_count is not None:
        parts.append(because("circuit.change_top", top=changed.top_count))
    if changed.minutes != request.minutes and changed.minutes is not None:
        parts.append(because("circuit.change_minutes", minutes=round(changed.minutes)))
    pieces = sorted(changed.equipment - request.equipment)
    parts += [because("circuit.change_equipment", piece=_article(piece)) for piece in pieces]
    names = sorted(request.exclude - changed.exclude)
    parts += [because("circuit.change_excluded", name=name) for name in names]
    if changed.level != request.level:
        parts.append(because("circuit.change_level", level=changed.level.label))
    if changed.highest_impact != request.highest_impact:
        parts.append(because("circuit.change_impact", impact=changed.highest_impact.label))
    if is_waiting:
        parts.append(because("circuit.change_wait"))
    joints = sorted(request.avoid_joints - changed.avoid_joints)
    return (*parts, *(because("circuit.change_joint", joint=joint) for joint in joints))


def _article(piece: Equipment) -> str:
    return piece if piece is Equipment.DUMBBELLS else f"a {piece}"
