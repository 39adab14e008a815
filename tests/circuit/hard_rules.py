"""The hard rules once more, written down from the words of the request and not from the package's code."""

import datetime as dt

from rideready.circuit.library import BY_NAME, STATIONS
from rideready.model.circuit import Circuit, CircuitRequest
from rideready.model.exercise import Exercise, Impact, Movement, Muscle

LEGS = {Movement.SQUAT, Movement.HINGE, Movement.STEP, Movement.LATERAL, Movement.JUMP}
TRUNK = {Movement.ANTI_ROTATION, Movement.TRUNK_FLEXION}
FAMILIES = ("legs", "push", "pull", "trunk", "grip")


def families_of(exercise: Exercise) -> set[str]:
    found = set()
    if exercise.movement in LEGS:
        found.add("legs")
    if exercise.movement is Movement.PUSH:
        found.add("push")
    if exercise.movement is Movement.PULL:
        found.add("pull")
    if exercise.movement in TRUNK or {Muscle.ABDOMINALS, Muscle.OBLIQUES} & set(exercise.primary):
        found.add("trunk")
    if exercise.movement is Movement.GRIP or Muscle.FOREARMS in exercise.primary:
        found.add("grip")
    return found


def tired_muscles(request: CircuitRequest) -> set[Muscle]:
    """Muscles named as trained hard, and those of a circuit rated 7 or more, or not rated, within 48 h."""
    tired = set(request.trained_hard)
    for log in request.log:
        is_recent = log.date in {request.date, request.date - dt.timedelta(days=1)}
        if is_recent and log.rounds_done and (log.rpe is None or log.rpe >= 7):
            for name in log.exercises:
                tired |= set(BY_NAME[name].primary) if name in BY_NAME else set()
    return tired


def is_possible(exercise: Exercise, request: CircuitRequest) -> bool:
    """Say whether everything but the 48 h allows an exercise."""
    return (
        set(exercise.equipment) <= request.equipment
        and not set(exercise.joints) & request.avoid_joints
        and exercise.name not in request.exclude
        and exercise.level <= request.level
        and exercise.impact <= request.highest_impact
        and exercise.movement is not Movement.MOBILITY
    )


def may_be_missing(family: str, request: CircuitRequest) -> bool:
    """Say whether the 48 h alone leave nothing of a family."""
    members = [e for e in STATIONS if family in families_of(e) and is_possible(e, request)]
    tired = tired_muscles(request)
    return bool(members) and all(set(e.primary) & tired for e in members)


def kin(exercise: Exercise) -> str:
    """Name the easiest variant an exercise comes from."""
    while exercise.easier:
        exercise = BY_NAME[exercise.easier]
    return exercise.name


def is_allowed(chosen: tuple[Exercise, ...]) -> bool:
    """Say whether a set of possible exercises makes a circuit, 48 h and time aside."""
    covered = set[str]().union(*map(families_of, chosen))
    landings = sum(e.impact is Impact.HIGH for e in chosen)
    return (
        covered.issuperset(FAMILIES)
        and len({kin(e) for e in chosen}) == len(chosen)
        and landings <= (1 if len(chosen) <= 6 else 2)
    )


def broken_rules(circuit: Circuit, request: CircuitRequest) -> list[str]:
    """Name every hard rule a circuit breaks."""
    chosen = [station.exercise for station in circuit.stations]
    tired = tired_muscles(request)
    covered = set().union(*map(families_of, chosen))
    reps = list(range(circuit.top_count, 0, -1))
    checks = {
        "number of exercises": len(chosen) == request.exercises == len({e.name for e in chosen}),
        "library": all(BY_NAME[e.name] == e for e in chosen),
        "possible": all(is_possible(e, request) for e in chosen),
        "48 hours": not any(set(e.primary) & tired for e in chosen),
        "families": all(f in covered or may_be_missing(f, request) for f in FAMILIES),
        "variants": len({kin(e) for e in chosen}) == len(chosen),
        "landings": sum(e.impact is Impact.HIGH for e in chosen) <= (1 if len(chosen) <= 6 else 2),
        "time": request.minutes is None or circuit.minutes <= request.minutes + 1e-9,
        "top count": request.top_count in {None, circuit.top_count},
        "ladder": all(list(station.reps) == reps for station in circuit.stations),
        "total": circuit.total_reps == sum(sum(station.reps) for station in circuit.stations),
        "rest": circuit.minutes <= circuit.minutes_at_most,
        "moves": all(
            set(m.exercise.equipment) <= request.equipment
            and not set(m.exercise.joints) & request.avoid_joints
            and m.exercise.movement is Movement.MOBILITY
            for m in (*circuit.warm_up, *circuit.cool_down)
        ),
        "sentences": all(reason.sentence for reason in circuit.reasons),
        "station reasons": all(station.reasons for station in circuit.stations),
    }
    return [name for name, holds in checks.items() if not holds]
