"""``rideready dashboard``: everything in the browser, served from this machine to this machine."""

import os
import socket
import sys
import webbrowser
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
from rideready.cli.output import print_json, say
from rideready.errors import BadInput

if TYPE_CHECKING:
    from rideready.services.context import Context

#: Nobody outside this machine can reach it here.
HOST: Final = "127.0.0.1"
#: Used if it is free and no other was asked for.
USUAL_PORT: Final = 8050

PortOption = Annotated[
    int | None,
    typer.Option(
        "--port", metavar="NUMBER", help="Port; without it 8050, or a free one.", show_default=False
    ),
]
BrowserOption = Annotated[
    bool, typer.Option("--browser/--no-browser", help="Open a browser, if there is one.")
]


def command(
    *,
    port: PortOption = None,
    browser: BrowserOption = True,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Open the dashboard in the browser.

    It is served to this machine only; stop it with Ctrl+C.
    """
    with opened(Common(store, rider, date, quiet or json)) as context:
        serve(context, port=port, opens_browser=browser, announces_json=json)


def serve(context: "Context", *, port: int | None, opens_browser: bool, announces_json: bool) -> None:
    """Serve the dashboard until it is stopped.

    Parameters
    ----------
    context
        Store, rider and today.
    port
        Where; None takes the usual port or, if something else is there, a free one.
    opens_browser
        Whether to open a browser, if this machine has a screen.
    announces_json
        Whether the address is told as a JSON document.
    """
    door = _open_door(port)
    from waitress.server import create_server

    from dashboards.app import create_app

    server = create_server(create_app(context).server, sockets=[door])
    address = f"http://{HOST}:{door.getsockname()[1]}/"
    if announces_json:
        print_json({"address": address})
    else:
        say(f"The dashboard is at {address} (stop it with Ctrl+C)")
    sys.stdout.flush()
    if opens_browser and has_screen():
        webbrowser.open(address)  # the port is open already; the page waits for the first answer
    try:
        server.run()
    finally:
        server.close()


def _open_door(port: int | None) -> socket.socket:
    """Listen on a port of this machine that nobody else reaches; raises `BadInput` if it is taken."""
    ports = [USUAL_PORT, 0] if port is None else [port]
    for wanted in ports:
        try:
            return socket.create_server((HOST, wanted))
        except OSError as error:
            reason = os.strerror(error.errno or 0)
    raise BadInput(f"port {ports[-1]} cannot be used ({reason})", what_to_do="Name another with --port")


def has_screen() -> bool:
    """Tell whether a browser would open a window; on a bare console it would take the terminal over."""
    if sys.platform.startswith("linux"):
        return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return True
