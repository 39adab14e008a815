"""What the altitude of the rider's mountains does to oxygen uptake and pulse numbers on opening day."""

from typing import Any

from rideready.model.today import AltitudeBand
from rideready.plan.altitude import altitude_band
from rideready.services.context import Context
from rideready.services.riders import get_rider
from rideready.services.training import get_training, update_training


def set_altitude(ctx: Context, *, riding_m: float | None = None, home_m: float | None = None) -> None:
    """Keep where the rider rides and lives, m; None leaves one as it is.

    Raises
    ------
    BadInput
        If an altitude lies outside -450 to 5000 m, for which there are figures; nothing is kept then.
    """
    told = {"riding_altitude_m": riding_m, "home_altitude_m": home_m}
    changes: dict[str, Any] = {name: value for name, value in told.items() if value is not None}
    altitude_band(riding_m or 0.0, home_altitude_m=home_m or 0.0)
    if changes:
        update_training(ctx, **changes)


def opening_altitude(ctx: Context) -> AltitudeBand | None:
    """Say what to expect on opening day; None while no riding altitude is known."""
    training = get_training(ctx)
    if training.riding_altitude_m is None:
        return None
    return altitude_band(
        training.riding_altitude_m,
        home_altitude_m=training.home_altitude_m or 0.0,
        rider=get_rider(ctx),
    )
