"""Where real recordings for tests lie, if they are there at all; none is part of the project."""

import os
from pathlib import Path

import pytest

#: Folder of real recordings: ``RIDEREADY_RECORDINGS``, else ``shared/data`` beside the checkout.
RECORDINGS = Path(
    os.environ.get("RIDEREADY_RECORDINGS", Path(__file__).resolve().parents[3] / "shared" / "data")
)


def recording(name: str) -> Path:
    """Return a real recording's path, or skip the test with the reason."""
    path = RECORDINGS / name
    if not path.exists():
        pytest.skip(f"real recording {name} is not here (set RIDEREADY_RECORDINGS to its folder)")
    return path
