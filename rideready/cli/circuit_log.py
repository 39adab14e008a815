"""Circuits done, and what recordings showed of them, as a script gets them and as a rider reads them."""

from typing import TYPE_CHECKING

from rideready.cli.options import Common, opened
from rideready.cli.output import plain, print_json, say, table

if TYPE_CHECKING:
    from rideready.model.circuit import CircuitLog
    from rideready.services.matching import MatchedCircuit


def show_log(common: Common, *, as_json: bool) -> None:
    """Print the circuits done, each beside its recording."""
    from rideready.services.matching import circuit_log, matched_circuits

    with opened(common) as context:
        logs, matches = circuit_log(context), matched_circuits(context)
    if as_json:
        print_json([{**plain(log), "recorded": match_document(matches.get(log.date))} for log in logs])
        return
    table(
        ["Day", ">Rounds", ">RPE", "Exercises", ">Pulse up", ">Minutes", ">Rests settled"],
        [_cells(log, matches.get(log.date)) for log in logs],
    )
    say("Pulse up: share of the time at or above 60 % of the reserve. Minutes: as done, of those planned.")


def match_document(found: "MatchedCircuit | None") -> dict[str, object] | None:
    """Lay a match out as scripts get it; None stays null."""
    if found is None:
        return None
    match = found.match
    return {
        "session": found.session_id,
        "day": found.day,
        "exercises": found.circuit.names,
        **plain(match),
        "settled_share": None if match.recoveries is None else match.recoveries.settled_share,
        "median_rest_s": None if match.recoveries is None else match.recoveries.median_rest_s,
        "reasons": [reason.sentence for reason in match.reasons],
    }


def show_match(found: "MatchedCircuit | None") -> None:
    """Print what a recording showed of the circuit prescribed for its day."""
    if found is None:
        return
    match = found.match
    say(f"Circuit prescribed for {found.day}: {', '.join(found.circuit.names)}")
    took = "" if match.minutes is None else f", took {match.minutes:.0f}"
    say(f"  Planned {match.planned_minutes:.0f} min from first to last rep{took}")
    if match.share_above_floor is not None:
        say(
            f"  Pulse at or above {match.floor_bpm:.0f} bpm for {100 * match.share_above_floor:.0f} % of it, "
            "rests included"
        )
    if match.recoveries is not None:
        say(
            f"  Pulse came down below {match.level_bpm:.0f} bpm in {100 * match.recoveries.settled_share:.0f} % "
            f"of the rests; half of them were shorter than {match.recoveries.median_rest_s:.0f} s"
        )
    if match.rounds:
        table(
            [">Reps", ">Took, s", ">Planned, s", ">Peak, bpm", ">Rest, s", ">Fell, bpm", ">Settled after, s"],
            [
                [
                    str(one.reps),
                    f"{one.end_s - one.start_s:.0f}",
                    f"{one.planned_s:.0f}",
                    f"{one.peak_bpm:.0f}",
                    _figure(one.rest_s),
                    _figure(one.drop_bpm),
                    _figure(one.settle_s),
                ]
                for one in match.rounds
            ],
        )
    for reason in match.reasons:
        say(f"  {reason.sentence}")


def _cells(log: "CircuitLog", found: "MatchedCircuit | None") -> list[str]:
    match = None if found is None else found.match
    settled = None if log.recoveries is None else 100 * log.recoveries.settled_share
    up = None if match is None or match.share_above_floor is None else 100 * match.share_above_floor
    took = "-" if match is None else f"{_figure(match.minutes)} of {match.planned_minutes:.0f}"
    weights = dict(log.weights_kg)
    named = [f"{name} {weights[name]:g} kg" if name in weights else name for name in log.exercises]
    return [
        str(log.date),
        f"{log.rounds_done} of {log.top_count}",
        "-" if log.rpe is None else f"{log.rpe:g}",
        ", ".join(named),
        _percent(up),
        took,
        _percent(settled),
    ]


def _figure(value: float | None) -> str:
    return "-" if value is None else f"{value:.0f}"


def _percent(value: float | None) -> str:
    return "-" if value is None else f"{value:.0f} %"
