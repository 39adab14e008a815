"""What the rider writes down by hand: sessions without a recording, resting pulse, how the body feels."""

import datetime as dt
from collections.abc import Sequence

from rideready.errors import BadInput
from rideready.model.condition import Away
from rideready.model.exercise import Joint
from rideready.model.week import MuscleGroup
from rideready.services.context import Context
from rideready.services.done import DIARY_KINDS
from rideready.store.diary import LogEntry, add_log_entry, log_entries, set_resting_pulse

#: What a strength session was for; without a tag it was for the whole body.
STRENGTH_TAGS = tuple(group.value for group in MuscleGroup)
#: Words of the diary besides sessions, and the tags each takes.
FEELINGS = {
    "illness": ("fever", "cold"),
    "well": (),
    "sore": (*(joint.value for joint in Joint), *STRENGTH_TAGS),
    "healed": (*(joint.value for joint in Joint), *STRENGTH_TAGS),
    "away": None,
    "home": (),
    "note": None,
}
LOWEST_REST_BPM, HIGHEST_REST_BPM = 25.0, 130.0


def write_entry(
    ctx: Context,
    kind: str,
    *,
    minutes: float | None = None,
    rpe: float | None = None,
    tags: Sequence[str] = (),
    notes: str = "",
) -> LogEntry:
    """Write a line into the diary of today.

    Parameters
    ----------
    ctx
        Store, rider and today.
    kind
        A session of `DIARY_KINDS` or a word of `FEELINGS`.
    minutes, rpe
        How long, and how hard from 0 to 10; for sessions.
    tags
        What is sore or healed, a joint or a group of muscles; which illness; for ``strength`` what it was
        for: ``legs``, ``upper body``, ``trunk``; for ``away`` its first and its last day, as ``2026-10-12``.
    notes
        The rider's own words.

    Raises
    ------
    BadInput
        If the kind or a tag is unknown or a number lies outside its range; nothing is written then.
    """
    entry = LogEntry(ctx.today, kind, minutes, rpe, tuple(tags), notes)
    write_entries(ctx, [entry])
    return entry


def write_entries(ctx: Context, entries: Sequence[LogEntry]) -> None:
    """Write lines that belong together into the diary, all of them or, on `BadInput`, none."""
    for entry in entries:
        _check(entry.kind, entry.minutes, entry.rpe, entry.tags)
    with ctx.store.writing() as connection:
        for entry in entries:
            add_log_entry(connection, ctx.rider_id, entry)


def write_resting_pulse(ctx: Context, bpm: float) -> None:
    """Write down this morning's resting pulse, bpm; raises `BadInput` if it cannot be one."""
    if not LOWEST_REST_BPM <= bpm <= HIGHEST_REST_BPM:
        raise BadInput(f"{bpm:g} bpm is no resting pulse", "--rest", "Give one between 25 and 130")
    with ctx.store.writing() as connection:
        set_resting_pulse(connection, ctx.rider_id, ctx.today, bpm)


def diary(ctx: Context) -> list[LogEntry]:
    """Lines of the diary, oldest first."""
    with ctx.store.reading() as connection:
        return log_entries(connection, ctx.rider_id)


def _check(kind: str, minutes: float | None, rpe: float | None, tags: Sequence[str]) -> None:
    if kind not in DIARY_KINDS and kind not in FEELINGS:
        known = ", ".join([*DIARY_KINDS, *FEELINGS])
        raise BadInput(f"{kind!r} is no word of the diary", what_to_do=f"Known are {known}")
    allowed = STRENGTH_TAGS if kind == "strength" else FEELINGS.get(kind, ())
    unknown = [tag for tag in tags if allowed is not None and tag not in allowed]
    if unknown:
        what_to_do = f"Known are {', '.join(allowed)}" if allowed else "Leave it out"
        raise BadInput(f"{unknown[0]!r} is no tag of {kind!r}", "--tag", what_to_do)
    if kind == "away":
        _check_days(tags)
    if kind in {"sore", "healed"} and not tags:
        raise BadInput("what is it about", f"log {kind}", f"Add --tag with one of {', '.join(allowed or ())}")
    if kind in DIARY_KINDS and kind != "circuit" and minutes is None:
        raise BadInput("how long was it", f"log {kind}", "Add --minutes")
    if minutes is not None and not 0 < minutes <= 1440:
        raise BadInput(f"{minutes:g} minutes are no session", "--minutes", "Give 1 to 1440")
    if rpe is not None and not 0 <= rpe <= 10:
        raise BadInput(f"{rpe:g} is no rating", "--rpe", "Give 0 (rest) to 10 (maximal)")


def _check_days(tags: Sequence[str]) -> None:
    try:
        first, last = (dt.date.fromisoformat(tag) for tag in tags)
    except ValueError as error:
        what_to_do = "Give the first and the last day, such as --since 2026-10-12 --until 2026-10-18"
        raise BadInput("which days are you away", "log away", what_to_do) from error
    Away(first, last)
