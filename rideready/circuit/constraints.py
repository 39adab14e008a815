"""Hard rules: which exercises a request allows, and which sets of them make a circuit.

What rules a single exercise out: equipment not at hand, a joint to be spared, an exercise not wanted, a
level above the rider's, a landing too hard, a main muscle trained hard within 48 h. What rules a set:

* exactly as many exercises as asked for;
* at least one each of legs, push, pull, trunk and grip, except a family all of whose exercises the
  48 h rule alone has taken away: rest goes before completeness, and the circuit says so;
* no two variants of one exercise;
* one exercise with hard landings, two from seven exercises on;
* the time at hand.

The 48 h for a muscle group trained hard follow the American College of Sports Medicine (Garber et al.
2011, Med Sci Sports Exerc 43:1334-59, from memory); the limit on landings is common practice, no source.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from rideready.circuit.library import BY_NAME, STATIONS, root
from rideready.errors import BadInput
from rideready.model.circuit import CircuitLog, CircuitRequest
from rideready.model.exercise import Exercise, Family, Impact, Muscle

#: A logged circuit from this rating on counts as hard ("very hard" on the 0 to 10 scale of Foster et al.
#: 2001, J Strength Cond Res 15:109-15); one without a rating counts as hard too.
HARD_RPE = 7.0
#: Whole days a hard muscle group rests: trained on Monday, free on Wednesday.
REST_DAYS = 2


class Rule(StrEnum):
    """What may keep an exercise out."""

    EQUIPMENT = "equipment"
    JOINT = "joint"
    EXCLUDED = "excluded"
    LEVEL = "level"
    IMPACT = "impact"
    RESTING = "resting muscle"


@dataclass(frozen=True, slots=True)
class Blocker:
    """One thing that keeps an exercise out.

    Parameters
    ----------
    rule
        Which rule.
    what
        The piece of equipment, joint, name, level, impact or muscle.
    """

    rule: Rule
    what: str


@dataclass(frozen=True, slots=True)
class Pool:
    """What a request leaves to choose from.

    Parameters
    ----------
    exercises
        Allowed exercises, in library order.
    needed
        Families that must be in the circuit.
    rested
        Families set aside because the 48 h rule leaves none of their exercises.
    resting
        Muscle groups left alone.
    """

    exercises: tuple[Exercise, ...]
    needed: tuple[Family, ...]
    rested: tuple[Family, ...]
    resting: frozenset[Muscle]


def known_log(request: CircuitRequest) -> tuple[CircuitLog, ...]:
    """Return the circuits done up to the day of the request, oldest first.

    Parameters
    ----------
    request
        Whose log.
    """
    return tuple(sorted((log for log in request.log if log.date <= request.date), key=_log_order))


def _log_order(log: CircuitLog) -> tuple[str, tuple[str, ...], int, int]:
    return log.date.isoformat(), tuple(sorted(log.exercises)), log.top_count, log.rounds_done


def resting_muscles(request: CircuitRequest) -> frozenset[Muscle]:
    """Say which muscle groups were trained hard within 48 h and are left alone.

    Parameters
    ----------
    request
        The groups it names, and the main muscles of hard circuits in its log of the same day or the
        day before. A circuit of which no round was done counts for nothing.
    """
    recent = [
        log
        for log in known_log(request)
        if (request.date - log.date).days < REST_DAYS
        and log.rounds_done > 0
        and (log.rpe is None or log.rpe >= HARD_RPE)
    ]
    names = {name for log in recent for name in log.exercises if name in BY_NAME}
    return request.trained_hard | {muscle for name in names for muscle in BY_NAME[name].primary}


def blockers(exercise: Exercise, request: CircuitRequest, resting: frozenset[Muscle]) -> tuple[Blocker, ...]:
    """Name everything that keeps an exercise out; empty if it is allowed.

    Parameters
    ----------
    exercise
        A station of the library.
    request
        What the circuit has to fit.
    resting
        Muscle groups left alone, from `resting_muscles`.
    """
    found = [Blocker(Rule.EQUIPMENT, piece) for piece in exercise.equipment if piece not in request.equipment]
    if request.avoid_joints:
        found += [Blocker(Rule.JOINT, joint) for joint in exercise.joints if joint in request.avoid_joints]
    if exercise.name in request.exclude:
        found.append(Blocker(Rule.EXCLUDED, exercise.name))
    if exercise.level > request.level:
        found.append(Blocker(Rule.LEVEL, exercise.level.label))
    if exercise.impact > request.highest_impact:
        found.append(Blocker(Rule.IMPACT, exercise.impact.label))
    if resting:
        found += [Blocker(Rule.RESTING, muscle) for muscle in exercise.primary if muscle in resting]
    return tuple(found)


def pool_of(request: CircuitRequest) -> Pool:
    """Apply the rules on single exercises and settle which families are needed.

    Parameters
    ----------
    request
        What the circuit has to fit.

    Raises
    ------
    BadInput
        If an exercise not wanted is none of the library's.
    """
    _check_names(request.exclude)
    resting = resting_muscles(request)
    allowed: list[Exercise] = []
    rested: set[Family] = set()
    for exercise in STATIONS:
        rules = {blocker.rule for blocker in blockers(exercise, request, resting)}
        if not rules:
            allowed.append(exercise)
        elif rules == {Rule.RESTING}:
            rested.update(exercise.families)
    covered = {family for exercise in allowed for family in exercise.families}
    set_aside = tuple(family for family in Family if family in rested - covered)
    needed = tuple(family for family in Family if family not in set_aside)
    return Pool(tuple(allowed), needed, set_aside, resting)


def _check_names(names: Iterable[str]) -> None:
    known = {exercise.name.casefold(): exercise.name for exercise in STATIONS}
    for name in sorted(names):
        if name in BY_NAME:
            continue
        near = known.get(name.casefold()) or _most_alike(name, known)
        raise BadInput(
            f"there is no exercise {name!r}", "excluded exercises", f"The nearest name is {near!r}"
        )


def _most_alike(name: str, known: dict[str, str]) -> str:
    import difflib

    alike = difflib.get_close_matches(name.casefold(), sorted(known), n=1, cutoff=0.0)
    return known[alike[0]]


def most_high_impact(n_exercises: int) -> int:
    """Say how many exercises with hard landings a circuit may hold.

    Parameters
    ----------
    n_exercises
        How many exercises it has.
    """
    return 1 if n_exercises <= 6 else 2


@dataclass(frozen=True, slots=True)
class SetRule:
    """A linear rule on a set of exercises: ``low <= sum of coefficients of the chosen <= high``.

    Parameters
    ----------
    coefficients
        One for each exercise of the pool.
    low, high
        The ends.
    """

    coefficients: tuple[float, ...]
    low: float
    high: float


def set_rules(exercises: Sequence[Exercise], needed: Iterable[Family], n_exercises: int) -> list[SetRule]:
    """Write down every hard rule on a set, the time at hand aside.

    Parameters
    ----------
    exercises
        What there is to choose from.
    needed
        Families that must be in the circuit.
    n_exercises
        How many exercises it has.
    """
    rules = [SetRule((1.0,) * len(exercises), n_exercises, n_exercises)]
    families = [e.families for e in exercises]
    rules += [SetRule(tuple(float(family in own) for own in families), 1, n_exercises) for family in needed]
    roots = [root(e) for e in exercises]
    variants = sorted({name for name in roots if roots.count(name) > 1})
    rules += [SetRule(tuple(float(name == one) for name in roots), 0, 1) for one in variants]
    landings = tuple(float(e.impact is Impact.HIGH) for e in exercises)
    rules.append(SetRule(landings, 0, most_high_impact(n_exercises)))
    return rules


def time_rule(exercises: Sequence[Exercise], counts: int, seconds: float) -> SetRule:
    """Write down the time at hand as a rule on a set.

    Parameters
    ----------
    exercises
        What there is to choose from.
    counts
        Ladder counts of each exercise.
    seconds
        What is left for the reps once everything else is taken off, s; may be infinite.
    """
    return SetRule(tuple(counts * e.seconds_of_a_count for e in exercises), 0, seconds)
