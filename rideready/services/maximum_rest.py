"""Maximum and resting heart rate: entered, seen in recordings, predicted, and where they conflict.

Nothing here changes a number: what is used is what `rideready.services.riders` says is in use.
"""

import csv
import datetime as dt
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from rideready.errors import StoreProblem, UnreadableFile
from rideready.intensity import MaximumEquation, predicted_maximum_bpm, working_maximum_bpm
from rideready.model.maximum import HeldPulse, ObservedMaximum, RestingSummary, SessionHigh, SustainedPulse
from rideready.model.reason import Reason
from rideready.recovery.maximum import conflicts, highest_held, lowest_held, observed_maximum
from rideready.recovery.resting import resting_conflicts, summarise_resting
from rideready.services.context import Context
from rideready.services.diary import HIGHEST_REST_BPM, LOWEST_REST_BPM
from rideready.signal.clean import clean
from rideready.store.diary import resting_pulses, set_resting_pulse
from rideready.store.held_pulses import held_rows, keep_held
from rideready.store.riders import current_rider
from rideready.store.sessions import load_session


@dataclass(frozen=True, slots=True)
class MaximumAndRest:
    """Every source of the two numbers side by side.

    Parameters
    ----------
    measured_bpm
        Maximum as entered, bpm; None if not.
    observed
        What the recordings support, with the session it comes from; None without a usable one.
    predicted_bpm, predicted_see_bpm
        From age, and the standard error of that, bpm; None while the age is not known.
    used_bpm
        The maximum that analysis rests on, bpm; None without one.
    rest_entered_bpm
        Resting pulse as entered, bpm; None if not.
    rest_logged
        What the logged resting pulses come to.
    rest_seen
        The lowest level a recording held for a minute; None without one.
    reasons
        What to beware of, and the conflicts.
    """

    measured_bpm: float | None
    observed: ObservedMaximum | None
    predicted_bpm: float | None
    predicted_see_bpm: float | None
    used_bpm: float | None
    rest_entered_bpm: float | None
    rest_logged: RestingSummary
    rest_seen: SustainedPulse | None
    reasons: tuple[Reason, ...]


def maximum_and_rest(ctx: Context) -> MaximumAndRest:
    """Lay every source of maximum and resting pulse side by side; conflicts become reasons."""
    equation = MaximumEquation.TANAKA
    with ctx.store.reading() as connection:
        rider = current_rider(connection, ctx.rider_id)
        logged = summarise_resting(resting_pulses(connection, ctx.rider_id), ctx.today)
    predicted = None if rider.age_years is None else predicted_maximum_bpm(rider.age_years, equation)
    highs, lowest = _extremes(ctx)
    observed = observed_maximum(highs)
    # With a medicine that alters the pulse no prediction is in use, so none can conflict.
    in_question = None if rider.takes_heart_rate_medicine else predicted
    reasons = (
        *(() if observed is None else observed.reasons),
        *conflicts(rider.max_hr_bpm, observed, in_question, equation=equation),
        *logged.reasons,
        *resting_conflicts(rider.resting_hr_bpm, logged, lowest=lowest),
    )
    return MaximumAndRest(
        measured_bpm=rider.max_hr_bpm,
        observed=observed,
        predicted_bpm=predicted,
        predicted_see_bpm=None if predicted is None else equation.see_bpm,
        used_bpm=working_maximum_bpm(rider),
        rest_entered_bpm=rider.resting_hr_bpm,
        rest_logged=logged,
        rest_seen=lowest,
        reasons=reasons,
    )


def read_resting_csv(ctx: Context, path: Path) -> int:
    """Log resting pulses from a table of two columns, day and bpm; return how many days it had.

    Parameters
    ----------
    ctx
        Store and rider; a day already logged takes the value of the file.
    path
        Rows like ``2026-09-01,52``, in any order; a first row without a number is a heading. Semicolons
        or tabs may stand for the commas, and then a comma for the point.

    Raises
    ------
    UnreadableFile
        If the file cannot be read, is empty, or a row is no day and resting pulse; nothing is logged then.
    """
    pulses = _pulses(path)
    with ctx.store.writing() as connection:
        for day, bpm in pulses.items():
            set_resting_pulse(connection, ctx.rider_id, day, bpm)
    return len(pulses)


def _extremes(ctx: Context) -> tuple[list[SessionHigh], SustainedPulse | None]:
    """Return the highest level held in each session, and the lowest in any."""
    with ctx.store.reading() as connection:
        rows = held_rows(connection, ctx.rider_id)
    highs: list[SessionHigh] = []
    lows: list[SustainedPulse] = []
    for row in rows:
        held = row.held or _look(ctx, row.session_id)
        if held.highest is not None:
            highs.append(SessionHigh(row.session_id, row.day, held.highest))
        if held.lowest is not None:
            lows.append(held.lowest)
    return highs, min(lows, key=lambda low: low.bpm, default=None)


def _look(ctx: Context, session_id: int) -> HeldPulse:
    """Look through a session that was stored before this was kept, and keep what it held."""
    with ctx.store.reading() as connection:
        signal = clean(load_session(connection, session_id))
    held = HeldPulse(highest_held(signal), lowest_held(signal))
    with suppress(StoreProblem), ctx.store.writing() as connection:  # a store may be for reading only
        keep_held(connection, session_id, held)
    return held


def _pulses(path: Path) -> dict[dt.date, float]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise UnreadableFile(str(path), "it cannot be read as text", "Check the name and the file") from error
    separator = next((mark for mark in (";", "\t") if mark in text), ",")
    pulses: dict[dt.date, float] = {}
    rows = [
        (number, [cell.strip() for cell in row])
        for number, row in enumerate(csv.reader(text.splitlines(), delimiter=separator), start=1)
        if any(cell.strip() for cell in row)
    ]
    if rows and not any(character.isdigit() for character in "".join(rows[0][1])):
        rows = rows[1:]  # the heading
    for number, cells in rows:
        day, bpm = _pulse(cells, str(path), number)
        if pulses.get(day, bpm) != bpm:
            raise UnreadableFile(
                str(path), f"line {number} gives another pulse for {day} than before", "Keep one of them"
            )
        pulses[day] = bpm
    if not pulses:
        raise UnreadableFile(str(path), "it has no row with a day and a resting pulse")
    return pulses


def _pulse(cells: list[str], path: str, number: int) -> tuple[dt.date, float]:
    try:
        day_text, bpm_text = cells
        day, bpm = dt.date.fromisoformat(day_text), float(bpm_text.replace(",", "."))
    except ValueError as error:
        raise UnreadableFile(
            path, f"line {number} is no day and resting pulse", "Write rows like 2026-09-01,52"
        ) from error
    if not LOWEST_REST_BPM <= bpm <= HIGHEST_REST_BPM:
        raise UnreadableFile(
            path, f"line {number}: {bpm:g} bpm is no resting pulse", "Give one between 25 and 130"
        )
    return day, bpm
