"""How each field test is done: short instructions to print, with the box, the beat and the cautions."""

from rideready.intensity import working_maximum_bpm
from rideready.model.fieldtest import FieldTest
from rideready.model.protocol import Protocol, ProtocolStep
from rideready.model.rider import Rider, Sex
from rideready.recovery.burst_test import HARD_S, STILL_S
from rideready.recovery.ride_test import HELD_WITHIN_BPM, REST_S, STAGES

#: Bursts of the repeat-burst test (ours).
BURSTS = 8
#: Box heights, cm: Golding 2000 (12 in), McArdle et al. 1972 (16 1/4 in), Brouha 1943 (20 in); for women
#: Sloan 1959 asks for 17 in at the Harvard test, as a teaching page tells (others: 40 to 46 cm).
YMCA_BOX_CM, QUEENS_BOX_CM, HARVARD_BOX_CM, HARVARD_BOX_WOMEN_CM = 30.5, 41.3, 50.8, 43.2
#: Metronome, ticks a minute, four to a cycle: 24 cycles; 24 for men and 22 for women; 30.
YMCA_TICKS, HARVARD_TICKS = 96, 120
QUEENS_TICKS = {Sex.MALE: 96, Sex.FEMALE: 88}

_STOP = (
    "Stop at once and get help for chest pain or pressure, faintness, palpitations, confusion, or "
    "breathlessness that is not like you."
)
_STOP_STEPPING = _STOP + " Stop too if a knee, hip or back begins to hurt, or your feet miss the box."
_ASK_FIRST = (
    "Ask a doctor before any test if you have heart trouble or high blood pressure, had chest pain, dizziness or "
    "fainting, take medicine for a chronic condition, are pregnant, or were told to exercise under supervision only."
)
_NOT_ILL = "Not with fever, an infection, or in the days after one."
_NOT_WITH_SORE_KNEES = "Not with a knee, hip, ankle or back that stepping or pedalling hurts."
_HARD_ONLY_IF_TRAINED = "Not before some months of regular hard training: this one ends near your maximum. Have somebody with you."
_SAME_CONDITIONS = (
    "Same hour of the day, same shoes and box, no caffeine for three hours, no meal or hard training just before.",
    "Recorder to one value a second; a chest strap reads a fast fall better than a wrist.",
)
_BOX_SAFE = "The box stands against a wall on a floor it cannot slide on, and carries your weight."
_MEDICINE = "A medicine that alters the pulse makes the published bands meaningless; your own tests on the same dose compare."
_ESTIMATE = (
    "The estimate was made with students and is off by more than 16 % for about one person in twenty; "
    "the pulse itself compares better with your earlier ones."
)
_TWO_TABLES = (
    "A higher index is better. Two published tables conflict; both are shown, and the band goes by the "
    "test's own author."
)
_STAND = ProtocolStep("Start the recording and stand still beside the box.", 60)
_CYCLE = "to the beat: up, up, down, down, one tick a foot. Straighten the leg on top; change the leading leg at will"


def protocol_for(test: FieldTest, rider: Rider) -> Protocol:
    """Give the instruction for a test, filled in for a rider.

    Parameters
    ----------
    test
        Which.
    rider
        Sex chooses box and beat where the source has two; the maximum fills in the stages of the ride.

    Returns
    -------
    Protocol
        Steps with lengths, beats and heart rates, and what to beware of.

    References
    ----------
    Brouha 1943, Res Q 14:31-36. Golding 2000, YMCA Fitness Testing and Assessment Manual. McArdle et al. 1972,
    Med Sci Sports 4:182-6. Lamberts et al. 2011, Br J Sports Med 45:797-804. The repeat-burst test is ours.
    """
    make = {
        FieldTest.HARVARD: _harvard,
        FieldTest.YMCA: _ymca,
        FieldTest.QUEENS_COLLEGE: _queens_college,
        FieldTest.BURSTS: _bursts,
        FieldTest.RIDE: _ride,
    }
    return make[test](rider)


def _ymca(_rider: Rider) -> Protocol:
    return Protocol(
        test=FieldTest.YMCA,
        purpose="The gentlest of the step tests: a low box, three minutes, one count. Good for a first test.",
        equipment=("box of 30.5 cm", "metronome", "chair", "watch, or a recorder with a pulse sensor"),
        box_height_cm=YMCA_BOX_CM,
        beforehand=(*_SAME_CONDITIONS, _BOX_SAFE),
        steps=(
            _STAND,
            ProtocolStep(f"Step {_CYCLE}.", 180, YMCA_TICKS),
            ProtocolStep(
                "Sit down at once. Within 5 s begin to count your pulse, and count for one full minute. Sit still.",
                65,
            ),
            ProtocolStep("Stay seated and let the recording run on.", 60),
        ),
        not_for=(_ASK_FIRST, _NOT_ILL, _NOT_WITH_SORE_KNEES),
        stop_signs=_STOP_STEPPING,
        good_to_know=(
            "Fewer beats are better. The table goes by age and sex and has gaps; a count in a gap says so.",
            _MEDICINE,
        ),
        source="Golding 2000, YMCA Fitness Testing and Assessment Manual, 4th ed.",
    )


def _queens_college(rider: Rider) -> Protocol:
    ticks = None if rider.sex is None else QUEENS_TICKS[rider.sex]
    beat = "" if ticks else " Metronome: 96 for men, 88 for women."
    return Protocol(
        test=FieldTest.QUEENS_COLLEGE,
        purpose="An estimate of maximal oxygen uptake from three minutes on a box of chair height.",
        equipment=("box of 41.3 cm", "metronome", "watch, or a recorder with a pulse sensor"),
        box_height_cm=QUEENS_BOX_CM,
        beforehand=(*_SAME_CONDITIONS, _BOX_SAFE),
        steps=(
            _STAND,
            ProtocolStep(f"Step {_CYCLE}.{beat}", 180, ticks),
            ProtocolStep("Stop and stay standing. Find your pulse.", 5),
            ProtocolStep("Count your pulse for 15 s, standing still.", 15),
            ProtocolStep("Stay standing a little longer, then walk about.", 60),
        ),
        not_for=(_ASK_FIRST, _NOT_ILL, _NOT_WITH_SORE_KNEES),
        stop_signs=_STOP_STEPPING,
        good_to_know=(
            _ESTIMATE,
            _MEDICINE,
        ),
        source="McArdle, Katch, Pechar, Jacobson, Ruck 1972, Med Sci Sports 4:182-6",
    )


def _harvard(rider: Rider) -> Protocol:
    box_cm = HARVARD_BOX_WOMEN_CM if rider.sex is Sex.FEMALE else HARVARD_BOX_CM
    return Protocol(
        test=FieldTest.HARVARD,
        purpose="The hard one: a high box, a fast beat, up to five minutes, and three counts after it.",
        equipment=(f"box of {box_cm} cm", "metronome", "chair", "watch, or a recorder with a pulse sensor"),
        box_height_cm=box_cm,
        beforehand=("Warm up for five minutes and rest for two.", *_SAME_CONDITIONS, _BOX_SAFE),
        steps=(
            _STAND,
            ProtocolStep(
                f"Step {_CYCLE}. Stop after five minutes, or when you cannot keep the beat for some 15 s; "
                "note how many seconds you stepped.",
                300,
                HARVARD_TICKS,
            ),
            ProtocolStep("Sit down and sit still.", 60),
            ProtocolStep("First count: 30 s.", 30),
            ProtocolStep("Rest.", 30),
            ProtocolStep("Second count: 30 s.", 30),
            ProtocolStep("Rest.", 30),
            ProtocolStep("Third count: 30 s.", 30),
            ProtocolStep("Let the recording run on, then walk about until your breath is easy.", 30),
        ),
        not_for=(_HARD_ONLY_IF_TRAINED, _ASK_FIRST, _NOT_ILL, _NOT_WITH_SORE_KNEES),
        stop_signs=_STOP_STEPPING,
        good_to_know=(
            _TWO_TABLES,
            "Women step on 43.2 cm (sources differ, 40 to 46); the bands come from young men.",
            _MEDICINE,
        ),
        source="Brouha 1943, Res Q 14:31-36",
    )


def _bursts(_rider: Rider) -> Protocol:
    return Protocol(
        test=FieldTest.BURSTS,
        purpose="What a ride asks for: short hard bursts with a minute to come down, again and again.",
        equipment=("stationary bike, or a step or hill you can go hard on", "recorder with a pulse sensor"),
        box_height_cm=None,
        beforehand=(*_SAME_CONDITIONS, "Set the resistance as last time, and leave it."),
        steps=(
            ProtocolStep("Start the recording. Warm up easily.", 300),
            ProtocolStep("Pick up to a steady pace at which you can still say a sentence.", 180),
            ProtocolStep("Ease off.", 60),
        ),
        round_steps=(
            ProtocolStep("Hard: as hard as you can repeat in every burst, not harder.", round(HARD_S)),
            ProtocolStep("Still: stop, stay seated, hands down, do not talk.", round(STILL_S)),
        ),
        rounds=BURSTS,
        closing=(ProtocolStep("Ride easily until your breath is easy.", 240),),
        not_for=(_HARD_ONLY_IF_TRAINED, _ASK_FIRST, _NOT_ILL, _NOT_WITH_SORE_KNEES),
        stop_signs=_STOP,
        good_to_know=(
            "Three figures: the median drop in 45 s, how it changes from burst to burst, and the pulse you start from.",
            "There are no published norms. It compares with your own earlier tests on the same machine and recorder.",
        ),
        source="this program's own",
    )


def _ride(rider: Rider) -> Protocol:
    maximum_bpm = working_maximum_bpm(rider)
    stages = tuple(_stage(share, length_s, maximum_bpm) for share, length_s in STAGES)
    basis = (
        "Your maximum is not known, so there are no heart rates here; enter it or your age."
        if maximum_bpm is None
        else "Keep to the same maximum from test to test, or the stages are other ones."
    )
    return Protocol(
        test=FieldTest.RIDE,
        purpose="The most repeatable way to read one minute's drop: every ride ends at the same pulse.",
        equipment=("stationary bike with a steady resistance", "recorder with a pulse sensor you can see"),
        box_height_cm=None,
        beforehand=(
            "Same hour and day of the week, 18 to 22 degrees, no caffeine for three hours, nothing hard the day before.",
            _SAME_CONDITIONS[1],
        ),
        steps=(
            *stages,
            ProtocolStep(
                "Stop pedalling. Sit upright, hands off the bar, motionless, without talking.", round(REST_S)
            ),
        ),
        closing=(ProtocolStep("Pedal easily for some minutes.", 180),),
        not_for=(
            "Not as one of your first sessions: its last stage is hard.",
            _ASK_FIRST,
            _NOT_ILL,
            "Not with a medicine that alters the pulse: the stages go by heart rate.",
        ),
        stop_signs=_STOP,
        good_to_know=(
            basis,
            "Steer by small changes of resistance; the pulse takes a minute to follow. Do not talk on the way.",
            "A pulse that falls faster goes with fitness, and with overreaching too: look at load and resting pulse.",
        ),
        source="Lamberts, Swart, Noakes, Lambert 2011, Br J Sports Med 45:797-804",
    )


def _stage(share: float, length_s: float, maximum_bpm: float | None) -> ProtocolStep:
    what = f"Ride at {share:.0%} of your maximum heart rate.".replace("%", " %")
    if maximum_bpm is None:
        return ProtocolStep(what, round(length_s))
    target_bpm = share * maximum_bpm
    return ProtocolStep(
        what,
        round(length_s),
        low_bpm=target_bpm - HELD_WITHIN_BPM,
        high_bpm=target_bpm + HELD_WITHIN_BPM,
    )
