"""The demo behind the same door: a store of its own, entered and left by a press, never the rider's.

A browser that is in the demo holds a cookie with the pass of this run of the server; every request of it is
answered from the demo store. A pass of an earlier run opens nothing: a page of the demo that was left open
must not write into the rider's own store.
"""

import secrets
import threading
from typing import Any, Final

from dash import Dash
from flask import Response, jsonify, request

from dashboards.urls import DEMO
from dashboards.words import say
from rideready.errors import RidereadyError
from rideready.services.context import Context
from rideready.services.demo import open_demo
from rideready.services.import_report import ImportProgress

_COOKIE: Final = "rideready_demo"
#: Addresses by which a page asks or writes; the others show one anew.
_OF_A_PAGE: Final = ("/_dash-update-component", "/import/", "/rider/")


class DemoRoom:
    """The demo of one server: opened once, when somebody first asks for it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._thread: threading.Thread | None = None
        self._done, self._total, self._trouble = 0, 0, ""
        self._pass = secrets.token_urlsafe(18)
        self.context: Context | None = None

    def begin(self) -> None:
        """Open the demo store in a thread of its own, unless that is done or under way."""
        with self._lock:
            if self.context is not None or (self._thread is not None and self._thread.is_alive()):
                return
            self._trouble = ""
            self._thread = threading.Thread(target=self._open, name="demo", daemon=True)
            self._thread.start()

    def told(self) -> dict[str, Any]:
        """Return how far it is, as the browser reads it."""
        return {
            "is_ready": self.context is not None,
            "is_entered": self.entered() is not None,
            "said": self._trouble
            or say("demo.opening", done=self._done, total=self._total or "\N{HORIZONTAL ELLIPSIS}"),
            "is_broken": bool(self._trouble),
        }

    def entered(self) -> Context | None:
        """Return the demo's context if the browser of this request is in the demo, else None."""
        return self.context if request.cookies.get(_COOKIE) == self._pass else None

    def is_stale(self) -> bool:
        """Say whether a page of a demo that is no more asks: its presses must go nowhere."""
        held = request.cookies.get(_COOKIE)
        return held is not None and held != self._pass and request.path.startswith(_OF_A_PAGE)

    def forget_stale(self, answer: Response) -> Response:
        """Take an earlier run's pass from a browser that opens a page anew."""
        held = request.cookies.get(_COOKIE)
        if held not in {None, self._pass} and not self.is_stale():
            answer.delete_cookie(_COOKIE, httponly=True, samesite="Strict")
        return answer

    def admit(self) -> Response:
        """Let the browser of this request into the demo, if it is open."""
        answer = Response(status=204 if self.context is not None else 409)
        if self.context is not None:
            answer.set_cookie(_COOKIE, self._pass, httponly=True, samesite="Strict")
        return answer

    def _open(self) -> None:
        def note(progress: ImportProgress) -> None:
            self._done, self._total = progress.done, progress.total

        why = say("problem.unforeseen")
        try:
            self.context, _ = open_demo(progress=note)
            why = ""
        except RidereadyError as error:
            why = str(error)
        finally:
            self._trouble = why


def serve_demo(app: Dash) -> DemoRoom:
    """Put the demo's addresses on the dashboard's server.

    ``POST /demo/open`` opens the store, ``GET /demo/state`` tells how far that is, ``POST /demo/enter`` and
    ``POST /demo/leave`` let the browser in and out.
    """
    room = DemoRoom()

    def begin() -> Response:
        room.begin()
        return jsonify(room.told())

    def tell() -> Response:
        return jsonify(room.told())

    def leave() -> Response:
        answer = Response(status=204)
        answer.delete_cookie(_COOKIE, httponly=True, samesite="Strict")
        return answer

    app.server.after_request(room.forget_stale)
    app.server.add_url_rule(f"{DEMO}/open", "demo-open", begin, methods=["POST"])
    app.server.add_url_rule(f"{DEMO}/state", "demo-state", tell)
    app.server.add_url_rule(f"{DEMO}/enter", "demo-enter", room.admit, methods=["POST"])
    app.server.add_url_rule(f"{DEMO}/leave", "demo-leave", leave, methods=["POST"])
    return room
