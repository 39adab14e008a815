"""How a field test is done: a short printed instruction."""

from dataclasses import dataclass

from rideready.model.fieldtest import FieldTest


@dataclass(frozen=True, slots=True)
class ProtocolStep:
    """One step of a protocol.

    Parameters
    ----------
    what
        What to do, in the second person.
    seconds
        For how long, s; None where it has no fixed length.
    ticks_per_min
        Metronome, ticks a minute, four to a cycle (up, up, down, down); None without one.
    low_bpm, high_bpm
        Heart rates to stay between, bpm; None where pulse is not the guide.
    """

    what: str
    seconds: int | None = None
    ticks_per_min: int | None = None
    low_bpm: float | None = None
    high_bpm: float | None = None


@dataclass(frozen=True, slots=True)
class Protocol:
    """How a test is done, short enough to print and put up beside the box.

    Parameters
    ----------
    test
        Which.
    purpose
        What it is good for.
    equipment
        What is needed.
    box_height_cm
        Height of the box, cm; None without a box.
    beforehand
        What to see to before.
    steps
        What to do, in order.
    round_steps, rounds
        Steps repeated after those, and how often; none in most tests.
    closing
        Steps after the rounds.
    not_for
        Who should leave it alone, or ask a doctor first.
    stop_signs
        When to stop at once.
    good_to_know
        What changes the result, and what is uncertain about it.
    source
        Where it comes from.
    """

    test: FieldTest
    purpose: str
    equipment: tuple[str, ...]
    box_height_cm: float | None
    beforehand: tuple[str, ...]
    steps: tuple[ProtocolStep, ...]
    not_for: tuple[str, ...]
    stop_signs: str
    good_to_know: tuple[str, ...]
    source: str
    round_steps: tuple[ProtocolStep, ...] = ()
    rounds: int = 0
    closing: tuple[ProtocolStep, ...] = ()

    @property
    def schedule(self) -> tuple[ProtocolStep, ...]:
        """Every step in order, rounds written out, as a timer runs through them."""
        return (*self.steps, *(self.round_steps * self.rounds), *self.closing)

    @property
    def minutes(self) -> float:
        """Length of the steps that have one, minutes."""
        return sum(step.seconds or 0 for step in self.schedule) / 60
