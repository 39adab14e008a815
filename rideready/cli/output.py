"""What a command says: readable text for people, one JSON document for scripts."""

import dataclasses
import datetime as dt
import enum
import json
import math
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from rich.console import Console

#: Width of tables where the terminal does not tell its own, as in a pipe.
PIPE_WIDTH = 160


def print_json(document: Any) -> None:
    """Print one JSON document; figures that cannot be had are null, times are ISO 8601."""
    text = json.dumps(plain(document), indent=2, allow_nan=False)
    print(_masked(text))  # noqa: T201 - this is the output


def plain(value: Any) -> Any:
    """Bring values, numbers of numpy and moments down to what JSON knows."""
    if isinstance(value, Mapping):
        return {str(_scalar(key)): plain(found) for key, found in value.items()}
    if dataclasses.is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in dataclasses.fields(value)}
    if hasattr(value, "tolist"):  # numpy's arrays and numbers
        return plain(value.tolist())
    if isinstance(value, Iterable) and not isinstance(value, str):
        return [plain(found) for found in value]
    return _scalar(value)


def _scalar(value: Any) -> Any:
    if isinstance(value, enum.Enum):
        return value.value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, (dt.datetime, dt.date)):
        return value.isoformat()
    if value is None or isinstance(value, (bool, int, str)):
        return value
    return str(value)  # a path, say


def complain(sentence: str, *, as_json: bool) -> None:
    """Say on stderr what went wrong; a script that asked for JSON gets a document that says so, too."""
    print(f"rideready: {_masked(sentence)}", file=sys.stderr)  # noqa: T201
    if as_json:
        print_json({"error": sentence})


def say(text: str = "") -> None:
    """Print a line for people."""
    _console().print(_masked(text), highlight=False, markup=False, soft_wrap=True)


def note(text: str) -> None:
    """Print a line beside the results, on stderr."""
    _console(sys.stderr).print(_masked(text), highlight=False, markup=False, soft_wrap=True)


def table(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> None:
    """Print a table; a column whose heading begins with ``>`` is set to the right."""
    from rich.box import SIMPLE_HEAD
    from rich.table import Table
    from rich.text import Text

    shown = Table(box=SIMPLE_HEAD, pad_edge=False)
    for heading in columns:
        justify: Any = "right" if heading.startswith(">") else "left"
        shown.add_column(Text(heading.removeprefix(">")), justify=justify, overflow="fold")
    for row in rows:
        shown.add_row(*(Text(cell) for cell in row))
    _console().print(shown)


@contextmanager
def progress_bar(what: str, *, quiet: bool) -> Iterator[Callable[[int, int], None]]:
    """Show on a terminal how far long work has come; yields what is to be called with done and total."""
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    console = _console(sys.stderr)
    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(
        *columns, console=console, transient=True, disable=quiet or not console.is_terminal
    ) as progress:
        task = progress.add_task(
            what, total=None, visible=False
        )  # shown with the first step, if there is one

        def step(done: int, total: int) -> None:
            progress.update(task, completed=done, total=total, visible=True)

        yield step


def _console(stream: Any = None) -> "Console":
    from rich.console import Console

    stream = stream or sys.stdout
    width = None if stream.isatty() else PIPE_WIDTH
    return Console(file=stream, width=width)


def _masked(text: str) -> str:
    """Take passwords out; nothing of the store is loaded before something is said."""
    from rideready.store.place import masked

    return masked(text)
