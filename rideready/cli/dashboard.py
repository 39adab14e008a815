"""``rideready dashboard``: everything in the browser, served from this machine, to it or to the home network."""

import datetime as dt
import logging
import os
import secrets
import socket
import sys
import webbrowser
from collections.abc import Callable
from contextlib import closing
from threading import Thread
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
#: Everybody on the home network can reach it here.
_EVERY_ADDRESS: Final = "0.0.0.0"  # noqa: S104 - only if the rider asks for it, and then with a key
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
HomeNetworkOption = Annotated[
    bool,
    typer.Option(
        "--home-network", help="Let phones on the home network in, with a key; shows a code to scan."
    ),
]


def command(
    *,
    port: PortOption = None,
    browser: BrowserOption = True,
    home_network: HomeNetworkOption = False,
    store: StoreOption = None,
    rider: RiderOption = None,
    date: DateOption = None,
    json: JsonOption = False,
    quiet: QuietOption = False,
) -> None:
    """Open the dashboard in the browser.

    It is served to this machine only, unless --home-network is given; stop it with Ctrl+C.
    """
    from rideready.services.context import day_by_the_clock

    host = home_address() if home_network else HOST
    clock = None if date else day_by_the_clock
    with opened(Common(store, rider, date, quiet or json)) as context:
        serve(context, port=port, opens_browser=browser, announces_json=json, host=host, clock=clock)


def serve(
    context: "Context",
    *,
    port: int | None,
    opens_browser: bool,
    announces_json: bool,
    host: str = HOST,
    clock: Callable[[], dt.date] | None = None,
) -> None:
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
    host
        The address this machine is reached at; any other than `HOST` asks everybody for a key.
    clock
        Tells the day while it is served; None keeps the context's.
    """
    is_for_home = host != HOST
    listening = _listen(_EVERY_ADDRESS if is_for_home else HOST, port)
    from waitress.server import create_server

    from dashboards.app import create_app, warm_up
    from dashboards.guard import MOST_BODY_BYTES, THIS_MACHINE, Door, guard

    # A busy moment is no news: every page asks for several things at once.
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    door = Door(hosts=THIS_MACHINE | {host}, key=secrets.token_urlsafe(24) if is_for_home else None)
    server = create_server(
        guard(create_app(context, clock=clock), door=door).server,
        sockets=[listening],
        max_request_body_size=2 * MOST_BODY_BYTES,  # the guard's bound comes first, with a sentence
        ident=None,
        threads=8,
    )
    address = f"http://{host}:{listening.getsockname()[1]}/" + (f"?key={door.key}" if door.key else "")
    if announces_json:
        print_json({"address": address})
    else:
        say(f"The dashboard is at {address} (stop it with Ctrl+C)")
        if is_for_home:
            _show_code(address)
    sys.stdout.flush()
    if opens_browser and has_screen():
        webbrowser.open(address)  # the port is open already; the page waits for the first answer
    # While the browser still reads its scripts: the first look would otherwise wait for libraries and trend.
    Thread(target=warm_up, args=(context,), daemon=True).start()
    with closing(server):
        server.run()


def home_address() -> str:
    """Return this machine's address on the home network.

    Raises
    ------
    BadInput
        If it is on none.
    """
    # A datagram socket that is connected sends nothing; it only asks which way the machine would send.
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # RFC 5737: an address for examples
            address: str = probe.getsockname()[0]
        except OSError as error:
            raise BadInput(
                "this machine is on no network", what_to_do="Connect it to the home network first"
            ) from error
    return address


def _show_code(address: str) -> None:
    """Show the address as a code to scan, and what the key does not keep out."""
    import segno

    say("Scan this with the phone; the address holds the key, so show it to nobody else.")
    segno.make(address, error="l").terminal(compact=True)
    say(
        "Only on a network you trust: what is shown goes over it unencrypted. The key ends with this command. "
        "Without --home-network only this machine gets in."
    )


def _listen(host: str, port: int | None) -> socket.socket:
    """Listen on a port that was asked for, the usual, or a free one; raises `BadInput` if it is taken."""
    ports = [USUAL_PORT, 0] if port is None else [port]
    for wanted in ports:
        try:
            return socket.create_server((host, wanted))
        except OSError as error:
            reason = os.strerror(error.errno or 0)
    raise BadInput(f"port {ports[-1]} cannot be used ({reason})", what_to_do="Name another with --port")


def has_screen() -> bool:
    """Tell whether a browser would open a window; on a bare console it would take the terminal over."""
    if sys.platform.startswith("linux"):
        return bool(os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return True
