"""rideready: how fast the heart comes back down, and what to do about it by opening day."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rideready.errors import RidereadyError as RidereadyError
