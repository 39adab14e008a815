"""The sessions of a rider's autumn as programmes of work: bike, circuit, hills, bursts, tests, strength."""

from dataclasses import dataclass, replace

import numpy as np

from rideready.simulate.programme import Activity, Motion, Piece, Posture

#: Where the pulse settles in quiet, fractions of the reserve. Sitting: Barak et al. 2011 (athletes end
#: at 89 bpm after 147), for a reserve of 127 above 54; standing and changing over: assumptions.
SEATED_DEMAND, STANDING_DEMAND, WALKING_DEMAND = 0.26, 0.29, 0.38


@dataclass(frozen=True, slots=True)
class Strength:
    """How hard a rider can go.

    Parameters
    ----------
    watts_at_full
        Steady power at which the pulse would settle at its maximum, W.
    run_m_s
        Steady running speed at 60 % of the reserve, m/s.
    ladder_top
        First round of the descending circuit, repetitions.
    """

    watts_at_full: float
    run_m_s: float
    ladder_top: int


def _ride(
    seconds: int, demand: float, rider: Strength, *, rpm: float = 84.0, watts: float | None = None
) -> Piece:
    power = rider.watts_at_full * (demand - 0.15) / 0.85 if watts is None else watts
    activity = Activity.WORK if demand >= 0.45 else Activity.MOVING
    return Piece(seconds, demand, activity, Posture.SEATED, Motion(power, rpm))


def _sit_on_bike(seconds: int) -> Piece:
    return Piece(seconds, SEATED_DEMAND, Activity.STILL, Posture.SEATED, Motion(0.0, 0.0))


def _stand(seconds: int) -> Piece:
    return Piece(seconds, STANDING_DEMAND, Activity.STILL, Posture.STANDING)


def _run(seconds: int, demand: float, speed_m_s: float, *, climb_m_s: float = 0.0) -> Piece:
    strides = 74.0 + 4.0 * speed_m_s
    return Piece(seconds, demand, motion=Motion(None, strides, speed_m_s, climb_m_s))


def _walk(seconds: int, *, climb_m_s: float = 0.0) -> Piece:
    motion = Motion(None, 54.0, 1.35, climb_m_s)
    return Piece(seconds, WALKING_DEMAND, Activity.MOVING, Posture.STANDING, motion)


def _stand_outside(seconds: int) -> Piece:
    return replace(_stand(seconds), motion=Motion(None, 0.0, 0.0))


def _between(rng: np.random.Generator, low: float, high: float) -> float:
    return float(rng.uniform(low, high))


def _whole(rng: np.random.Generator, low: int, high: int) -> int:
    return int(rng.integers(low, high + 1))


def descending_circuit(rng: np.random.Generator, rider: Strength) -> list[Piece]:
    """Five exercises, from the top of the ladder down to one repetition each, 3 s a repetition.

    Changing over takes 6 s. After about one round in three the rider stands until breath is back.
    """
    pieces: list[Piece] = []
    for reps in range(rider.ladder_top, 0, -1):
        pieces += [Piece(3 * reps + 6, _between(rng, 0.66, 0.88)) for _ in range(5)]
        if 1 < reps < rider.ladder_top and rng.random() < 0.35:
            pieces.append(_stand(_whole(rng, 35, 90)))
    return [*pieces, _stand(_whole(rng, 130, 200))]


def bike_and_circuit(rng: np.random.Generator, rider: Strength) -> list[Piece]:
    """About 20 min on the bike with a few hard repeats, then straight into the circuit.

    Some repeats end sitting still, some pedalling on. The bike's sensors sleep once the rider is off.
    """
    pieces = [_ride(240, 0.46, rider), _ride(_whole(rng, 420, 540), _between(rng, 0.58, 0.66), rider)]
    for _ in range(_whole(rng, 3, 4)):
        pieces.append(_ride(_whole(rng, 50, 80), _between(rng, 0.88, 1.0), rider, rpm=92.0))
        if rng.random() < 0.6:
            pieces.append(_sit_on_bike(_whole(rng, 65, 95)))
        else:
            pieces.append(_ride(_whole(rng, 75, 110), 0.33, rider, rpm=70.0))
        pieces.append(_ride(_whole(rng, 50, 80), _between(rng, 0.56, 0.64), rider))
    climb_off = Piece(20, 0.5, Activity.MOVING, Posture.STANDING, Motion(0.0, 0.0))
    pieces.append(climb_off)
    if rng.random() < 0.35:
        # The recorder is stopped while the mat is unrolled.
        pieces.append(Piece(_whole(rng, 40, 100), 0.4, Activity.MOVING, is_recorded=False))
    return [*pieces, *descending_circuit(rng, rider)]


def interval_bike(rng: np.random.Generator, rider: Strength) -> list[Piece]:
    """Five repeats of two minutes, sitting still for two minutes after each."""
    pieces = [_ride(300, 0.46, rider), _ride(240, 0.58, rider)]
    for _ in range(5):
        pieces += [
            _ride(_whole(rng, 110, 140), _between(rng, 0.80, 0.95), rider, rpm=90.0),
            _sit_on_bike(_whole(rng, 115, 135)),
        ]
    return [*pieces, _ride(300, 0.42, rider, rpm=75.0), _sit_on_bike(30)]


def burst_test(rng: np.random.Generator, rider: Strength) -> list[Piece]:
    """Eight bursts of 45 s hard and 60 s still, after a warm-up."""
    pieces = [_ride(300, 0.46, rider), _ride(180, 0.6, rider), _ride(60, 0.4, rider)]
    for _ in range(8):
        watts = rider.watts_at_full * _between(rng, 1.25, 1.4)
        pieces += [_ride(45, 1.0, rider, rpm=102.0, watts=watts), _sit_on_bike(60)]
    return [*pieces, _ride(240, 0.36, rider, rpm=70.0)]


def ride_test(_rng: np.random.Generator, rider: Strength) -> list[Piece]:
    """6 min at 60 %, 6 min at 80 %, 3 min at 90 % of maximum heart rate, then 90 s motionless, upright.

    Lamberts, Swart, Noakes, Lambert 2011 (as told in science.md). The percentages of maximum are
    turned into fractions of the reserve for a rest of 30 % of maximum.
    """
    sixty, eighty, ninety = 0.43, 0.714, 0.857
    return [
        *(_ride(360, sixty, rider), _ride(360, eighty, rider), _ride(180, ninety, rider, rpm=90.0)),
        _sit_on_bike(90),
        _ride(300, 0.46, rider, rpm=72.0),
    ]


def step_test(_rng: np.random.Generator, _rider: Strength) -> list[Piece]:
    """Three minutes on a 30.5 cm box at 24 cycles a minute, then sitting: the YMCA test's protocol."""
    sit = Piece(240, SEATED_DEMAND, Activity.STILL, Posture.SEATED)
    return [_stand(90), Piece(180, 0.62), sit, Piece(180, 0.32, Activity.MOVING)]


def hill_run(rng: np.random.Generator, rider: Strength) -> list[Piece]:
    """Jog, hills run up hard, then standing at the top or walking down at once; jog home and stand."""
    jog = rider.run_m_s
    pieces = [_run(_whole(rng, 420, 540), 0.60, jog)]
    for _ in range(_whole(rng, 5, 6)):
        up = _whole(rng, 60, 85)
        pieces.append(_run(up, _between(rng, 0.86, 1.0), 0.85 * jog, climb_m_s=0.30))
        down = round(up * 1.4)
        if rng.random() < 0.5:
            pieces.append(_stand_outside(_whole(rng, 62, 85)))
        pieces.append(_walk(down, climb_m_s=-0.30 * up / down))
        pieces.append(_run(_whole(rng, 50, 80), 0.58, jog))
    home = _run(_whole(rng, 240, 360), _between(rng, 0.62, 0.72), 1.05 * jog)
    return [*pieces, home, _stand_outside(_whole(rng, 130, 190))]


def strength_session(rng: np.random.Generator, _rider: Strength) -> list[Piece]:
    """Four exercises of four sets, standing between the sets."""
    pieces = [Piece(360, 0.42, Activity.MOVING)]
    for _ in range(4):
        demand = _between(rng, 0.5, 0.72)
        for _ in range(4):
            pieces += [Piece(_whole(rng, 32, 48), demand), _stand(_whole(rng, 75, 110))]
    return [*pieces, Piece(240, 0.25, Activity.MOVING)]
