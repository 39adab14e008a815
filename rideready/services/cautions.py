"""Words of care, shown where a rider acts on a figure. None of them is a diagnosis.

The stop signs and the word on medicines are well-known health guidance in our own words (science sheet,
section 10); the pointer is always to a doctor, never to a figure of this program.
"""

from rideready.model.rider import Rider
from rideready.model.trend import Trend, Verdict

#: Beside anything that tells or tempts to go hard.
STOP_SIGNS = (
    "Stop and get help for chest pain or pressure, faintness, palpitations, confusion, "
    "or breathlessness that is not like you."
)
#: Beside recovery figures.
NOT_MEDICAL = (
    "These figures describe training, not health. If your pulse hardly falls in the first minutes after "
    "effort, again and again, or you have symptoms, see a doctor."
)
#: Where the rider's numbers are set.
MEDICINE = (
    "Beta-blockers and some other medicines hold the pulse down, others drive it up: with them, train by "
    "effort and not by heart rate, and ask your doctor."
)
#: Where a maximum from age is in use.
PREDICTED_MAXIMUM = (
    "Your maximum is predicted from age, and one person in three is off by 10 bpm or more. "
    "A measured one is better; do not go looking for it alone or unprepared."
)
#: Beside a verdict of faster.
FASTER_IS_NOT_ALWAYS_FITTER = (
    "The pulse also falls faster when somebody is overreached (Bellenger 2016). "
    "If load has jumped or you feel worn out, rest first."
)
#: Where simulated sessions are shown.
SIMULATED = "Simulated sessions of invented riders, made to look around in."


def cautions_for_rider(rider: Rider) -> tuple[str, ...]:
    """Say what this rider should know before acting on figures by heart rate."""
    said = [STOP_SIGNS]
    if rider.takes_heart_rate_medicine:
        said.append(MEDICINE)
    if rider.max_hr_bpm is None and rider.age_years is not None and not rider.takes_heart_rate_medicine:
        said.append(PREDICTED_MAXIMUM)
    return tuple(said)


def cautions_for_trend(found: Trend) -> tuple[str, ...]:
    """Say what to beware of beside a verdict."""
    said = [NOT_MEDICAL]
    if found.direction is Verdict.FASTER:
        said.insert(0, FASTER_IS_NOT_ALWAYS_FITTER)
    return tuple(said)


#: Before the first plan and every twelve months: what should be known before anybody trains hard. In our own
#: words, after what pre-exercise forms ask (PAR-Q+, Warburton et al. 2011, Health & Fitness Journal of Canada 4(2)).
PRE_EXERCISE = (
    "A doctor has told me that I have a heart condition or high blood pressure.",
    "I feel pain or pressure in my chest at rest, in daily life or when I exert myself.",
    "I have felt faint or dizzy, or lost consciousness, in the last twelve months.",
    "I have another long-standing illness, or take medicine for one.",
    "I have a bone, joint or soft-tissue problem that hard exercise could make worse.",
    "I was told to exercise only under medical supervision.",
    "I am pregnant, or was within the last six months.",
)
#: Where any of these is so.
SEE_A_DOCTOR_FIRST = (
    "See a doctor before you train hard, test yourself or follow a plan, and take the official form, PAR-Q+, with you. "
    "This says nothing about what you have; it says who should look first."
)
#: Where none of them is so.
NOTHING_SPEAKS_AGAINST = (
    "None of these speaks against beginning. Begin gently all the same, and ask again in twelve months, "
    "or as soon as one of them changes."
)
