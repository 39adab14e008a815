"""Sentences about maximum and resting heart rate: what recordings, log and equations say."""

MAXIMUM_SENTENCES: dict[str, str] = {
    "maximum.one_session": "Rests on one session; another one that comes near it would make it firmer.",
    "maximum.few_sessions": "Rests on {n:.0f} sessions only.",
    "maximum.unsupported": (
        "Session {session} shows {bpm:.0f} bpm, and no other comes within {near:.0f}: either your hardest effort "
        "or the sensor's mistake. If you know it was an all-out effort, enter it; nothing is changed by itself."
    ),
    "maximum.floor": (
        "This is the highest level seen, not a test: if you never went all out your maximum is higher."
    ),
    "maximum.above_entered": (
        "Your recordings reach {observed:.0f} bpm (session {session}), above the maximum of {entered:.0f} you "
        "entered. If the recording is right, enter the higher one; until then {entered:.0f} is used."
    ),
    "maximum.entered_unreached": (
        "You entered a maximum of {entered:.0f} bpm; the highest level in {n:.0f} sessions is {observed:.0f}. "
        "That fits if you never went all out; otherwise check the number."
    ),
    "maximum.entered_far_from_predicted": (
        "The maximum of {entered:.0f} bpm you entered lies {apart:.0f} bpm {side} what age predicts "
        "({predicted:.0f}, standard error {see:.0f}). That is possible and rare; check the number."
    ),
    "maximum.above_predicted": (
        "Your recordings reach {observed:.0f} bpm (session {session}), above the {predicted:.0f} predicted from "
        "age that is in use. Enter a maximum of your own; until then {predicted:.0f} is used."
    ),
    "maximum.predicted_unreached": (
        "Your maximum is predicted from age ({predicted:.0f} bpm, standard error {see:.0f}); the highest level "
        "in {n:.0f} sessions is {observed:.0f}. If you did go all out, the prediction is too high for you."
    ),
    "rest.too_few": "{n:.0f} resting pulses in the last {weeks:.0f} weeks; it takes at least {least:.0f}.",
    "rest.rose": (
        "Your resting pulse of the last two weeks is {bpm:.0f} bpm above the four weeks before. That goes with "
        "tiredness, heat, illness or another time of day; go easy until it is back, and see a doctor if you "
        "feel unwell."
    ),
    "rest.fell": (
        "Your resting pulse of the last two weeks is {bpm:.0f} bpm below the four weeks before. That goes with "
        "fitness, and with overreaching if you also feel worn out."
    ),
    "rest.entered_differs": (
        "You entered a resting pulse of {entered:.0f} bpm; the median of the {n:.0f} you logged since {since} is "
        "{logged:.0f}. Until you change it, {entered:.0f} is used."
    ),
    "rest.seen_lower": (
        "A recording shows {seen:.0f} bpm held for a minute, below the resting pulse of {entered:.0f} you entered. "
        "Measure it again, lying, after waking."
    ),
}
