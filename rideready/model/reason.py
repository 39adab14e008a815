"""Why: a code with its numbers. The sentence is made from it here and nowhere else."""

from dataclasses import dataclass

from rideready.model.sentences.circuit import CIRCUIT_SENTENCES
from rideready.model.sentences.fieldtest import FIELDTEST_SENTENCES
from rideready.model.sentences.intensity import INTENSITY_SENTENCES
from rideready.model.sentences.kinetics import KINETICS_SENTENCES
from rideready.model.sentences.maximum import MAXIMUM_SENTENCES
from rideready.model.sentences.recovery import RECOVERY_SENTENCES
from rideready.model.sentences.season import SEASON_SENTENCES
from rideready.model.sentences.share import SHARE_SENTENCES
from rideready.model.sentences.signal import SIGNAL_SENTENCES
from rideready.model.sentences.trend import TREND_SENTENCES

#: Code to template. Codes are ``room.what``; values are filled in with ``str.format``.
SENTENCES: dict[str, str] = {
    **SIGNAL_SENTENCES,
    **INTENSITY_SENTENCES,
    **KINETICS_SENTENCES,
    **RECOVERY_SENTENCES,
    **TREND_SENTENCES,
    **FIELDTEST_SENTENCES,
    **MAXIMUM_SENTENCES,
    **CIRCUIT_SENTENCES,
    **SEASON_SENTENCES,
    **SHARE_SENTENCES,
}


@dataclass(frozen=True, slots=True)
class Reason:
    """One reason, comparable and storable.

    Parameters
    ----------
    code
        A key of `SENTENCES`.
    values
        Name and value of each number or word in the sentence, sorted by name.
    """

    code: str
    values: tuple[tuple[str, float | str], ...] = ()

    def __post_init__(self) -> None:
        if self.code not in SENTENCES:
            raise ValueError(f"no sentence for reason {self.code!r}")

    @property
    def sentence(self) -> str:
        """The reason as one sentence for a rider."""
        return SENTENCES[self.code].format(**dict(self.values))


def because(code: str, **values: float | str) -> Reason:
    """Make a reason; raises ``KeyError`` at once if its sentence lacks a value."""
    reason = Reason(code, tuple(sorted(values.items())))
    SENTENCES[code].format(**values)
    return reason
