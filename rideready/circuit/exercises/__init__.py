"""The exercises, one file a movement; put together in ``rideready.circuit.library``."""
