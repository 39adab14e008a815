"""``rideready test``: how field tests are done, what one says, and the rider's own history of them."""

from typing import TYPE_CHECKING, Annotated, Final

import typer

from rideready.cli.options import (
    Common,
    DateOption,
    JsonOption,
    QuietOption,
    RiderOption,
    StoreOption,
    opened,
)
from rideready.cli.output import plain, print_json, say, table
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.model.fieldtest import BandReading, FieldTest, Figure
    from rideready.model.protocol import ProtocolStep
    from rideready.services.fieldtests import FieldTestView, Instruction

#: Exit code where a recording gave no figure.
NO_FIGURE: Final = 2


def command(
    protocol: Annotated[
        str | None,
        typer.Argument(
            help="harvard, ymca, queens-college, bursts or ride; without it your tests are listed."
        ),
    ] = None,
    *,
    counts: Annotated[
        str | None,
        typer.Option(
            "--counts",
            "--count",
            metavar="BEATS",
            help="Beats counted by hand: harvard three of 30 s (90,80,70) or the first; ymca one of a minute; "
            "queens-college one of 15 s.",
        ),
    ] = None,
    seconds: Annotated[
        float | None, typer.Option(metavar="S", help="harvard: how long you stepped, at most 300 s.")
    ] = None,
    session: Annotated[
        int | None,
        typer.Option(
            metavar="NUMBER", help="Read the test from this session, as `rideready sessions` lists it."
        ),
    ] = None,
    stop: Annotated[
        str | None,
        typer.Option(metavar="M:SS", help="With --session: where in it you stopped, if it is not found."),
    ] = None,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> int:
    """Show how a field test is done, score one, or list yours.

    A test entered again for the same day takes the place of the first.
    """
    from rideready.services.fieldtests import instruction, list_tests, score_by_hand, score_session

    test = _test_named(protocol)
    _check(test, counts, seconds, session, stop)
    with opened(Common(store, rider, date, quiet or json)) as context:
        if test is None:
            return _list(list_tests(context), as_json=json)
        if counts is None and session is None:
            return _instruct(instruction(context, test), list_tests(context, test=test), as_json=json)
        if session is None:
            view = score_by_hand(context, test, _counts(counts or ""), seconds=seconds)
        else:
            view = score_session(context, test, session, stop_s=_stop_s(stop), stepped_s=seconds)
    return _report(view, as_json=json, quiet=quiet)


def _test_named(word: str | None) -> "FieldTest | None":
    """Read a test's name or the beginning of it; raises `BadInput` if no test goes by it."""
    from rideready.model.fieldtest import FieldTest

    if word is None:
        return None
    found = [test for test in FieldTest if word and test.startswith(word.lower())]
    if len(found) != 1:
        raise BadInput(f"there is no test called {word!r}", what_to_do=f"Known are {', '.join(FieldTest)}")
    return found[0]


def _check(
    test: "FieldTest | None",
    counts: str | None,
    seconds: float | None,
    session: int | None,
    stop: str | None,
) -> None:
    """Refuse options that do not go together, before anything is opened or kept."""
    if test is None and any(told is not None for told in (counts, seconds, session, stop)):
        raise BadInput("which test was it", what_to_do="Type it like: rideready test ymca --count 95")
    if counts is not None and session is not None:
        raise BadInput(
            "a test is counted by hand or read from a session", "--counts and --session", "Give one"
        )
    if stop is not None and session is None:
        raise BadInput("a stop is a place in a session", "--stop", "Add --session")
    if seconds is not None and counts is None and session is None:
        raise BadInput("what did you count", "--seconds", "Add --counts, or --session for a recording")


def _counts(text: str) -> tuple[float, ...]:
    try:
        return tuple(float(one) for one in text.split(","))
    except ValueError as error:
        raise BadInput(f"{text!r} is no list of beats", "--counts", "Write it like 90,80,70") from error


def _stop_s(text: str | None) -> float | None:
    """Read a place in a session, as minutes and seconds or seconds alone."""
    if text is None:
        return None
    minutes, _, seconds = text.rpartition(":")
    if not seconds.isdecimal() or not (minutes.isdecimal() or ":" not in text):
        raise BadInput(f"{text!r} is no place in a session", "--stop", "Write it like 6:30, or 390")
    return 60.0 * int(minutes or 0) + int(seconds)


def view_document(view: "FieldTestView") -> dict[str, object]:
    """Lay a test out as scripts get it."""
    dated, result = view.kept.dated, view.result
    return {
        "test": result.test,
        "date": dated.day,
        "session": view.kept.session_id,
        "device": dated.device,
        "kept": view.is_kept,
        "counting": result.counting,
        "figures": [{**plain(figure), "unit": figure.measure.unit} for figure in result.figures],
        "bands": [_band_document(band) for band in result.bands],
        "counts": result.counts,
        "bursts": result.bursts,
        "stages": result.stages,
        "stop_s": result.stop_s,
        "by_protocol": result.was_by_protocol,
        "reasons": [reason.sentence for reason in result.reasons],
        "comparison": {
            **plain(view.comparison),
            "reasons": [reason.sentence for reason in view.comparison.reasons],
        },
    }


def _band_document(band: "BandReading") -> dict[str, object]:
    document: dict[str, object] = plain(band)
    return {**document, "notes": [note.sentence for note in band.notes]}


def _list(views: "list[FieldTestView]", *, as_json: bool) -> int:
    from rideready.model.fieldtest import FieldTest

    if as_json:
        print_json({"tests": list(FieldTest), "history": [view_document(view) for view in views]})
        return 0
    table(("Test", "What it is"), [(test, test.label) for test in FieldTest])
    say("How one is done: rideready test NAME")
    if views:
        _show_history(views)
    else:
        say("You have none yet.")
    return 0


def _show_history(views: "list[FieldTestView]") -> None:
    table(
        ("Day", "Test", "Figure", ">Value (95 %)", "Band", "Against earlier ones", "Counted"),
        [
            (
                view.kept.dated.day.isoformat(),
                view.result.test.label,
                view.result.main.measure,
                figure_text(view.result.main),
                view.result.bands[0].label if view.result.bands else "",
                _direction(view),
                _counted(view),
            )
            for view in views
            if view.result.main is not None
        ],
    )


def _direction(view: "FieldTestView") -> str:
    usual = view.comparison.from_usual
    return "first one" if usual is None else f"{usual.change:+z.0f}, {usual.direction}"


def _counted(view: "FieldTestView") -> str:
    session = view.kept.session_id
    how = str(view.result.counting) if session is None else f"in session {session}"
    return how if view.result.was_by_protocol else f"{how}, off the protocol"


def figure_text(figure: "Figure") -> str:
    """Write a figure with its unit and, where it is known, its interval."""
    digits = 1 if figure.measure.unit in {"", "bpm a burst"} else 0
    text = f"{figure.value:z.{digits}f} {figure.measure.unit}".strip()
    if figure.low is None or figure.high is None:
        return text
    return f"{text} ({figure.low:z.{digits}f} to {figure.high:z.{digits}f})"


def _instruct(found: "Instruction", views: "list[FieldTestView]", *, as_json: bool) -> int:
    protocol = found.protocol
    if as_json:
        document = {**plain(protocol), "minutes": protocol.minutes, "not_today": found.not_today}
        print_json({"protocol": document, "history": [view_document(view) for view in views]})
        return 0
    say(f"{protocol.test.label}, about {protocol.minutes:.0f} min. {protocol.purpose}")
    for sentence in (*found.not_today, *protocol.not_for, protocol.stop_signs):
        say(f"  {sentence}")
    say(f"You need: {', '.join(protocol.equipment)}.")
    for sentence in protocol.beforehand:
        say(f"  {sentence}")
    _steps(protocol.steps, 1)
    if protocol.rounds:
        say(f"Then {protocol.rounds} times:")
        _steps(protocol.round_steps, len(protocol.steps) + 1)
        say("Then:")
    _steps(protocol.closing, len(protocol.steps) + len(protocol.round_steps) + 1)
    for sentence in protocol.good_to_know:
        say(f"  {sentence}")
    say(f"Source: {protocol.source.rstrip('.')}.")
    if views:
        _show_history(views)
    return 0


def _steps(steps: "tuple[ProtocolStep, ...]", first: int) -> None:
    for number, step in enumerate(steps, start=first):
        told = []
        if step.seconds is not None:
            told.append(f"{step.seconds} s")
        if step.ticks_per_min is not None:
            told.append(f"metronome {step.ticks_per_min}")
        if step.low_bpm is not None and step.high_bpm is not None:
            told.append(f"{step.low_bpm:.0f} to {step.high_bpm:.0f} bpm")
        say(f"  {number}. {step.what}" + (f" [{', '.join(told)}]" if told else ""))


def _report(view: "FieldTestView", *, as_json: bool, quiet: bool) -> int:
    from rideready.services.cautions import NOT_MEDICAL, STOP_SIGNS

    code = 0 if view.is_kept else NO_FIGURE
    if as_json:
        print_json(view_document(view))
        return code
    result = view.result
    say(f"{result.test.label} of {view.kept.dated.day}, {_counted(view)}")
    for figure in result.figures:
        say(f"{figure.measure.capitalize()}: {figure_text(figure)}")
    for band in result.bands:
        say(f"  By {band.source}: {band.label}" + ("" if band.is_chosen else " (not the one gone by)"))
    reasons = (*result.reasons, *view.comparison.reasons)
    for sentence in dict.fromkeys(reason.sentence for reason in reasons):
        say(f"  {sentence}")
    if not view.is_kept:
        say("No figure, so nothing is kept.")
    if not quiet:
        say(STOP_SIGNS)
        say(NOT_MEDICAL)
    return code
