"""Sentences about the season, the week and today."""

_WEEK = {
    "season.twice_once": "You had also written this session down ({line}); the recording counts in its place.",
    "season.twice_both": "You had also written this session down ({line}); both count, as you wanted.",
    "season.week_start": (
        "There is little on record to build on, so this week starts at {minutes} min; what you log counts "
        "from then on."
    ),
    "season.week_ramp": (
        "You have lately done about {base} min a week; the ramp allows {limit}, and this week asks {minutes}."
    ),
    "season.week_after_easier": (
        "Back to the {base} min of before the easier week; the climb goes on next week."
    ),
    "season.week_ample": (
        "{minutes} min is ample: more would be allowed ({limit}), but health guidance sees its benefit up to "
        "300 min, and the plan asks no more of you."
    ),
    "season.week_days_full": "Your days hold about {minutes} min, so the week asks no more than that.",
    "season.week_hold": "Minutes are held at {minutes} while the bursts are new.",
    "season.week_easier": (
        "An easier week, {minutes} min, a fifth below the weeks before, so that the training can settle in."
    ),
    "season.week_broken": "With so many days lost this counts as an easier week.",
    "season.week_taper": (
        "Taper, week {week} of 2 before {day}: {minutes} min, {cut} % below the usual {usual}. Circuits and "
        "bursts stay as hard and as many; only their length comes down."
    ),
    "season.week_taper_after_loss": (
        "Taper, week {week} of 2 before {day}: after the weeks lost, {minutes} min is what the ramp allows."
    ),
    "season.week_opening": "Opening day is {day}: stay loose and rested until then.",
    "season.week_bursts_wait": (
        "Burst practice waits until the weeks before it carry it; steady work and circuits come first."
    ),
    "season.week_days_hold": (
        "Your days hold {circuits} circuits, {bursts} burst practices and {strength} strength sessions a week "
        "with no two hard days in a row and 48 hours for each muscle group."
    ),
    "season.week_injury": (
        "With your {joints} sore the minutes do not rise, and what loads it is left out; see a doctor or "
        "physiotherapist if it does not settle."
    ),
    "season.week_away": "You are away for {days} days of it, so the week asks {minutes} min.",
    "season.week_ill": (
        "{days} days of it go to the illness and the way back, so the week asks {minutes} min at most."
    ),
    "season.week_ask_first": (
        "You answered yes to a health question: ask a doctor before anything hard. Until then the week has "
        "moderate work and mobility only."
    ),
}

_STATEMENTS = {
    "season.floor_already": (
        "You stand on the floor already, and the plan keeps you there up to {earliest}, the earliest opening day."
    ),
    "season.floor_in_time": (
        "The floor is reached by {day}, {days} days before {earliest}, the earliest opening day."
    ),
    "season.floor_late": (
        "The floor cannot be reached by {earliest}, the earliest opening day. Short of it then: {missing}. "
        "The plan reaches it by {day}."
    ),
    "season.floor_never": (
        "The floor cannot be reached before {likely}, the likely opening day. Short of it on the earliest, "
        "{earliest}: {missing}."
    ),
    "season.floor_now": ("The window is open and you are not on the floor. Short of it: {missing}."),
    "season.floor_reached_now": "The window is open and you stand on the floor.",
    "season.floor_advice": (
        "If the snow comes before you reach it: start with short days on easy ground, and ride with people who "
        "can help you lift."
    ),
    "season.floor_days": (
        "The days you gave hold about {minutes} min a week; the floor asks for {needed}. About {more} more "
        "would do."
    ),
    "season.floor_third_day": (
        "The days you gave hold one strength day a week; one more day of 20 minutes, with a day between, would make "
        "room for the second."
    ),
    "season.peak": (
        "You should be at your best on {likely}: the taper runs from {start}, with about half of the usual "
        "minutes at full intensity."
    ),
    "season.taper_under_way": "The taper for {likely} is under way.",
    "season.no_time_to_build": (
        "{days} days are too few to build anything that lasts; what helps now is to keep moving, keep it short "
        "and arrive rested."
    ),
    "season.opens_today": "Opening day is today: nothing is left to train.",
    "season.opens_tomorrow": "Opening day is tomorrow: today stays easy.",
    "season.long_way": (
        "There are {weeks} weeks to go; the last {specific} before the taper are for burst practice, all before "
        "that is for building."
    ),
    "season.below_guidance": (
        "Health guidance for adults is 150 moderate minutes a week, or 75 vigorous, two strength days and some "
        "flexibility; the plan reaches 150 min in the week of {day}."
    ),
    "season.guidance_not_reached": (
        "Health guidance for adults is 150 moderate minutes a week, or 75 vigorous, two strength days and some "
        "flexibility; this plan gets to {minutes} min."
    ),
    "season.fever": (
        "After a fever, three steps of two easy days each, up to 20, 30 and 40 min; go back a step if you feel "
        "worse. See a doctor before any hard training if the fever lasted more than three days, or if you have "
        "chest pain, palpitations, faintness or unusual breathlessness."
    ),
    "season.fever_now": (
        "With a fever or an infection, no training. The plan takes it to last to {day}; log when it is over and it "
        "re-plans."
    ),
    "season.ask_first": (
        "Ask a doctor before you follow anything hard: you answered yes to a health question."
    ),
}

_RULES = {
    "season.rule_minutes": (
        "Minutes are moderate-equivalent: a vigorous minute counts as two moderate ones (WHO 2020)."
    ),
    "season.rule_ramp": (
        "A week asks at most about a tenth, or a quarter of an hour, more than you really did in the last four. "
        "That is a rule of thumb, not a promise against injury."
    ),
    "season.rule_easier": "Every third or fourth week is an easier one; common practice.",
    "season.rule_taper": (
        "The taper takes 41 to 60 % of the minutes off over about two weeks and keeps the intensity "
        "(Bosquet et al. 2007)."
    ),
    "season.rule_floor": (
        "The floor, over four weeks: two with 150 min, two with two strength days, three circuits, two burst "
        "practices, and one steady piece of 45 min. It is this plan's own yardstick."
    ),
    "season.rule_no_record": "What you do without a recording counts once you log it.",
}

_DAYS = {
    "season.day_ill": "No training with a fever or an infection.",
    "season.day_cold": "With a cold only easy work, {most} min at most; stop if it moves to the chest or you get a fever.",
    "season.day_step": (
        "Step {step} of 3 after the fever: easy, {most} min at most. Feeling worse means one step back."
    ),
    "season.day_eve": "The day before opening day stays easy.",
    "season.day_rest": "A day of rest.",
    "season.day_no_time": "No time was given for this day.",
    "season.day_away": "You are away on this day.",
    "season.day_sore": "No hard work for the {groups}: sore muscles rest that day and the next.",
    "season.week_rules": (
        "No two hard days in a row, 48 hours between two sessions for the same muscles, one day of rest."
    ),
    "season.week_short": (
        "{minutes} of the week's {target} min do not fit into the days left; they are not carried over."
    ),
    "season.long_elsewhere": "The long piece is on {day}, because it does not fit on {wish}.",
    "season.dropped_blocked": "No {kind} this week on days that an illness or opening day keeps easy.",
    "season.dropped_ramp": "A further {kind} would go beyond what the ramp allows this week.",
    "season.dropped_hard_days": "A further {kind} would put two hard days in a row.",
    "season.dropped_48_h": "A further {kind} would train the same muscles again within 48 hours.",
    "season.dropped_minutes": "A further {kind} needs more minutes than the days left have.",
    "season.dropped_one_a_day": "A further {kind} would have to share a day that is taken.",
    "season.dropped_rest_day": "A further {kind} would take the week's day of rest.",
    "season.dropped_too_few_days": "The days left are too few for a further {kind}.",
    "season.dropped_no_days": "The week has no day left for a {kind}.",
    "season.missed_moved": "The {kind} missed on {day} moves to {to_day}.",
    "season.missed_dropped": "The {kind} missed on {day} is dropped. {why}",
}

_LOAD = {
    "season.load_source": (
        "Load is session RPE times minutes (Foster et al. 2001); monotony is the mean daily load over its standard "
        "deviation, strain the week's load times its monotony (Foster 1998)."
    ),
    "season.load_unrated": (
        "{n} of the week's sessions have no rating, so its load, monotony and strain cannot be had; "
        "rideready session NUMBER --rpe 5 rates a recording."
    ),
    "season.load_even": "All seven days had the same load, so monotony and strain cannot be had.",
    "season.load_week_open": "The week is not over, so monotony and strain are still to come.",
    "season.load_no_threshold": (
        "Compare a week with your own others; a high figure says that hard and easy days differ little, not that you "
        "will fall ill."
    ),
}

_CHANGES = {
    "season.cause_lost": "In the week of {day} {done} of {planned} min were done, so the weeks after start lower.",
    "season.cause_less": "In the week of {day} {done} of {planned} min were done.",
    "season.cause_more": (
        "In the week of {day} {done} min were done, more than the {planned} planned; the ramp starts from there."
    ),
    "season.cause_illness": "You logged an illness ({kind}) from {day}.",
    "season.cause_illness_over": "You logged that the illness ({kind}) ended on {day}.",
    "season.cause_injury": "You logged a sore {joint}.",
    "season.cause_injury_over": "Your {joint} is no longer logged as sore.",
    "season.cause_away": "You are away from {first} to {last}.",
    "season.cause_away_over": "Days that you had marked as away are free again.",
    "season.cause_clearance": "Your answers to the health questions changed: {clearance}.",
    "season.cause_days": "Your week now has {now} min for training; before, it had {before}.",
    "season.cause_earlier": "The likely opening day moves {days} days earlier, from {before} to {now}.",
    "season.cause_later": "The likely opening day moves {days} days later, from {before} to {now}.",
    "season.cause_earliest": "The earliest opening day moves from {before} to {now}.",
    "season.week_gone": "The plan no longer reaches this week.",
    "season.week_follows": "It follows from the weeks before it.",
    "season.given_up": "Given up: {count} of {then} {what}; that leaves {now}.",
    "season.won": "Won: {now} {what} instead of {then}.",
    "season.peak_changes": "The fullest week has {now} min instead of {then}.",
    "season.floor_lost": "The floor is no longer sure by {earliest}. Short of it then: {missing}.",
    "season.floor_won": "The floor becomes sure by {earliest}.",
    "season.floor_moves": "The floor is now reached by {day}.",
    "season.taper_moves": "The taper now begins on {day}.",
    "season.taper_cut": "The taper begins at once and has {days} days instead of two weeks.",
}

_EFFORT = {
    "season.talk_light": "You can sing.",
    "season.talk_moderate": "You can talk, but not sing.",
    "season.talk_vigorous": "You can say a few words, then need a breath.",
    "season.talk_near_maximal": "You cannot talk.",
    "season.effort_of_reserve": "Heart rates by your reserve, from your resting {rest} and maximum {maximum} bpm.",
    "season.effort_of_maximum": (
        "Heart rates by your maximum of {maximum} bpm, because no resting heart rate is known."
    ),
    "season.effort_predicted": (
        "Heart rates rest on a maximum of {maximum} bpm predicted from age, which misses by ten or more in one "
        "of three people: where they and your breath disagree, go by your breath."
    ),
    "season.effort_medicine": (
        "With a medicine that alters the pulse, heart rate is no guide: go by effort and by how you can talk."
    ),
    "season.effort_no_numbers": (
        "No maximum heart rate and no age are known: go by effort and by how you can talk."
    ),
}

_ALTITUDE = {
    "season.altitude_same_work": (
        "Your maximum oxygen uptake is about {percent} % lower up there, so the same climb takes more of what you "
        "have: go by pulse and breath, not by pace."
    ),
    "season.altitude_pulse": (
        "Your maximum heart rate may be up to {bpm} bpm lower, so hard begins at a slightly lower pulse."
    ),
    "season.altitude_recovery": (
        "After moderate efforts the pulse comes down more slowly (in one study 52 instead of 60 bpm in a minute at "
        "about 2400 m); do not compare these recoveries with those of the autumn."
    ),
    "season.altitude_nothing": "Nothing to expect from the altitude: it is not above what you train at.",
    "season.altitude_beyond": "The study of oxygen uptake ends at {limit} m; above it the line is only prolonged.",
    "season.altitude_no_numbers": "Your pulse numbers are unknown or no guide, so none are given.",
    "season.altitude_sickness": (
        "From 2500 m on, mountain sickness can hit anyone, fit or not: with headache and nausea do not go higher; "
        "with confusion, unsteadiness or breathlessness at rest, go down at once and get help. Read the advice of "
        "the CDC Yellow Book or the Wilderness Medical Society before you sleep above 2750 m."
    ),
    "season.altitude_band": "A band from small studies of healthy people; single riders differ by more.",
}

_TODAY = {
    "season.how_lead_in": "Steady, and a little harder in the last five minutes, so that you go in with the pulse up.",
    "season.how_circuit": "Straight from the steady work; the next round starts when the pulse is below {bpm} bpm.",
    "season.how_circuit_by_feel": (
        "Straight from the steady work; the next round starts when you can say a whole sentence."
    ),
    "season.how_cool_down": "Walk, breathe, stretch what worked.",
    "season.how_warm_up": "Easy to moderate, rising.",
    "season.how_bursts": (
        "{bursts} times 45 s hard, then 60 s standing still and watching the pulse fall; end the set when a burst "
        "gets clearly weaker."
    ),
    "season.how_steady": "Even effort from start to end.",
    "season.how_way_back": "Walk or roll easily; stop if you feel worse.",
    "season.how_strength": "Two or three sets of each exercise, with two or three reps in reserve.",
    "season.how_strength_short": "One set of each exercise, with two or three reps in reserve.",
    "season.how_mobility": "10 to 30 s a hold, 60 s for each exercise in all.",
    "season.why_circuit": "Circuit {number} of {wanted} this week, with no hard day beside it.",
    "season.why_bursts": "Burst practice {number} of {wanted} this week, with no hard day beside it.",
    "season.why_strength": (
        "Strength session {number} of {wanted} this week; these muscles have had their 48 hours."
    ),
    "season.why_long": "The week's long piece, for the hours you will stand on the machine.",
    "season.why_easy": "{left} of the week's {target} min are still open; steady minutes carry the rest.",
    "season.why_mobility": "Mobility on two or three days a week keeps you loose on the machine.",
    "season.why_rest": "A day of rest; it is part of the plan.",
    "season.why_done": "Today's session is done.",
    "season.why_opening": "It is opening day.",
    "season.short_rest": "Nothing is owed today; ten minutes of mobility do no harm.",
    "season.short_long": "Even effort; the long piece then moves to another day of this week, if one has room.",
    "season.caution_stop": (
        "Stop and get help with chest pain or pressure, faintness, unusual breathlessness, palpitations or "
        "confusion."
    ),
    "season.caution_alone": "Do not lift heavy things alone and out of breath; breathe out as you lift.",
}

SEASON_SENTENCES: dict[str, str] = {
    **_WEEK,
    **_STATEMENTS,
    **_RULES,
    **_DAYS,
    **_LOAD,
    **_CHANGES,
    **_EFFORT,
    **_ALTITUDE,
    **_TODAY,
}
