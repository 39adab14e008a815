"""One exercise: what it moves, what it loads, what it needs and what it serves on the machine."""

from dataclasses import dataclass
from enum import IntEnum, StrEnum


class Movement(StrEnum):
    """What kind of movement an exercise is."""

    SQUAT = "squat"
    HINGE = "hinge"
    STEP = "lunge or step"
    LATERAL = "lateral"
    JUMP = "jump"
    PUSH = "push"
    PULL = "pull"
    GRIP = "carry or grip"
    ANTI_ROTATION = "trunk anti-rotation"
    TRUNK_FLEXION = "trunk flexion"
    MOBILITY = "mobility"


class Family(StrEnum):
    """The five things every circuit holds at least one of."""

    LOWER = "legs"
    PUSH = "push"
    PULL = "pull"
    TRUNK = "trunk"
    GRIP = "grip"


class Muscle(StrEnum):
    """Muscle groups, as a gym would name them."""

    QUADS = "quads"
    HAMSTRINGS = "hamstrings"
    GLUTES = "glutes"
    CALVES = "calves"
    ADDUCTORS = "inner thighs"
    ABDUCTORS = "outer hips"
    HIP_FLEXORS = "hip flexors"
    CHEST = "chest"
    SHOULDERS = "shoulders"
    TRICEPS = "triceps"
    UPPER_BACK = "upper back"
    LATS = "lats"
    BICEPS = "biceps"
    FOREARMS = "forearms"
    ABDOMINALS = "abdominals"
    OBLIQUES = "obliques"
    LOWER_BACK = "lower back"


class Equipment(StrEnum):
    """What an exercise may need; an exercise without any needs nothing."""

    MAT = "mat"
    BAND = "band"
    DUMBBELLS = "dumbbells"
    KETTLEBELL = "kettlebell"
    BOX = "box"
    BAR = "bar"  # to hang from or to pull at
    TOWEL = "towel"
    ROPE = "skipping rope"
    BIKE = "bike"


class Joint(StrEnum):
    """Joints and regions an exercise may stress enough to matter when they are sore."""

    KNEE = "knee"
    SHOULDER = "shoulder"
    WRIST = "wrist"
    LOW_BACK = "low back"
    NECK = "neck"


class Impact(IntEnum):
    """How hard the feet meet the floor."""

    NONE = 0
    LOW = 1
    HIGH = 2

    @property
    def label(self) -> str:
        """The word for it."""
        return self.name.lower()


class Level(IntEnum):
    """Who an exercise is for at the soonest."""

    BEGINNER = 1
    INTERMEDIATE = 2  # some months of regular training
    ADVANCED = 3

    @property
    def label(self) -> str:
        """The word for it."""
        return self.name.lower()


class PulseDrive(IntEnum):
    """How far an exercise drives the pulse at a brisk pace; a coach's estimate, no source."""

    LOW = 0
    MEDIUM = 1
    HIGH = 2


class Sides(StrEnum):
    """Whether a rep trains both sides, or each side is done in turn."""

    TOGETHER = "both sides together"
    EACH = "each side"


class RidingUse(StrEnum):
    """What an exercise serves on the machine."""

    LIFTING = "lifting and freeing the machine"
    SIDEHILLING = "sidehilling"
    STANDING = "standing for hours"
    HOLDING = "hanging on"


#: Movements of the legs and hips.
LOWER_MOVEMENTS = frozenset({Movement.SQUAT, Movement.HINGE, Movement.STEP, Movement.LATERAL, Movement.JUMP})
#: Movements of the trunk.
TRUNK_MOVEMENTS = frozenset({Movement.ANTI_ROTATION, Movement.TRUNK_FLEXION})
#: Muscles whose main work makes an exercise count as trunk training, whatever its movement.
TRUNK_MUSCLES = frozenset({Muscle.ABDOMINALS, Muscle.OBLIQUES})


@dataclass(frozen=True, slots=True)
class Exercise:
    """One exercise of the library.

    Parameters
    ----------
    name
        Its usual name in a gym; unique.
    instruction
        How it is done, in one line.
    movement
        What kind of movement it is.
    primary, secondary
        Muscle groups it trains mainly, and those it trains along; disjoint, the main one first.
    serves
        What it serves on the machine.
    level
        Who it is for at the soonest.
    seconds_per_rep
        Time of one rep (of one side, where sides are done in turn), s; a coach's figure at a
        steady pace, no source.
    equipment
        Everything it needs; empty if nothing.
    joints
        Joints it stresses enough to leave it out when they are sore.
    impact
        How hard the feet meet the floor.
    sides
        Whether each side is done in turn.
    pulse_drive
        How far it drives the pulse.
    rep
        What one rep is, where that is not plain; else empty.
    is_stand_in
        Whether it stands in where equipment is missing or a joint is sore: it loads little, and
        something better is taken where possible.
    easier
        The variant to fall back to; None if there is no easier one.
    harder
        Variants to go on to; filled in by the library from ``easier``.
    """

    name: str
    instruction: str
    movement: Movement
    primary: tuple[Muscle, ...]
    secondary: tuple[Muscle, ...]
    serves: tuple[RidingUse, ...]
    level: Level
    seconds_per_rep: float
    equipment: tuple[Equipment, ...] = ()
    joints: tuple[Joint, ...] = ()
    impact: Impact = Impact.NONE
    sides: Sides = Sides.TOGETHER
    pulse_drive: PulseDrive = PulseDrive.MEDIUM
    rep: str = ""
    is_stand_in: bool = False
    easier: str | None = None
    harder: tuple[str, ...] = ()

    @property
    def families(self) -> tuple[Family, ...]:
        """Which of the five families it counts for.

        Legs, push and pull go by movement. Trunk and grip go by movement or by the main muscles,
        so that a suitcase deadlift counts for legs and trunk, and a towel row for pull and grip.
        """
        families = []
        if self.movement in LOWER_MOVEMENTS:
            families.append(Family.LOWER)
        elif self.movement is Movement.PUSH:
            families.append(Family.PUSH)
        elif self.movement is Movement.PULL:
            families.append(Family.PULL)
        if self.movement in TRUNK_MOVEMENTS or not TRUNK_MUSCLES.isdisjoint(self.primary):
            families.append(Family.TRUNK)
        if self.movement is Movement.GRIP or Muscle.FOREARMS in self.primary:
            families.append(Family.GRIP)
        return tuple(families)

    @property
    def seconds_of_a_count(self) -> float:
        """Time for one count of the ladder, both sides included, s."""
        return self.seconds_per_rep * (2 if self.sides is Sides.EACH else 1)
