"""How many sessions of each kind a week should have."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rideready.model.condition import Injury
from rideready.model.exercise import Level
from rideready.model.season import Phase
from rideready.plan.conditions import allows_bursts, strength_forms_left
from rideready.plan.guidance import FLEXIBILITY_DAYS, LEAST_WEEKLY_MIN, STRENGTH_DAYS
from rideready.plan.ramp import Ramp
from rideready.plan.sizes import Shape

# The counts are ours; two strength days a week and flexibility on two or three are the guidance's.
# Two circuits from here on; below, one is enough to learn the movements.
_TWO_CIRCUITS_FROM_MIN = 75
_MOBILITY = 3
_STRENGTH_MIN = {Phase.BUILD: 40, Phase.BURSTS: 30, Phase.TAPER: 25, Phase.OPENING: 25}
_STRENGTH_MIN_EASY = 30
# Bursts are for riders who do something every week already.
_BURSTS_FROM_MIN = {Level.BEGINNER: 90, Level.INTERMEDIATE: 60, Level.ADVANCED: 60}
# With fewer free days than this a week counts as an easier one.
_FREE_DAYS_KEPT_UP = 4


@dataclass(frozen=True, slots=True)
class FreeDays:
    """A week's days, by what they allow.

    Parameters
    ----------
    days
        Days for training in the week.
    free, on_the_way_back, away
        Of these: without any bound; on the steps back from an illness or with a cold; away.
    ends_with_eve
        Whether the last of them is the day before opening day, which stays easy.
    """

    days: int
    free: int
    on_the_way_back: int
    away: int
    ends_with_eve: bool

    @property
    def is_whole(self) -> bool:
        """Whether every day is free."""
        return self.free == self.days

    @property
    def has_illness(self) -> bool:
        """Whether some of its days go to an illness or the way back from one."""
        return self.free + self.away < self.days

    @property
    def is_broken(self) -> bool:
        """Whether too little is left of the week to count as kept up."""
        return self.free < min(_FREE_DAYS_KEPT_UP, self.days)


def bursts_wait(phase: Phase, level: Level, ramp: Ramp) -> bool:
    """Say whether burst practice waits until there is a base to put it on."""
    return phase is Phase.BURSTS and ramp.base_min < _BURSTS_FROM_MIN[level]


def wished_shape(
    phase: Phase,
    level: Level,
    ramp: Ramp,
    *,
    burst_week: int,
    burst_weeks_lately: int,
    injuries: Sequence[Injury],
    is_cleared: bool,
) -> Shape:
    """Say how many sessions of each kind a week should have if the days hold them.

    Parameters
    ----------
    phase, level, ramp
        What the week is for, who the rider is, and what the last weeks carry.
    burst_week
        How many weeks of burst practice lie behind.
    burst_weeks_lately
        Weeks with a burst practice among the last four; the taper keeps bursts, it does not begin them.
    injuries
        Sore joints of the week.
    is_cleared
        Without it nothing hard is planned, and no strength.

    Returns
    -------
    Shape
        The wished numbers.
    """
    if not is_cleared:
        return Shape(0, 0, 0, _MOBILITY, 0)
    if phase is Phase.OPENING:
        return Shape(0, 0, 0, 1, 0)
    circuits = 2 if ramp.limit_min >= _TWO_CIRCUITS_FROM_MIN else 1
    begins = phase is Phase.BURSTS and not bursts_wait(phase, level, ramp)
    practices = int(begins or (phase is Phase.TAPER and burst_weeks_lately > 0))
    if practices and level > Level.BEGINNER and burst_week >= 1 and ramp.base_min >= LEAST_WEEKLY_MIN:
        circuits, practices = 1, 2
    if not allows_bursts(injuries):
        circuits, practices = min(circuits + practices, 2), 0
    strength = max(STRENGTH_DAYS - circuits, 1)
    if not strength_forms_left(injuries):
        strength = 0
    strength_min = _STRENGTH_MIN[phase]
    if level is Level.BEGINNER:
        strength_min = min(strength_min, _STRENGTH_MIN_EASY)
    mobility = FLEXIBILITY_DAYS if level is Level.BEGINNER else _MOBILITY
    return Shape(circuits, practices, strength, mobility, strength_min if strength else 0)


def made_easier(shape: Shape) -> Shape:
    """Take one hard session off an easier week, a burst practice first, and shorten its strength session."""
    strength_min = min(shape.strength_min, _STRENGTH_MIN_EASY)
    if shape.burst_practices:
        return replace(shape, burst_practices=shape.burst_practices - 1, strength_min=strength_min)
    return replace(shape, circuits=min(shape.circuits, max(shape.circuits - 1, 1)), strength_min=strength_min)


def fewer_for(shape: Shape, free: FreeDays) -> Shape:
    """Take off the sessions that a broken or short week cannot hold: hard days never stand side by side.

    Parameters
    ----------
    shape
        What the ordinary week holds.
    free
        The days of this one.

    Returns
    -------
    Shape
        As many as every other free day holds: a burst practice, a circuit, then the rest in this order.
    """
    if free.days == 0:
        return Shape(0, 0, 0, 0, 0)
    for_hard = max(free.free - free.ends_with_eve, 0)
    places = (for_hard + 1) // 2
    kept_for_circuit = min(shape.circuits, 1, max(places - 1, 0))
    practices = min(shape.burst_practices, places - kept_for_circuit)
    circuits = min(shape.circuits, places - practices)
    strength = min(shape.strength, places - circuits)
    return replace(
        shape,
        circuits=circuits,
        burst_practices=practices,
        strength=strength,
        mobility=min(shape.mobility, free.free + free.on_the_way_back),
        strength_min=shape.strength_min if strength else 0,
    )
