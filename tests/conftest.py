"""What holds for every test."""

from hypothesis import settings

# No test is timed: on a busy machine any example may take long.
settings.register_profile("rideready", deadline=None)
settings.load_profile("rideready")
