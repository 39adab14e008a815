"""What was left out of a session, and why, in sentences."""

from rideready.model.clean import CleanSignal, Flag
from rideready.model.reason import Reason, because


def left_out(signal: CleanSignal) -> tuple[Reason, ...]:
    """Return one reason for each kind of flagged second, the most frequent first; empty if all is clean."""
    counts = sorted(signal.seconds_by_flag.items(), key=lambda item: -item[1])
    return tuple(
        because(f"signal.{flag.name.lower()}", minutes=seconds / 60.0)
        for flag, seconds in counts
        if flag != Flag.OK
    )
