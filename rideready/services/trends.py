"""Is recovery getting faster over the season."""

import datetime as dt

from rideready.model.trend import Trend
from rideready.services.context import Context


def trend(
    ctx: Context, *, since: dt.date | None = None, until: dt.date | None = None, device: str | None = None
) -> Trend:
    """Work out the trend of the standardised one-minute drop.

    Parameters
    ----------
    since, until
        First and last local day; None leaves the side open.
    device
        Only sessions of this recorder.
    """
    raise NotImplementedError
