"""What to expect at the riding altitude, as a script gets it and as a rider reads it."""

from typing import TYPE_CHECKING

from rideready.cli.output import plain, say, table

if TYPE_CHECKING:
    from rideready.model.today import AltitudeBand


def altitude_document(band: "AltitudeBand | None") -> dict[str, object] | None:
    """Lay a band out as scripts get it; None stays null."""
    if band is None:
        return None
    return {**plain(band), "reasons": [reason.sentence for reason in band.reasons]}


def show_altitude(band: "AltitudeBand | None") -> None:
    """Print the band, the pulse numbers on opening day and what to beware of."""
    if band is None:
        return
    say(
        f"Riding at {band.riding_altitude_m:g} m, home at {band.home_altitude_m:g} m: expect a maximum oxygen "
        f"uptake {100 * band.vo2max_loss_low:.0f} to {100 * band.vo2max_loss_high:.0f} % lower (Wehrlin, Hallen "
        f"2006) and a maximum pulse {band.max_hr_fall_low_bpm:.0f} to {band.max_hr_fall_high_bpm:.0f} bpm lower "
        "(Mourot, Millet 2019; Lundby et al. 2001)."
    )
    if band.pulses:
        table(
            ["Begins at", ">At home, bpm", ">On opening day, bpm"],
            [
                [
                    f"{100 * pulse.reserve:.0f} % of the reserve",
                    f"{pulse.home_bpm:.0f}",
                    f"{pulse.low_bpm:.0f} to {pulse.high_bpm:.0f}",
                ]
                for pulse in band.pulses
            ],
        )
    for reason in band.reasons:
        say(f"  {reason.sentence}")
