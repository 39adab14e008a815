"""``rideready recovery``: every recovery with its figures, uncertainty and grade."""

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from rideready.cli.numbers import counted, day_and_time, drop, interval, position, settled, whole
from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    SinceOption,
    StoreOption,
    UntilOption,
    day,
    opened_to_read,
)
from rideready.cli.output import plain, print_json, say, table
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.recovery import Grade, Mode
    from rideready.services.recoveries import RecoveryRow, RecoveryView

Word = TypeVar("Word", bound=StrEnum)


def command(
    session: Annotated[
        int | None, typer.Argument(metavar="SESSION", help="Only those of one session.", show_default=False)
    ] = None,
    order: Annotated[
        int | None,
        typer.Argument(metavar="ORDER", help="Only this one, in full: 1 for the first.", show_default=False),
    ] = None,
    *,
    since: SinceOption = None,
    until: UntilOption = None,
    grade: Annotated[
        str | None, typer.Option(metavar="GRADES", help="Only these, such as good,fair.")
    ] = None,
    mode: Annotated[str | None, typer.Option(metavar="MODES", help="Only these, such as still.")] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """List how far and how fast the pulse fell after efforts.

    Every figure with its uncertainty and grade; with SESSION and ORDER, one recovery in full.
    """
    from rideready.services.cautions import NOT_MEDICAL
    from rideready.services.recoveries import list_recoveries, recovery_view

    grades, modes = grades_named(grade), modes_named(mode)
    with opened_to_read(Common(store, rider, date, quiet or json)) as context:
        if session is not None and order is not None:
            view = recovery_view(context, session, order)
            print_json(view_document(view)) if json else _show(view)
            return
        rows = list_recoveries(context, since=day(since), until=day(until), grades=grades, modes=modes)
    rows = [row for row in rows if session is None or row.session_id == session]
    if json:
        print_json([recovery_document(row) for row in rows])
        return
    show_recoveries(rows)
    if not quiet:
        say(NOT_MEDICAL)


def show_recoveries(rows: "list[RecoveryRow]") -> None:
    """Print the table of recoveries and what it rests on."""
    table(recovery_headings(), [recovery_cells(row) for row in rows])
    n_sessions = len({row.session_id for row in rows})
    say(
        f"n = {counted(len(rows), 'recovery', 'recoveries')} of {counted(n_sessions, 'session', 'sessions')}; ± and brackets are 95 % intervals. "
        "In full, with reasons: rideready recovery SESSION ORDER"
    )


def recovery_headings() -> tuple[str, ...]:
    """Headings of `recovery_cells`."""
    return (
        "No.",
        "End of effort",
        "Kind",
        ">Peak\nbpm",
        ">Drop in 60 s\nbpm",
        ">in 120 s\nbpm",
        ">Time constant\ns",
        ">Settled after\ns",
        "Mode",
        "Grade",
    )


def recovery_cells(row: "RecoveryRow") -> tuple[str, ...]:
    """Write one recovery as cells of a table."""
    recovery = row.recovery
    return (
        f"{row.session_id}.{recovery.order}",
        day_and_time(row.end_local) if row.end_local else position(recovery.end_of_effort_s),
        str(row.kind),
        whole(recovery.peak_bpm),
        drop(recovery.hrr60_bpm, recovery.hrr60_se_bpm),
        drop(recovery.hrr120_bpm, recovery.hrr120_se_bpm),
        interval(recovery.tau_s, recovery.tau_low_s, recovery.tau_high_s),
        settled(
            recovery.settle_s,
            is_censored=recovery.settle_is_censored,
            is_extrapolated=recovery.settle_is_extrapolated,
        ),
        str(recovery.mode),
        str(recovery.grade),
    )


def recovery_document(row: "RecoveryRow") -> dict[str, object]:
    """Lay a recovery out as scripts get it."""
    document: dict[str, object] = plain(row.recovery)
    return {
        "session": row.session_id,
        "start": row.session_start_local,
        **document,
        "reasons": [reason.sentence for reason in row.recovery.reasons],
        "kind": row.kind,
        "device": row.device,
        "posture": row.posture,
        "altitude_m": row.altitude_m,
        "temperature_c": row.temperature_c,
    }


def view_document(view: "RecoveryView") -> dict[str, object]:
    """Lay one recovery with its curve out as scripts get it."""
    return {
        **recovery_document(view.row),
        "settle_bpm": view.settle_bpm,
        "raw": {"t_s": view.raw_t_s, "hr_bpm": view.raw_hr_bpm},
        "clean": {"t_s": view.clean_t_s, "hr_bpm": view.clean_hr_bpm},
        "curve": {
            "t_s": view.curve_t_s,
            "hr_bpm": view.curve_bpm,
            "low_bpm": view.curve_low_bpm,
            "high_bpm": view.curve_high_bpm,
        },
    }


def grades_named(text: str | None) -> "list[Grade] | None":
    """Read a list of grades; raises `BadInput` if one is none."""
    from rideready.model.recovery import Grade

    return None if text is None else [_one_of(Grade, name) for name in text.split(",")]


def modes_named(text: str | None) -> "list[Mode] | None":
    """Read a list of modes; raises `BadInput` if one is none."""
    from rideready.model.recovery import Mode

    return None if text is None else [_one_of(Mode, name) for name in text.split(",")]


def _one_of(words: type[Word], name: str) -> Word:
    try:
        return words(name.strip())
    except ValueError as error:
        raise BadInput(f"{name!r} is not known here", what_to_do=f"Say one of {', '.join(words)}") from error


def _show(view: "RecoveryView") -> None:
    recovery = view.row.recovery
    figures = {
        "Peak": f"{whole(recovery.peak_bpm)} bpm{_reserve(recovery.peak_reserve)}",
        "Drop in 30 s": f"{drop(recovery.hrr30_bpm, recovery.hrr30_se_bpm)} bpm",
        "Drop in 60 s": f"{drop(recovery.hrr60_bpm, recovery.hrr60_se_bpm)} bpm",
        "Drop in 120 s": f"{drop(recovery.hrr120_bpm, recovery.hrr120_se_bpm)} bpm",
        "T30": f"{whole(recovery.t30_s)} s",
        "Time constant": f"{interval(recovery.tau_s, recovery.tau_low_s, recovery.tau_high_s)} s",
        "Settled after": _settle(view),
        "Mode": f"{recovery.mode}, posture {view.row.posture or 'not logged'}",
        "Watched": f"{whole(recovery.window_s)} s, until: {recovery.cut_by}",
        "End of effort told by": str(recovery.evidence),
        "Grade": str(recovery.grade),
    }
    say(f"Recovery {view.row.session_id}.{recovery.order}, {_when(view)}; ± and brackets are 95 % intervals")
    for name, value in figures.items():
        say(f"  {name}: {value}")
    for sentence in view.sentences:
        say(f"  {sentence}")


def _when(view: "RecoveryView") -> str:
    row = view.row
    return day_and_time(row.end_local) if row.end_local else f"at {position(row.recovery.end_of_effort_s)}"


def _reserve(fraction: float | None) -> str:
    return "" if fraction is None else f" ({fraction * 100:.0f} % of the reserve)"


def _settle(view: "RecoveryView") -> str:
    recovery = view.row.recovery
    if view.settle_bpm is None:
        return "unknown: no settle level without maximum and resting heart rate"
    seconds = settled(
        recovery.settle_s,
        is_censored=recovery.settle_is_censored,
        is_extrapolated=recovery.settle_is_extrapolated,
    )
    return f"{seconds} s, down to {view.settle_bpm:.0f} bpm"
