"""From a file to sessions ready to be stored: everything about an import that needs no store."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rideready.errors import BadInput, ChoiceNeeded, RidereadyError, UnreadableFile
from rideready.importers.fingerprint import fingerprint
from rideready.importers.mapping import ColumnMapping
from rideready.importers.registry import read_sessions, shape_of
from rideready.model.rider import Rider
from rideready.model.session import Session
from rideready.services.analysis import analyse
from rideready.store.values import Analysis


@dataclass(frozen=True, slots=True)
class Task:
    """One file to be read for one rider.

    Parameters
    ----------
    path
        The file.
    rider
        Whose numbers it is analysed for.
    said
        What the rider says about its columns now.
    remembered
        What was said before, by shape of the table.
    """

    path: Path
    rider: Rider
    said: ColumnMapping
    remembered: Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True, slots=True, eq=False)
class Ready:
    """A session ready to be stored.

    Parameters
    ----------
    session, fingerprint, analysis
        As `rideready.store.sessions.add_session` wants them.
    """

    session: Session
    fingerprint: str
    analysis: Analysis


@dataclass(frozen=True, slots=True, eq=False)
class Prepared:
    """A file that could be read.

    Parameters
    ----------
    sessions
        At least one, in file order.
    shape, mapping
        Shape of the table and how it was read; None for files that leave nothing open.
    """

    sessions: tuple[Ready, ...]
    shape: str | None
    mapping: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that gave nothing.

    Parameters
    ----------
    reason
        One sentence, without the name of the file.
    is_final
        Whether reading the same bytes again would end the same way, whatever the rider says.
    """

    reason: str
    is_final: bool


def prepare(task: Task) -> Prepared | Refused:
    """Read a file and analyse its sessions.

    Parameters
    ----------
    task
        What to read, for whom, and how.
    """
    try:
        shape = shape_of(task.path)
        earlier = ColumnMapping.from_dict(task.remembered.get(shape, {}) if shape else {})
        sessions = read_sessions(task.path, mapping=earlier, choices=task.said)
    except (ChoiceNeeded, BadInput) as error:
        return Refused(reason_of(error), is_final=False)
    except UnreadableFile as error:
        return Refused(reason_of(error), is_final=not isinstance(error.__cause__, OSError))
    return Prepared(
        tuple(Ready(session, fingerprint(session), analyse(session, task.rider)) for session in sessions),
        shape,
        earlier.overridden_by(task.said).to_dict(),
    )


def refuse(_: Task) -> Refused:
    """Say what is to be said of a file over which a reader was killed."""
    return Refused("The reader broke down over it: it took too long, or too much memory.", is_final=False)


def reason_of(error: RidereadyError | OSError) -> str:
    """Say why a file gave nothing, without its name, which stands beside it."""
    if isinstance(error, RidereadyError):
        sentence = str(RidereadyError(error.what, "", error.what_to_do))
        return sentence[:1].upper() + sentence[1:]
    if isinstance(error, FileNotFoundError):
        return "There is no such file."
    return f"It cannot be opened ({error.strerror})."
