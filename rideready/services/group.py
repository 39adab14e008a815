"""Handouts and calendars for a whole group of guests from one plan."""

import csv
import datetime as dt
import io
import re
import unicodedata
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from rideready.errors import BadInput, Infeasible
from rideready.model.circuit import CircuitRequest
from rideready.model.condition import Clearance
from rideready.model.season import SeasonRequest
from rideready.services.context import Context
from rideready.services.sharing import CalendarWishes, calendar_bytes, share_plan
from rideready.services.workers import spread
from rideready.share.calendar_events import StartTimes, events_of
from rideready.share.calendar_file import CalendarEvent
from rideready.share.fit_plan import Adopter, fit_plan
from rideready.share.handout import handout_html
from rideready.share.plan_file import PlanFile
from rideready.share.roster import Guest
from rideready.share.writing import write_file


@dataclass(frozen=True, slots=True)
class GuestResult:
    """What one guest gets.

    Parameters
    ----------
    name
        The guest.
    asks_first
        Whether a doctor is to be asked first; the guest is given no intensity.
    minutes
        Moderate-equivalent minutes of the plan; None without one.
    changes
        What was changed for the guest, one sentence each.
    files
        Names of the files written for the guest.
    """

    name: str
    asks_first: bool
    minutes: int | None
    changes: tuple[str, ...]
    files: tuple[str, ...]


def group(
    ctx: Context,
    guests: Sequence[Guest],
    folder: Path,
    wishes: CalendarWishes,
    *,
    plan: PlanFile | None = None,
    giver: str = "",
    progress: Callable[[int, int], None] | None = None,
) -> list[GuestResult]:
    """Make a handout and a calendar for each guest, and a summary for whoever leads them.

    Everything is worked out before the first file is written.

    Parameters
    ----------
    ctx
        Store, rider and today.
    guests
        From a roster.
    folder
        Where the files go; made if it is not there.
    wishes
        How the calendars are wanted.
    plan
        The plan; None takes the rider's own.
    giver
        The name to give with an own plan.
    progress
        Called with how many guests are done and all of them.

    Returns
    -------
    list of GuestResult
        One a guest, in their order.

    Raises
    ------
    BadInput
        If the plan's window is past or a file cannot be written.
    """
    plan = plan or share_plan(ctx, giver=giver)
    items = [_Item(plan, guest, ctx.today, wishes.times) for guest in guests]
    made: list[_Made] = []
    for number, one in enumerate(spread(_make, items, if_killed=_make), start=1):
        made.append(one)
        if progress is not None:
            progress(number, len(guests))
    results: list[GuestResult] = []
    with ctx.store.writing() as connection:  # what was sent is kept only if every file is written
        written: list[tuple[str, str | bytes]] = []
        for number, (guest, one) in enumerate(zip(guests, made, strict=True), start=1):
            files: list[tuple[str, str | bytes]] = []
            if one.handout:
                stem = f"{number:03d}-{_slug(guest.name)}"
                entries = calendar_bytes(
                    connection, ctx, one.events, wishes, plan_id=plan.plan_id, whose=guest.name
                )
                files = [(f"{stem}.html", one.handout), (f"{stem}.ics", entries)]
            written += files
            results.append(replace(one.result, files=tuple(name for name, _ in files)))
        _write(folder, [*written, ("summary.csv", summary_csv(results))])
    return results


def summary_csv(results: Sequence[GuestResult]) -> str:
    """Lay the summary out as CSV; no cell begins as a formula would."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow(["guest", "see a doctor first", "minutes planned", "changes", "files"])
    for result in results:
        cells = [
            result.name,
            "yes" if result.asks_first else "no",
            "" if result.minutes is None else str(result.minutes),
            " ".join(result.changes),
            " ".join(result.files),
        ]
        table.writerow([safe_cell(cell) for cell in cells])
    return out.getvalue()


def safe_cell(text: str) -> str:
    """Keep a spreadsheet from taking a text for a formula: what begins like one gets an apostrophe."""
    return f"'{text}" if text[:1] in {"=", "+", "-", "@", "\t", "\r", "|", "%"} else text


@dataclass(frozen=True, slots=True)
class _Item:
    """What one guest's papers are made from."""

    plan: PlanFile
    guest: Guest
    today: dt.date
    times: StartTimes


@dataclass(frozen=True, slots=True)
class _Made:
    """One guest's papers before anything is written; no handout where no plan can be made."""

    result: GuestResult
    handout: str = ""
    events: tuple[CalendarEvent, ...] = ()


def _make(item: _Item) -> _Made:
    """Make one guest's papers; called in a process of its own."""
    guest = item.guest
    season = SeasonRequest(
        item.plan.window,
        item.today,
        minutes_by_weekday=guest.minutes_by_weekday,
        level=guest.level,
        usual_min=guest.usual_min,
        clearance=guest.clearance,
    )
    circuit = CircuitRequest(
        item.today,
        rider=guest.rider,
        level=guest.level,
        equipment=guest.equipment,
        avoid_joints=guest.avoid_joints,
    )
    asks_first = guest.clearance is Clearance.ASK_FIRST
    try:
        fitted = fit_plan(item.plan, Adopter(season, circuit, guest.name))
    except Infeasible as error:  # one guest without a day is no reason to leave the others without a plan
        return _Made(GuestResult(guest.name, asks_first, None, (str(error),), ()))
    said = tuple(reason.sentence for reason in (*fitted.reasons, *fitted.changes))
    minutes = None
    if fitted.season is not None:
        minutes = sum(week.targets.moderate_equivalent_min for week in fitted.season.weeks)
    result = GuestResult(guest.name, asks_first, minutes, said, ())
    return _Made(result, handout_html(fitted), tuple(events_of(fitted, item.times, whose=guest.name)))


def _write(folder: Path, files: Sequence[tuple[str, str | bytes]]) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise BadInput(f"it cannot be made ({error.strerror})", str(folder), "Name another folder") from error
    for name, content in files:
        write_file(folder / name, content)


def _slug(name: str) -> str:
    """Make a file name of a name: letters and digits only."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", errors="ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:40] or "guest"
