"""The address of what is on screen: typed filters and selections, read from it and written to it.

Everything a reader can choose lives in the address, so that a link, a bookmark, a second tab and
the browser's back button all show the same thing:

    /                             today
    /week?earliest=2026-12-05&likely=2026-12-19    the week, with another opening window tried out
    /plan                         the season up to the opening window
    /start                        the first steps
    /recovery                     trend and every recovery
    /recovery?grade=good,fair&mode=still&device=Strap&since=2026-09-01&until=2026-10-31&view=table
    /recovery#12.3                the same with the third recovery of session 12 opened
    /sessions                     every session, newest first
    /sessions/page/2              the older ones
    /sessions/12                  one of them
"""

import datetime as dt
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TypeVar
from urllib.parse import parse_qs, quote, urlencode

from rideready.model.recovery import Grade, Mode
from rideready.model.season import OpeningWindow

HOME = "/"
WEEK = "/week"
RECOVERY = "/recovery"
SESSIONS = "/sessions"
CIRCUIT = "/circuit"
PLAN = "/plan"
TESTS = "/tests"
PARTNER = "/partner"
RIDER = "/rider"
RIDER_SWITCH = "/rider/switch"
START = "/start"
DEMO = "/demo"

_Choice = TypeVar("_Choice", bound=StrEnum)
_SESSION_PATH = re.compile(r"^/sessions/(?P<number>\d{1,12})/?$")
_LIST_PATH = re.compile(r"^/sessions(?:/page/(?P<page>[1-9]\d{0,5}))?/?$")
_SELECTION = re.compile(r"^#?(?P<session>\d{1,12})\.(?P<order>\d{1,6})$")


class View(StrEnum):
    """How the recoveries are shown."""

    CHART = "chart"
    TABLE = "table"


@dataclass(frozen=True, slots=True)
class RecoveryFilters:
    """Which recoveries are on screen.

    Parameters
    ----------
    grades, modes
        Only these; empty takes all.
    device
        Only sessions of this recorder; None takes all.
    since, until
        First and last local day; None leaves the side open.
    view
        As dots or as a table.
    page
        Which page of the table, newest recoveries on page 1.
    ignored
        Parts of the address that name nothing we know, as they stood there.
    """

    grades: tuple[Grade, ...] = ()
    modes: tuple[Mode, ...] = ()
    device: str | None = None
    since: dt.date | None = None
    until: dt.date | None = None
    view: View = View.CHART
    page: int = 1
    ignored: tuple[str, ...] = ()

    @property
    def is_narrowed(self) -> bool:
        """Whether anything is left out on purpose."""
        return bool(self.grades or self.modes or self.device or self.since or self.until)


@dataclass(frozen=True, slots=True)
class RecoveryKey:
    """Which recovery: session number and its order within the session."""

    session_id: int
    order: int

    def __str__(self) -> str:
        return f"{self.session_id}.{self.order}"


def read_filters(search: str | None) -> RecoveryFilters:
    """Read the query part of an address; what cannot be understood is kept in ``ignored``."""
    asked = {name: values[-1] for name, values in parse_qs((search or "").lstrip("?")).items()}
    ignored: list[str] = []
    grades = _choices(asked.pop("grade", ""), Grade, ignored)
    modes = _choices(asked.pop("mode", ""), Mode, ignored)
    views = _choices(asked.pop("view", ""), View, ignored)
    device = asked.pop("device", None)
    since = _date(asked.pop("since", ""), ignored)
    until = _date(asked.pop("until", ""), ignored)
    page = _page(asked.pop("page", ""), ignored)
    ignored.extend(f"{name}={value}" for name, value in asked.items())
    return RecoveryFilters(
        grades, modes, device, since, until, views[0] if views else View.CHART, page, tuple(ignored)
    )


def write_filters(filters: RecoveryFilters) -> str:
    """Write filters as the query part of an address; empty if nothing is narrowed."""
    asked = {
        "grade": ",".join(filters.grades),
        "mode": ",".join(filters.modes),
        "device": filters.device or "",
        "since": filters.since.isoformat() if filters.since else "",
        "until": filters.until.isoformat() if filters.until else "",
        "view": filters.view if filters.view is not View.CHART else "",
        "page": str(filters.page) if filters.page > 1 else "",
    }
    said = {name: value for name, value in asked.items() if value}
    return f"?{urlencode(said, safe=',', quote_via=quote)}" if said else ""


def filters_from_controls(
    grades: Iterable[str] | None,
    modes: Iterable[str] | None,
    device: str | None,
    days: Iterable[str | None] | None,
    view: str | None,
) -> RecoveryFilters:
    """Make filters from the values of the controls, which are text or nothing."""
    since, until, *_ = [*(days or ()), "", ""]
    return RecoveryFilters(
        grades=tuple(grade for grade in Grade if grade in set(grades or ())),
        modes=tuple(mode for mode in Mode if mode in set(modes or ())),
        device=device or None,
        since=_date(since or "", []),
        until=_date(until or "", []),
        view=View.TABLE if view == View.TABLE else View.CHART,
    )


def after_controls(search: str | None, moved: RecoveryFilters) -> str:
    """Return the query part of the address after the controls were moved.

    Controls know neither the page of the table nor what could not be understood: the address stays
    as it is while they say the same as it does.
    """
    current = read_filters(search)
    is_same = replace(current, page=1, ignored=()) == moved
    return (search or "") if is_same else write_filters(moved)


def read_selection(fragment: str | None) -> RecoveryKey | None:
    """Read which recovery is opened from the part after ``#``; None if none is."""
    found = _SELECTION.match(fragment or "")
    return RecoveryKey(int(found["session"]), int(found["order"])) if found else None


def write_selection(key: RecoveryKey) -> str:
    """Write the part after and with ``#`` that opens a recovery."""
    return f"#{key}"


def read_window(search: str | None) -> OpeningWindow | None:
    """Read the opening window that is tried out from the query part; None if there is none that holds."""
    asked = {name: values[-1] for name, values in parse_qs((search or "").lstrip("?")).items()}
    earliest, likely = (_date(asked.get(name, ""), []) for name in ("earliest", "likely"))
    if earliest is None or likely is None or likely < earliest:
        return None
    return OpeningWindow(earliest, likely)


def write_window(window: OpeningWindow) -> str:
    """Write an opening window that is tried out as the query part of an address."""
    return f"?earliest={window.earliest.isoformat()}&likely={window.likely.isoformat()}"


def recovery_address(key: RecoveryKey) -> str:
    """Return the address that opens one recovery among all of them."""
    return f"{RECOVERY}{write_selection(key)}"


def session_address(session_id: int) -> str:
    """Return the address of one session's page."""
    return f"{SESSIONS}/{session_id}"


def sessions_address(page: int = 1) -> str:
    """Return the address of a page of the list of sessions."""
    return SESSIONS if page <= 1 else f"{SESSIONS}/page/{page}"


def read_sessions_page(pathname: str | None) -> int | None:
    """Read which page of the list of sessions a path names; None on any other path."""
    found = _LIST_PATH.match(pathname or "")
    return int(found["page"] or 1) if found else None


def read_session(pathname: str | None) -> int | None:
    """Read the number of a session from its page's path; None on any other path."""
    found = _SESSION_PATH.match(pathname or "")
    return int(found["number"]) if found else None


def _choices(text: str, kind: type[_Choice], ignored: list[str]) -> tuple[_Choice, ...]:
    asked = [word for word in text.split(",") if word]
    known = {str(choice) for choice in kind}
    ignored.extend(word for word in asked if word not in known)
    return tuple(choice for choice in kind if choice in asked)


def _page(text: str, ignored: list[str]) -> int:
    if text.isdecimal() and int(text[:6]) > 0:
        return int(text[:6])
    if text:
        ignored.append(text)
    return 1


def _date(text: str, ignored: list[str]) -> dt.date | None:
    try:
        return dt.date.fromisoformat(text[:10]) if text else None
    except ValueError:
        ignored.append(text)
        return None
