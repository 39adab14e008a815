"""How hard a part of a session should be, in this rider's pulse numbers, in RPE and by talking."""

import math

from rideready.intensity import IntensityClass, class_bounds_bpm, why_no_classes, working_maximum_bpm
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.model.today import EffortAim

# RPE on the 0-10 scale that session ratings use: 3 moderate, 5 hard, 7 very hard (Foster et al. 2001, J Strength
# Cond Res 15:109-15, from memory). Talk test: at moderate effort one can talk but not sing, at vigorous effort
# only say a few words (Centers for Disease Control and Prevention, from memory).
_RPE = {
    IntensityClass.LIGHT: (1, 2),
    IntensityClass.MODERATE: (3, 4),
    IntensityClass.VIGOROUS: (5, 7),
    IntensityClass.NEAR_MAXIMAL: (8, 9),
}
# Efforts that end at 85 to 90 % of maximum give the most repeatable recoveries (Lamberts, Lambert 2009, J Strength
# Cond Res 23); bursts aim there, hard without being all that the rider has.
_BURST_OF_MAXIMUM = (0.85, 0.90)


def effort_in(intensity: IntensityClass, rider: Rider) -> EffortAim:
    """Say how hard a class of intensity is for a rider.

    Parameters
    ----------
    intensity
        Light, moderate, vigorous or near-maximal.
    rider
        Whose numbers.

    Returns
    -------
    EffortAim
        Whole bpm inside the class, or no pulse where it is no guide; RPE and talk test always.

    References
    ----------
    Garber et al. 2011, Med Sci Sports Exerc 43:1334-59 (classes). Karvonen et al. 1957, Ann Med Exp Biol Fenn
    35:307-15 (reserve).

    Examples
    --------
    >>> aim = effort_in(IntensityClass.MODERATE, Rider(max_hr_bpm=200, resting_hr_bpm=60))
    >>> aim.low_bpm, aim.high_bpm
    (116, 143)
    """
    low, high = None, None
    for which, from_bpm, to_bpm in class_bounds_bpm(rider):
        if which is intensity:
            low, high = math.ceil(from_bpm - 1e-9), math.ceil(to_bpm - 1e-9) - 1
    return _aim(intensity, low, high, rider)


def burst_effort(rider: Rider) -> EffortAim:
    """Say how hard a burst should be by its end: 85 to 90 % of maximum.

    Parameters
    ----------
    rider
        Whose numbers.

    Returns
    -------
    EffortAim
        As `effort_in`.

    References
    ----------
    Lamberts, Lambert 2009, J Strength Cond Res 23.
    """
    low, high = None, None
    maximum = working_maximum_bpm(rider)
    if maximum is not None and why_no_classes(rider) is None:
        low, high = (round(share * maximum) for share in _BURST_OF_MAXIMUM)
    return _aim(IntensityClass.NEAR_MAXIMAL, low, high, rider)


def _aim(intensity: IntensityClass, low: int | None, high: int | None, rider: Rider) -> EffortAim:
    """Put pulse, rating and talk test of one intensity together."""
    rpe_low, rpe_high = _RPE[intensity]
    talk = because(f"season.talk_{intensity.name.lower()}")
    return EffortAim(intensity.label, low, high, rpe_low, rpe_high, talk, _basis(rider))


def _basis(rider: Rider) -> Reason:
    """Say what the heart rates rest on, or why there are none."""
    none = why_no_classes(rider)
    if none is not None:
        return because(
            "season.effort_medicine" if rider.takes_heart_rate_medicine else "season.effort_no_numbers"
        )
    if rider.max_hr_bpm is None:
        return because("season.effort_predicted", maximum=round(working_maximum_bpm(rider) or 0))
    if rider.resting_hr_bpm is None:
        return because("season.effort_of_maximum", maximum=round(rider.max_hr_bpm))
    rest = round(rider.resting_hr_bpm)
    return because("season.effort_of_reserve", maximum=round(rider.max_hr_bpm), rest=rest)
