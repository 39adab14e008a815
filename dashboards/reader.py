"""Who is looking: which rider of the store, and how figures are written for them.

Several riders may share a store, and two of them may look at once, each on a phone of their own. Whose
figures a browser shows is kept in a cookie of that browser, so that its tabs agree.
"""

import datetime as dt
from collections.abc import Callable
from typing import Any, Final

from dash import Dash
from flask import Response, g, has_request_context, request

from dashboards import formats
from dashboards.demo_room import DemoRoom
from dashboards.urls import RIDER_SWITCH
from dashboards.words import say
from rideready.services.context import Context
from rideready.services.preferences import get_preferences
from rideready.services.riders import riders_by_number

_COOKIE: Final = "rideready_rider"
#: What may be another in each request.
_OF_REQUEST: Final = frozenset({"store", "rider_id", "today"})
_A_YEAR_S: Final = 365 * 86400
#: Addresses that write no figure.
_STILL: Final = ("/assets/", "/_dash-component-suites/", "/health")


class ReaderContext(Context):
    """A context whose rider is the one that the browser asking has chosen, and whose today is the request's.

    While that browser is in the demo, its store is the demo's. Until a browser has chosen, and outside
    requests, store, rider and day are those it was made with.
    """

    __slots__ = ()

    def __getattribute__(self, name: str) -> Any:
        """Answer with what holds for this request where the usual rider or day is asked for."""
        if name in _OF_REQUEST and has_request_context() and name in g:
            return g.get(name)
        return super().__getattribute__(name)


def is_in_demo() -> bool:
    """Say whether the browser asking is in the demo; False outside requests."""
    return has_request_context() and "store" in g


def serve_reader(
    app: Dash, usual: Context, *, clock: Callable[[], dt.date] | None, demo: DemoRoom
) -> Context:
    """Let every browser choose its rider, and write figures as that rider wants them.

    Parameters
    ----------
    app
        The dashboard.
    usual
        The store, and the rider shown until another is chosen.
    clock
        Asked once in every request for the day taken as today, so that a request has one day only; None
        keeps the store's.
    demo
        Whose store is shown to browsers that are in it.

    Returns
    -------
    Context
        To be given to the pages.
    """
    context = ReaderContext(usual.store, usual.rider_id, usual.today)

    def meet() -> Response | None:
        if request.path.startswith(_STILL):
            return None
        if demo.is_stale():
            return Response(say("demo.stale"), status=409, mimetype="text/plain")
        _set_apart(usual, clock, demo.entered())
        formats.write_for(get_preferences(context), languages=list(request.accept_languages.values()))
        return None

    def switch() -> Response:
        answer = Response(status=204)
        number = request.form.get("rider", "")
        if number.isdecimal() and int(number[:18]) in riders_by_number(usual):
            answer.set_cookie(_COOKIE, number, max_age=_A_YEAR_S, httponly=True, samesite="Strict")
        return answer

    app.server.before_request(meet)
    app.server.add_url_rule(RIDER_SWITCH, "rider-switch", switch, methods=["POST"])
    return context


def _set_apart(usual: Context, clock: Callable[[], dt.date] | None, entered: Context | None) -> None:
    """Note what holds for this request alone."""
    if entered is not None:
        g.store, g.rider_id, g.today = entered.store, entered.rider_id, entered.today
        return
    chosen = request.cookies.get(_COOKIE, "")
    if chosen.isdecimal() and int(chosen[:18]) in riders_by_number(usual):
        g.rider_id = int(chosen[:18])
    if clock is not None:
        g.today = clock()
