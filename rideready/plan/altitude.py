"""What a riding altitude does to oxygen uptake, maximum pulse and pulse numbers: an expectation band."""

from dataclasses import replace

from rideready.errors import BadInput
from rideready.intensity import target_bpm, why_no_classes, working_maximum_bpm
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.today import AltitudeBand, PulseAtAltitude

# Wehrlin, Hallen 2006, Eur J Appl Physiol 96:404-12: VO2max of eight trained people fell in a straight line from
# 300 to 2800 m by 6.3 % of its value at 300 m for each 1000 m; their range of 4.6 to 7.5 % is from memory.
_FROM_M, _TO_M = 300.0, 2800.0
_LOSS_PER_KM = (0.046, 0.063, 0.075)

# Maximum heart rate falls about linearly from low altitude on, and studies differ much (Mourot 2018, Front Physiol
# 9:972). The band is the envelope of three lines. Two run through zero and Mourot, Millet 2019, High Alt Med Biol
# 20:94-98, at 4000 m: the smallest (8.3 bpm) and the largest (12.7 bpm, trained people in the mountains) of their
# four groups, whose mean (9.9 bpm) is the middle. The third is Lundby et al. 2001, High Alt Med Biol 2:369-76:
# nothing up to 3100 m, then one beat for each 130 m, by which they measured 2 bpm less at 3300 m and 9 at 4300 m.
_FALL_PER_KM_BPM = (8.3 / 4, 9.9 / 4, 12.7 / 4)
_LUNDBY_FROM_M, _LUNDBY_M_PER_BEAT = 3100.0, 130.0
_HIGHEST_M = 5000.0
_LOWEST_M = -450.0

# Acute mountain sickness is a matter from 2500 m on; sleeping advice begins at 2750 m (Centers for Disease Control
# and Prevention, Yellow Book 2024; Wilderness Medical Society guidance, from memory).
_SICKNESS_FROM_M = 2500.0
_BOUNDS = (0.30, 0.40, 0.60, 0.90)
_HALF = 0.5


def altitude_band(
    riding_altitude_m: float, *, home_altitude_m: float = 0.0, rider: Rider | None = None
) -> AltitudeBand:
    """Say what to expect at a riding altitude against home.

    Oxygen uptake: ``1 - 0.063 * (h - 300) / 1000`` of that at 300 m. Maximum heart rate: a straight fall of
    about 2.5 bpm for each 1000 m. Both are means of small studies of healthy, mostly trained people in the
    first days; single riders differ by more than the band. It is an expectation, nothing to train or ride by.

    Parameters
    ----------
    riding_altitude_m
        -450 to 5000 m.
    home_altitude_m
        Where the rider lives and trains, same range.
    rider
        For pulse numbers; None for none.

    Returns
    -------
    AltitudeBand
        Losses are 0 or more: riding below home loses nothing.

    Raises
    ------
    BadInput
        If an altitude lies outside its range, above which the sources give no band.

    References
    ----------
    Wehrlin, Hallen 2006, Eur J Appl Physiol 96:404-12. Mourot 2018, Front Physiol 9:972. Mourot, Millet 2019,
    High Alt Med Biol 20:94-98. Lundby et al. 2001, High Alt Med Biol 2:369-76.

    Examples
    --------
    >>> round(altitude_band(1300, home_altitude_m=300).vo2max_loss, 3)
    0.063
    """
    for name, altitude in (("riding", riding_altitude_m), ("home", home_altitude_m)):
        if not _LOWEST_M <= altitude <= _HIGHEST_M:
            raise BadInput(
                f"{altitude:g} m is outside -450 to 5000 m, for which there are figures",
                f"{name} altitude",
                "Give it in metres",
            )
    low, middle, high = (_loss(riding_altitude_m, home_altitude_m, share) for share in _LOSS_PER_KM)
    climb_km = max(riding_altitude_m - home_altitude_m, 0) / 1000
    least, fall, most = (climb_km * per_km for per_km in _FALL_PER_KM_BPM)
    lundby = max(_lundby(riding_altitude_m) - _lundby(home_altitude_m), 0)
    fall_low, fall_high = min(lundby, least), max(lundby, most)
    pulses = _pulses(rider, fall_low, fall_high)
    return AltitudeBand(
        riding_altitude_m,
        home_altitude_m,
        middle,
        low,
        high,
        fall,
        fall_low,
        fall_high,
        min(_HALF / (1 - middle), 1.0),
        pulses,
        _reasons(riding_altitude_m, middle, fall_high, lacks_pulses=rider is not None and not pulses),
    )


def _loss(riding_m: float, home_m: float, share_per_km: float) -> float:
    """Fraction of the oxygen uptake at home that is lost."""
    there, here = (1 - share_per_km * max(h - _FROM_M, 0) / 1000 for h in (riding_m, home_m))
    return max(1 - there / here, 0.0)


def _lundby(altitude_m: float) -> float:
    """Fall of the maximum heart rate by Lundby's equation, bpm."""
    return max(altitude_m - _LUNDBY_FROM_M, 0) / _LUNDBY_M_PER_BEAT


def _pulses(rider: Rider | None, fall_low: float, fall_high: float) -> tuple[PulseAtAltitude, ...]:
    """Work out where each class begins at home, and with the maximum lower by the least and the most."""
    if rider is None or why_no_classes(rider) is not None:
        return ()
    maximum = working_maximum_bpm(rider)
    if maximum is None or rider.resting_hr_bpm is None:
        return ()
    pulses = []
    for fraction in _BOUNDS:
        low, home, high = (
            target_bpm(fraction, replace(rider, max_hr_bpm=maximum - fall))
            for fall in (fall_high, 0, fall_low)
        )
        if low is not None and home is not None and high is not None:
            pulses.append(PulseAtAltitude(fraction, home, low, high))
    return tuple(pulses)


def _reasons(riding_m: float, loss: float, fall_high: float, *, lacks_pulses: bool) -> tuple[Reason, ...]:
    """Say what it means for opening day."""
    said = []
    if loss > 0:
        said.append(because("season.altitude_same_work", percent=round(100 * loss)))
        said.append(because("season.altitude_pulse", bpm=round(fall_high)))
        said.append(because("season.altitude_recovery"))
    else:
        said.append(because("season.altitude_nothing"))
    if riding_m > _TO_M:
        said.append(because("season.altitude_beyond", limit=round(_TO_M)))
    if lacks_pulses:
        said.append(because("season.altitude_no_numbers"))
    if riding_m >= _SICKNESS_FROM_M:
        said.append(because("season.altitude_sickness"))
    return (*said, because("season.altitude_band"))
