"""Sentences about the circuit."""

_PROGRESS = {
    "circuit.first": "No circuit in your log yet, so it starts from {top} reps.",
    "circuit.after_break": "Your last circuit was {days} days ago, so this one steps down.",
    "circuit.unfinished": "Last time {done} of {rounds} rounds were done.",
    "circuit.unrated": "Your last circuit has no rating; rate it (RPE 0 to 10) and the next can move on.",
    "circuit.too_hard": "Last time it was finished at RPE {rpe:g}, which is too hard to build on.",
    "circuit.hard_enough": "Last time it was finished at RPE {rpe:g}: hard enough.",
    "circuit.pulse_stayed_up": (
        "Last time felt easy, but the pulse came down in only {percent} % of the rests, so nothing is added."
    ),
    "circuit.easy": "Last time it was finished at RPE {rpe:g}, which was easy.",
    "circuit.once_more": "Same size as last time; a few as easy as this in a row, and a rep is added.",
    "circuit.same_again": "Same size as last time.",
    "circuit.top_up": "One rep more in the first round: {top}.",
    "circuit.top_down": "One rep fewer in the first round: {top}.",
    "circuit.variant_up": "The one step up: {to_name} in place of {from_name}.",
    "circuit.variant_down": "The one step down: {to_name} in place of {from_name}.",
    "circuit.weight": "The one change: {name} with {to_kg:g} kg in place of {from_kg:g} kg.",
    "circuit.step_waits": "The next step ({name}) does not go with today's other rules and waits.",
    "circuit.weight_waits": "The next size of weight waits until an exercise that has earned it comes up again.",
    "circuit.at_the_top": "There is no harder step at your level; raise the level if you want one.",
    "circuit.at_the_bottom": "There is no easier step left; do fewer rounds if it is too much.",
    "circuit.unearned": "{name} is harder than what you did last of its kind: take it slowly.",
}

_SIZE = {
    "circuit.top_for_time": (
        "It starts from {top} reps, not {full}: that is what fits into {minutes:g} minutes."
    ),
    "circuit.time": (
        "Time is reckoned from the seconds per rep given with each exercise, {change:g} s from one exercise "
        "to the next, and the rests."
    ),
    "circuit.load_seen": "The load takes RPE {rpe:g}, the middle of your last rated circuits.",
    "circuit.load_usual": "The load takes RPE {rpe:g}, as circuits usually feel; your log has no rating yet.",
    "circuit.rest_pulse": (
        "Rest until the pulse is below {bpm} bpm, at most {cap:g} s; reckoned with {expected} s."
    ),
    "circuit.rest_pulse_seen": (
        "Rest until the pulse is below {bpm} bpm, at most {cap:g} s; reckoned with {expected} s, as in your "
        "last recorded circuit."
    ),
    "circuit.rest_clock": "Rest {seconds:g} s between rounds.",
    "circuit.rest_medicine": (
        "Rest {seconds:g} s by the clock: with a medicine that alters the pulse, it does not tell when to go on."
    ),
    "circuit.rest_no_numbers": (
        "Rest {seconds:g} s by the clock: resting and maximum heart rate are needed to rest by pulse."
    ),
    "circuit.another": "The next best after {n} other circuits for today.",
}

_CHOICE = {
    "circuit.role": "For {uses}; counts as {family}.",
    "circuit.not_lately": "Comes back after more than two weeks.",
    "circuit.short_of_work": "Your {muscle} had little work in the last two weeks.",
    "circuit.drives_pulse": "Keeps the pulse up.",
    "circuit.resting": "Left alone, because trained hard within 48 hours: {muscles}.",
    "circuit.rested_family": "No exercise for {family} today: those muscles rest their 48 hours.",
    "circuit.joint_spared": "Nothing here stresses the {joint}; {n} exercises were left out for it.",
    "circuit.clash": "{one} and {other} follow each other though they share a main muscle: no order avoids it.",
    "circuit.clash_across": (
        "{one} ends and {other} begins a round though they share a main muscle; the rest lies between them."
    ),
}

_CAUTIONS = {
    "circuit.stop": (
        "Stop at chest pain or pressure, faintness, unusual breathlessness, confusion or an uneven, racing "
        "pulse, and get medical help."
    ),
    "circuit.weight_choice": (
        "Take a weight you could lift 15 times in good form, and breathe out on the effort."
    ),
    "circuit.landing": "Land softly on the whole foot; when the landings get loud, step instead of jumping.",
    "circuit.sore_low_back": (
        "Sparing the low back: stop at pain that runs down a leg; numbness or weakness there belongs to a "
        "doctor at once."
    ),
    "circuit.sore_joint": (
        "Sparing the {joint}: stop an exercise that hurts it; swelling or pain that stays belongs to a doctor."
    ),
    "circuit.blood_pressure": (
        "With high blood pressure ask your doctor before hard circuits; never hold your breath, and keep "
        "holds short."
    ),
    "circuit.asthma": (
        "With asthma keep your reliever at hand, warm up long, and cover mouth and nose in cold air."
    ),
}

_REFUSALS = {
    "circuit.fever": "no hard training with a fever",
    "circuit.infection": "no hard training with an infection",
    "circuit.chest_pain": "no training with chest pain",
    "circuit.faintness": "no training when you feel faint",
    "circuit.rest_it": (
        "Rest; when you have been well for a day start with two easy days, and ask a doctor if it lasts or "
        "comes with chest pain, breathlessness or palpitations"
    ),
    "circuit.get_help": "Get medical help now, and ask a doctor before you train again",
}

_CHANGES = {
    "circuit.nothing_left_for": "no exercise is left for {families}",
    "circuit.too_few_left": "no {n} exercises that go together are left",
    "circuit.too_few_rested": "too few muscle groups are rested for {n} exercises",
    "circuit.too_little_time": "it does not fit into {minutes:g} minutes",
    "circuit.change_equipment": "have {piece} at hand",
    "circuit.change_excluded": "allow {name}",
    "circuit.change_level": "allow {level} exercises",
    "circuit.change_impact": "allow {impact} impact",
    "circuit.change_wait": "wait until the 48 hours are over",
    "circuit.change_joint": "have the {joint} looked at and wait until it may be loaded again",
    "circuit.change_exercises": "take {n} exercises",
    "circuit.change_top": "start from {top} reps",
    "circuit.change_minutes": "take {minutes} minutes",
    "circuit.no_more": "there are only {n} circuits for this request",
    "circuit.no_swap": "nothing goes with the other exercises in place of {name}",
    "circuit.swap_another": "Swap another exercise, or ask for another circuit",
    "circuit.fewer_alternatives": "Ask for an earlier one",
}

_MATCH = {
    "circuit.match_no_pulse": "The recording has no usable heart rate, so nothing can be said about pulse.",
    "circuit.match_no_floor": "Resting and maximum heart rate are needed to say how long the pulse was up.",
    "circuit.match_no_rounds": (
        "The pulse does not show the {wanted} rests of this circuit clearly, so the rounds cannot be told apart."
    ),
    "circuit.match_to_the_end": "The shares are of the whole recording, whatever else is in it.",
    "circuit.match_few_clean": "Only {percent} % of the circuit has a trustworthy pulse.",
    "circuit.match_rounds_approximate": "Rounds are found from the pulse, to within some ten seconds.",
    "circuit.match_start_assumed": "Where the circuit begins was found from the pulse.",
}

CIRCUIT_SENTENCES: dict[str, str] = {
    **_PROGRESS,
    **_SIZE,
    **_CHOICE,
    **_CAUTIONS,
    **_REFUSALS,
    **_CHANGES,
    **_MATCH,
}
