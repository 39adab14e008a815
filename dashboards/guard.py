"""Who may ask this server for what: one machine, or one household with a key.

A server on this machine is reached by every page that is open in its browser. Three things keep strangers
out: requests under a name that is not ours are refused (a name can be pointed at 127.0.0.1 by whoever owns
it), requests that another site's page makes are refused, and the browser is told to run and load nothing
but what comes from here. Who listens on the home network needs a key besides.

References
----------
Content Security Policy Level 3 and Fetch Metadata Request Headers, W3C; cookies: RFC 6265bis.
"""

import base64
import hashlib
import hmac
import re
from dataclasses import dataclass
from typing import Final
from urllib.parse import urlsplit

from dash import Dash
from flask import Flask, Request, Response, request

#: Larger requests are refused before they are read, bytes; an archive of some years fits.
MOST_BODY_BYTES: Final = 64 << 20
#: Names under which a machine knows itself.
THIS_MACHINE: Final = frozenset({"127.0.0.1", "localhost"})

_COOKIE: Final = "rideready_key"
_PARAMETER: Final = "key"

#: What the browser may do here. Scripts run only if they are files of ours or stand here by their hash; nothing
#: is evaluated. Styles may be inline: each page has 36 style elements that the libraries write as they go
#: (Dash 22, the components 10, React 2, Plotly 1, and our own colours), tried without in Chromium. Plotly
#: draws pictures of a chart as data and blob addresses.
_POLICY: Final = (
    "default-src 'none'",
    "style-src 'self' 'unsafe-inline'",
    "img-src 'self' data: blob:",
    "font-src 'self' data:",
    "connect-src 'self'",
    "media-src 'self' data: blob:",
    "manifest-src 'self'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
)
_HEADERS: Final = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": (
        "accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), hid=(), "
        "magnetometer=(), microphone=(), midi=(), payment=(), serial=(), usb=()"
    ),
}
_INLINE_SCRIPT: Final = re.compile(r"<script([^>]*)>(.*?)</script>", re.DOTALL | re.IGNORECASE)

_HOME: Final = """<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><title>rideready</title>
<meta http-equiv="refresh" content="0;url=/"></head><body><a href="/">Open rideready</a></body></html>"""


@dataclass(frozen=True, slots=True)
class Door:
    """Who may come in.

    Parameters
    ----------
    hosts
        Names and addresses under which the server may be asked, without port.
    key
        What everybody must show once; None if nobody needs to.
    """

    hosts: frozenset[str] = THIS_MACHINE
    key: str | None = None


def guard(app: Dash, *, door: Door | None = None) -> Dash:
    """Put the guard in front of a dashboard; every request and every answer passes it.

    Parameters
    ----------
    app
        The dashboard, complete: its inline scripts are hashed with the first request.
    door
        Who may come in; without it, this machine.

    Returns
    -------
    Dash
        The same one.
    """
    server: Flask = app.server
    server.config["MAX_CONTENT_LENGTH"] = MOST_BODY_BYTES
    server.debug = False  # FLASK_DEBUG of somebody's shell would switch it on
    asked = door or Door()
    policies: list[str] = []

    def admit() -> Response | None:
        return refusal(request, asked) or _let_in(request, asked)

    def seal(answer: Response) -> Response:
        if not policies:
            policies.append(content_policy(app.index()))  # type: ignore[no-untyped-call]
        answer.headers["Content-Security-Policy"] = policies[0]
        answer.headers.update(_HEADERS)
        if answer.mimetype in {"text/html", "application/json"}:
            answer.headers["Cache-Control"] = "no-store"  # what a shared computer should not keep
        return answer

    server.before_request(admit)
    server.after_request(seal)
    server.register_error_handler(413, _too_large)
    return app


def content_policy(page: str) -> str:
    """Write the policy under which a page works, and nothing that is put into it later.

    Parameters
    ----------
    page
        The page as served; the scripts written in it are let run by their hash.
    """
    hashes = [
        f"'sha256-{base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()}'"
        for attributes, script in _INLINE_SCRIPT.findall(page)
        if "src=" not in attributes and "application/json" not in attributes
    ]
    return "; ".join((*_POLICY, " ".join(("script-src 'self'", *hashes))))


def refusal(asked: Request, door: Door) -> Response | None:
    """Refuse what comes under a foreign name or from a foreign page; None if neither.

    Parameters
    ----------
    asked
        The request. Programs that are no browser send neither origin nor site and are let through:
        they act for whoever started them.
    door
        Who may come in.
    """
    if _name(asked.headers.get("Host", "")) not in door.hosts:
        return _refused("This server does not answer under that name.")
    if _is_from_elsewhere(asked):
        return _refused("This server does not answer to other sites.")
    return None


def _name(host: str) -> str | None:
    """Return a host without its port, in small letters; None if it cannot be one."""
    try:
        return urlsplit(f"//{host}").hostname
    except ValueError:
        return None


def _is_from_elsewhere(asked: Request) -> bool:
    origin, site = asked.headers.get("Origin"), asked.headers.get("Sec-Fetch-Site")
    reads = asked.method in {"GET", "HEAD"}
    if origin is not None and origin != f"{asked.scheme}://{asked.headers.get('Host', '')}":
        return True
    if site in {None, "same-origin"} or (site == "none" and reads):
        return False
    # A link on another site may lead here, as a whole page; nothing else may come from there.
    opens_a_page = asked.headers.get("Sec-Fetch-Mode") == "navigate"
    return not (reads and opens_a_page and asked.headers.get("Sec-Fetch-Dest") == "document")


def _let_in(asked: Request, door: Door) -> Response | None:
    """Ask for the key where one is needed; whoever shows it in the address gets it as a cookie."""
    if door.key is None or _is_key(asked.cookies.get(_COOKIE), door.key):
        return None
    if not _is_key(asked.args.get(_PARAMETER), door.key):
        return _refused("Open the address that the terminal shows, with its key.")
    # A page and not a redirect: after a link from elsewhere a strict cookie would not be sent along with it.
    answer = Response(_HOME, mimetype="text/html")
    answer.set_cookie(_COOKIE, door.key, httponly=True, samesite="Strict")
    return answer


def _is_key(shown: str | None, key: str) -> bool:
    return shown is not None and hmac.compare_digest(shown.encode(), key.encode())


def _refused(why: str) -> Response:
    return Response(why, status=403, mimetype="text/plain")


def _too_large(_: Exception) -> Response:
    sentence = f"That is more than {MOST_BODY_BYTES >> 20} MB. Import it with `rideready import` instead."
    return Response(sentence, status=413, mimetype="text/plain")
