"""The command line: which command is meant, and the one place where errors become a sentence."""

import importlib
import os
import sys
import tempfile
import traceback
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Final

import typer
from typer.exceptions import TyperException

from rideready.cli.output import complain
from rideready.errors import RidereadyError

#: Command to the module that holds it. A module is imported when its command is asked for.
COMMANDS: Final = {
    "import": "importing",
    "sessions": "sessions",
    "session": "session",
    "recovery": "recovery",
    "trend": "trend",
    "today": "today",
    "circuit": "circuit",
    "week": "week",
    "plan": "plan",
    "what-if": "what_if",
    "log": "log",
    "training": "training",
    "test": "fieldtest",
    "rider": "rider",
    "share": "share",
    "partner": "partner",
    "export": "export",
    "analyse-archives": "analyse_archives",
    "backup": "backup",
    "restore": "restore",
    "check": "check",
    "delete": "delete",
    "dashboard": "dashboard",
    "demo": "demo",
}

#: Exit codes: all done; part of it done, the rest listed; wrong usage or nothing done.
DONE, PARTLY, NOTHING_DONE = 0, 1, 2
#: What a shell gives for a program stopped with Ctrl+C.
INTERRUPTED: Final = 130


#: Told to the numerical libraries before they are loaded. What is computed here is small: handing it out to several
#: threads costs more than it saves, and on a busy machine twenty times as much (a season's trend 0.7 s against 14 s).
_ONE_THREAD: Final = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


def run() -> None:
    """Start of the installed command; leaves with its exit code."""
    for name in _ONE_THREAD:
        os.environ.setdefault(name, "1")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a console that lacks ± gets a question mark, not a crash
            stream.reconfigure(errors="replace")
    sys.exit(main(sys.argv[1:]))


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit code.

    Parameters
    ----------
    arguments
        What was typed behind ``rideready``.
    """
    wants_json = "--json" in arguments
    try:
        outcome = _app(arguments)(list(arguments) or ["--help"], standalone_mode=False, prog_name="rideready")
    except TyperException as error:
        complain(_usage(error, arguments), as_json=wants_json)
    except RidereadyError as error:
        complain(str(error), as_json=wants_json)
    except SystemExit:  # how typer leaves when whoever read the output has seen enough
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return DONE
    except Exception as error:  # noqa: BLE001 - the last line: no traceback reaches a rider
        complain(_unforeseen(error), as_json=wants_json)
    else:
        if outcome == INTERRUPTED:
            complain("Stopped. What was stored until then stays.", as_json=wants_json)
        if arguments:
            return outcome if isinstance(outcome, int) else DONE
    return NOTHING_DONE


def _app(arguments: Sequence[str]) -> typer.Typer:
    """Make the app with the command that was asked for, or with all of them to list or suggest from."""
    app = typer.Typer(
        name="rideready",
        help="How fast your heart comes back down, and whether that is getting faster.",
        add_completion=False,
        pretty_exceptions_enable=False,
        rich_markup_mode=None,  # plain help: the decorated one takes three times as long to load
    )
    app.callback()(_about)
    asked = arguments[0] if arguments else ""
    for name in [asked] if asked in COMMANDS else COMMANDS:
        module = importlib.import_module(f"rideready.cli.{COMMANDS[name]}")
        app.command(name)(module.command)
    return app


def _show_version(is_asked: bool) -> None:  # noqa: FBT001 - typer calls it so
    if is_asked:
        from importlib.metadata import version

        typer.echo(version("rideready"))
        raise typer.Exit


def _about(
    *,
    version: Annotated[
        bool,
        typer.Option("--version", help="Show the version and stop.", is_eager=True, callback=_show_version),
    ] = False,
) -> None:
    """Hold the options that stand before a command."""


def _usage(error: TyperException, arguments: Sequence[str]) -> str:
    """Say what was typed wrongly and where to look it up."""
    command = f"{arguments[0]} " if arguments and arguments[0] in COMMANDS else ""
    what = " ".join(error.format_message().split()).rstrip(".")
    end = "" if what.endswith("?") else "."
    return f"{what}{end} Try: rideready {command}--help"


def _unforeseen(error: Exception) -> str:
    """Keep the details of an error nobody thought of in a file, and say where."""
    from rideready.store.place import masked

    details = "".join(traceback.format_exception(error))
    try:
        folder = Path(tempfile.mkdtemp(prefix="rideready-"))
        place = folder / "error.txt"
        place.write_text(masked(details), encoding="utf-8")
        where = f"The details are in {place}."
    except OSError:
        where = "The details could not be kept."
    return f"Something went wrong that nobody foresaw ({type(error).__name__}). {where}"
