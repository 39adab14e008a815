"""The address of the list of sessions: which of them, in which order, which page.

    /sessions?kind=bike,run&device=Strap&since=2026-09-01&until=2026-10-31&recoveries=some&sort=drop&page=2

``sort=drop`` puts the largest drop first, ``sort=-drop`` the smallest; without it the newest come first.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any
from urllib.parse import parse_qs, quote, urlencode

from dashboards.urls import SESSIONS
from rideready.model.session import Kind
from rideready.services.sessions import SessionRow


class Column(StrEnum):
    """What the list can be sorted by."""

    DATE = "date"
    KIND = "kind"
    DURATION = "duration"
    RECORDER = "recorder"
    MEAN = "mean"
    LOAD = "load"
    RECOVERIES = "recoveries"
    DROP = "drop"


@dataclass(frozen=True, slots=True)
class SessionFilters:
    """Which sessions are on screen, and how.

    Parameters
    ----------
    kinds
        Only these; empty takes all.
    device
        Only this recorder; None takes all.
    since, until
        First and last local day; None leaves the side open.
    has_recoveries
        Whether only sessions with a trusted recovery are wanted.
    sort
        By what.
    is_reversed
        Whether the smallest, or the oldest, come first.
    page
        Which page, from 1.
    ignored
        Parts of the address that name nothing we know, as they stood there.
    """

    kinds: tuple[Kind, ...] = ()
    device: str | None = None
    since: dt.date | None = None
    until: dt.date | None = None
    has_recoveries: bool = False
    sort: Column = Column.DATE
    is_reversed: bool = False
    page: int = 1
    ignored: tuple[str, ...] = ()

    @property
    def is_narrowed(self) -> bool:
        """Whether anything is left out on purpose."""
        return bool(self.kinds or self.device or self.since or self.until or self.has_recoveries)


def read_session_filters(search: str | None) -> SessionFilters:
    """Read the query part of an address; what cannot be understood is kept in ``ignored``."""
    asked = {name: values[-1] for name, values in parse_qs((search or "").lstrip("?")).items()}
    ignored: list[str] = []
    words = [word for word in asked.pop("kind", "").split(",") if word]
    ignored += [word for word in words if word not in {str(kind) for kind in Kind}]
    sort = asked.pop("sort", "")
    column = sort.removeprefix("-")
    if sort and column not in {str(known) for known in Column}:
        ignored.append(f"sort={sort}")
        sort, column = "", ""
    recoveries = asked.pop("recoveries", "")
    if recoveries not in {"", "some"}:
        ignored.append(f"recoveries={recoveries}")
    page = asked.pop("page", "1")
    filters = SessionFilters(
        kinds=tuple(kind for kind in Kind if str(kind) in words),
        device=asked.pop("device", None),
        since=_date(asked.pop("since", ""), ignored),
        until=_date(asked.pop("until", ""), ignored),
        has_recoveries=recoveries == "some",
        sort=Column(column) if column else Column.DATE,
        is_reversed=sort.startswith("-"),
        page=max(1, int(page[:6])) if page.isdecimal() else 1,
    )
    ignored += [f"{name}={value}" for name, value in asked.items()]
    return replace(filters, ignored=tuple(ignored))


def write_session_filters(filters: SessionFilters) -> str:
    """Write filters as the query part of an address; empty if nothing differs from the whole list."""
    order = f"{'-' if filters.is_reversed else ''}{filters.sort}"
    asked = {
        "kind": ",".join(filters.kinds),
        "device": filters.device or "",
        "since": filters.since.isoformat() if filters.since else "",
        "until": filters.until.isoformat() if filters.until else "",
        "recoveries": "some" if filters.has_recoveries else "",
        "sort": "" if order == Column.DATE else order,
        "page": str(filters.page) if filters.page > 1 else "",
    }
    said = {name: value for name, value in asked.items() if value}
    return f"?{urlencode(said, safe=',', quote_via=quote)}" if said else ""


def sessions_at(filters: SessionFilters) -> str:
    """Return the address of the list with these filters."""
    return f"{SESSIONS}{write_session_filters(filters)}"


def sorted_by(filters: SessionFilters, column: Column) -> SessionFilters:
    """Return the filters after the head of a column was pressed: a second press turns the order round."""
    turned = filters.sort is column and not filters.is_reversed
    return replace(filters, sort=column, is_reversed=turned, page=1)


def filters_from_session_controls(
    search: str | None,
    kinds: Iterable[str] | None,
    device: str | None,
    days: Iterable[str | None] | None,
    recoveries: Iterable[str] | None,
) -> SessionFilters:
    """Return the filters after the controls were moved; order and, if nothing changed, page stay."""
    since, until, *_ = [*(days or ()), "", ""]
    before = read_session_filters(search)
    moved = replace(
        before,
        kinds=tuple(kind for kind in Kind if str(kind) in set(kinds or ())),
        device=device or None,
        since=_date(since or "", []),
        until=_date(until or "", []),
        has_recoveries=bool(recoveries),
    )
    return before if moved == before else replace(moved, page=1, ignored=())


def chosen_sessions(rows: Sequence[SessionRow], filters: SessionFilters) -> list[SessionRow]:
    """Keep the sessions the filters choose, in the order they ask for.

    What has no value in the column comes last in either order; equals stay newest first.
    """
    kept = [row for row in rows if _is_wanted(row, filters)]
    value_of = _VALUES[filters.sort]
    valued = [row for row in kept if value_of(row) is not None]
    without = [row for row in kept if value_of(row) is None]
    is_text = filters.sort in {Column.KIND, Column.RECORDER}
    valued.sort(key=value_of, reverse=is_text is filters.is_reversed)
    return [*valued, *without]


def _is_wanted(row: SessionRow, filters: SessionFilters) -> bool:
    day = None if row.start_local is None else row.start_local.date()
    return (
        (not filters.kinds or row.kind in filters.kinds)
        and (filters.device is None or row.device == filters.device)
        and (filters.since is None or (day is not None and day >= filters.since))
        and (filters.until is None or (day is not None and day <= filters.until))
        and (not filters.has_recoveries or row.n_trusted > 0)
    )


_VALUES: dict[Column, Callable[[SessionRow], Any]] = {
    Column.DATE: lambda row: row.start_utc,
    Column.KIND: lambda row: str(row.kind),
    Column.DURATION: lambda row: row.duration_s,
    Column.RECORDER: lambda row: row.device,
    Column.MEAN: lambda row: row.mean_hr_bpm,
    Column.LOAD: lambda row: row.trimp,
    Column.RECOVERIES: lambda row: row.n_trusted,
    Column.DROP: lambda row: row.median_hrr60_bpm,
}


def _date(text: str, ignored: list[str]) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text[:10]) if text else None
    except ValueError:
        ignored.append(text)
        return None
