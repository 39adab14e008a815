"""What can go wrong, each with the one sentence its reader needs.

    RidereadyError
    ├── UnreadableFile          a file that gives no session
    │   └── ChoiceNeeded        a file with two readings; names what to type
    ├── BadInput                a value typed or sent that cannot be used
    ├── Infeasible              a request no circuit, week or plan can meet
    └── StoreProblem            the store cannot be opened, read or written
        └── NotInStore          a session, rider or plan that is not there

Programmer mistakes stay ``ValueError`` and ``TypeError``.
"""

from collections.abc import Sequence


class RidereadyError(Exception):
    """Base of every error a user may see.

    Parameters
    ----------
    what
        What went wrong, as a clause without a full stop.
    where
        The file, option or row it concerns; may be empty.
    what_to_do
        The next step for the user, as a sentence without a full stop; may be empty.
    """

    def __init__(self, what: str, where: str = "", what_to_do: str = "") -> None:
        self.what = what
        self.where = where
        self.what_to_do = what_to_do
        super().__init__(what, where, what_to_do)

    def __str__(self) -> str:
        head = f"{self.where}: {self.what}" if self.where else self.what
        return f"{head}. {self.what_to_do}." if self.what_to_do else f"{head}."


class UnreadableFile(RidereadyError):
    """A file that gives no session.

    Parameters
    ----------
    path
        The file, as the user named it.
    where
        What is wrong and at which place in the file.
    what_to_do
        The next step for the user.
    """

    def __init__(self, path: str, where: str, what_to_do: str = "") -> None:
        super().__init__(where, path, what_to_do)
        self.path = path


class ChoiceNeeded(UnreadableFile):
    """A file with more than one possible reading.

    Parameters
    ----------
    path
        The file, as the user named it.
    question
        What has to be decided.
    options
        The exact command-line options, one for each reading.
    """

    def __init__(self, path: str, question: str, options: Sequence[str]) -> None:
        self.question = question
        self.options = tuple(options)
        super().__init__(path, question, f"Say which with {' or '.join(self.options)}")


class BadInput(RidereadyError):
    """A value that was typed or sent and cannot be used."""


class Infeasible(RidereadyError):
    """A request that no circuit, week or plan can meet; says the smallest change that helps."""


class StoreProblem(RidereadyError):
    """The store cannot be opened, read or written."""


class NotInStore(StoreProblem):
    """Something asked for by name or number that the store does not hold."""
