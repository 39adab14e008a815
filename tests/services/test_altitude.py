"""The riding altitude is kept and read against the rider's numbers."""

from pathlib import Path

import pytest

from rideready.errors import BadInput
from rideready.services.altitude import opening_altitude, set_altitude
from rideready.services.context import open_context
from rideready.services.riders import update_rider


def test_without_a_riding_altitude_nothing_is_said(tmp_path: Path) -> None:
    assert opening_altitude(open_context(tmp_path / "store.sqlite")) is None


def test_the_band_follows_the_altitudes_kept(tmp_path: Path) -> None:
    ctx = open_context(tmp_path / "store.sqlite")
    update_rider(ctx, max_hr_bpm=186, resting_hr_bpm=52)
    set_altitude(ctx, home_m=300)
    set_altitude(ctx, riding_m=1300)
    band = opening_altitude(ctx)
    assert band is not None
    assert band.vo2max_loss == pytest.approx(0.063)  # Wehrlin, Hallen 2006: 6.3 % of 300 m for 1000 m
    assert [round(pulse.home_bpm) for pulse in band.pulses] == [92, 106, 132, 173]  # Karvonen: 52 + f * 134


def test_an_altitude_without_figures_is_refused_and_not_kept(tmp_path: Path) -> None:
    ctx = open_context(tmp_path / "store.sqlite")
    with pytest.raises(BadInput, match="6500 m is outside"):
        set_altitude(ctx, riding_m=6500)
    assert opening_altitude(ctx) is None
