"""One look at one address: the store, and what the address asks for, as typed values."""

from dataclasses import dataclass

from dashboards.urls import (
    RecoveryFilters,
    RecoveryKey,
    read_filters,
    read_selection,
    read_session,
    read_sessions_page,
    read_window,
)
from rideready.model.season import OpeningWindow
from rideready.services.context import Context


@dataclass(frozen=True, slots=True)
class Look:
    """What a page is given.

    Parameters
    ----------
    store
        The open store with its rider and today's date.
    pathname, search, fragment
        The parts of the address; each may be empty or None.
    """

    store: Context
    pathname: str | None = None
    search: str | None = None
    fragment: str | None = None

    @property
    def filters(self) -> RecoveryFilters:
        """Which recoveries are asked for."""
        return read_filters(self.search)

    @property
    def opened(self) -> RecoveryKey | None:
        """Which recovery is opened, if any."""
        return read_selection(self.fragment)

    @property
    def sessions_page(self) -> int | None:
        """Which page of the list of sessions this is, if it is one."""
        return read_sessions_page(self.pathname)

    @property
    def session_id(self) -> int | None:
        """Which session's page this is, if it is one."""
        return read_session(self.pathname)

    @property
    def tried_window(self) -> OpeningWindow | None:
        """Which opening window is tried out, if any."""
        return read_window(self.search)
