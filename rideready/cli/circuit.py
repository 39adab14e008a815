"""``rideready circuit``: today's descending-rep circuit."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from rideready.cli.circuit_log import show_log
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
)
from rideready.cli.output import print_json, say, table
from rideready.cli.words import words_of
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.circuit import Circuit, TimedMove


def command(
    *,
    top: Annotated[
        int | None, typer.Option(help="Reps of the first round; without it the log decides.")
    ] = None,
    exercises: Annotated[int, typer.Option(help="How many exercises, 4 to 8.")] = 5,
    equipment: Annotated[
        str | None, typer.Option(metavar="A,B", help="What is at hand today; without it what you keep.")
    ] = None,
    avoid: Annotated[str | None, typer.Option(metavar="A,B", help="Joints to spare today.")] = None,
    minutes: Annotated[
        float | None, typer.Option(help="Time at hand, warm-up and cool-down included.")
    ] = None,
    another: Annotated[int, typer.Option(metavar="N", help="The N-th next best instead of the best.")] = 0,
    swap: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Swap an exercise for the next best that fits; repeatable."),
    ] = None,
    done: Annotated[bool, typer.Option("--done", help="Write down that you did this circuit today.")] = False,
    rounds: Annotated[int | None, typer.Option(help="With --done: rounds finished, if not all.")] = None,
    rpe: Annotated[float | None, typer.Option(help="With --done: how hard it felt, 0 to 10.")] = None,
    weight: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME=KG", help="With --done: weight you used, if not the one named; repeatable."
        ),
    ] = None,
    log: Annotated[
        bool, typer.Option("--log", help="List the circuits you did, with what recordings showed.")
    ] = False,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Write today's descending-rep circuit.

    The same day and options give the same circuit.
    """
    from rideready.model.exercise import Equipment, Joint
    from rideready.services.cautions import STOP_SIGNS
    from rideready.services.circuits import log_circuit, swap_exercise, todays_circuit

    wishes: dict[str, Any] = {"top_count": top, "exercises": exercises, "minutes": minutes}
    if equipment is not None:
        wishes["equipment"] = frozenset(words_of(equipment, Equipment, "--equipment"))
    if avoid is not None:
        wishes["avoid_joints"] = frozenset(words_of(avoid, Joint, "--avoid"))
    common = Common(store, rider, date, quiet or json)
    if log:
        show_log(common, as_json=json)
        return
    used = _weights(weight or [])
    with opened(common) as context:
        found = todays_circuit(context, **wishes, alternative=another)
        gone: list[str] = []
        for typed in swap or []:
            name = _name_in(found, typed)
            found = swap_exercise(context, found, name, besides=gone, **wishes)
            gone.append(name)
        if done:
            weights_kg = {_name_in(found, typed): kg for typed, kg in used.items()}
            log_circuit(context, found, rounds_done=rounds, rpe=rpe, weights_kg=weights_kg)
    if json:
        print_json(circuit_document(found))
        return
    show_circuit(found)
    if done:
        say("Written down as done.")
    if not quiet:
        say(STOP_SIGNS)


def _name_in(circuit: "Circuit", typed: str) -> str:
    """Find an exercise of a circuit, however its letters were typed; as typed if it has none such."""
    names = {name.casefold(): name for name in circuit.names}
    return names.get(typed.strip().casefold(), typed)


def _weights(typed: list[str]) -> dict[str, float]:
    """Read weights typed as ``goblet squat=16``, kg."""
    found: dict[str, float] = {}
    for text in typed:
        name, sign, figure = text.rpartition("=")
        try:
            kg = float(figure.replace(",", ".")) if sign else None
        except ValueError:
            kg = None
        if kg is None:
            raise BadInput(f"{text!r} is no weight", "--weight", "Write it like goblet squat=16")
        found[name.strip()] = kg
    return found


def circuit_document(circuit: "Circuit") -> dict[str, object]:
    """Lay a circuit out as scripts get it."""
    return {
        "date": circuit.date,
        "top": circuit.top_count,
        "exercises": [
            {
                "name": station.exercise.name,
                "movement": station.exercise.movement,
                "reps": station.reps,
                "sides": station.exercise.sides,
                "weight_kg": station.weight_kg,
                "equipment": sorted(station.exercise.equipment),
                "joints": sorted(station.exercise.joints),
                "instruction": station.exercise.instruction,
                "reasons": [reason.sentence for reason in station.reasons],
            }
            for station in circuit.stations
        ],
        "total_reps": circuit.total_reps,
        "minutes": circuit.minutes,
        "minutes_at_most": circuit.minutes_at_most,
        "load": circuit.load,
        "rest": circuit.rest,
        "warm_up": [[move.exercise.name, move.seconds] for move in circuit.warm_up],
        "cool_down": [[move.exercise.name, move.seconds] for move in circuit.cool_down],
        "reasons": [reason.sentence for reason in circuit.reasons],
    }


def show_circuit(circuit: "Circuit") -> None:
    """Print a circuit to follow."""
    say(
        f"Circuit of {circuit.date}: {circuit.top_count} reps of each, then one fewer each round, down to 1. "
        f"{circuit.total_reps} reps, about {circuit.minutes:.0f} min."
    )
    _show_moves("Warm-up", circuit.warm_up)
    table(
        ["Exercise", "Reps", "How"],
        [
            [
                station.exercise.name
                if station.weight_kg is None
                else f"{station.exercise.name}, {station.weight_kg:g} kg",
                f"{station.reps[0]} to 1, {station.exercise.sides}",
                station.exercise.instruction,
            ]
            for station in circuit.stations
        ],
    )
    rest = circuit.rest
    if rest.level_bpm is not None:
        say(f"Rest: start the next round below {rest.level_bpm:.0f} bpm, or after {rest.at_most_s:.0f} s.")
    else:
        say(f"Rest: {rest.expected_s:.0f} s between rounds.")
    _show_moves("Cool-down", circuit.cool_down)
    for reason in circuit.reasons:
        say(f"  {reason.sentence}")


def _show_moves(what: str, moves: "tuple[TimedMove, ...]") -> None:
    if moves:
        say(f"{what}: " + ", ".join(f"{move.exercise.name} {move.seconds:.0f} s" for move in moves) + ".")
