"""Sentences about plans handed from one rider to another."""

SHARE_SENTENCES: dict[str, str] = {
    # How a plan was scaled
    "share.scaled_down": (
        "Scaled to what you are used to: {own} of the {given} weekly minutes planned, "
        "or {percent} %, from the week of {start} to opening day."
    ),
    "share.scaled_up": (
        "Your own weeks carry more than the plan asks: they come to {own} minutes up to opening day, the plan's "
        "to {given}. Take yours as the most, not as a must."
    ),
    "share.not_scaled": "Your own weeks come to what the plan asks, {own} minutes up to opening day.",
    "share.starts_from": "You are used to {base} minutes a week; the first week asks for {asked}.",
    "share.starts_from_nothing": (
        "Nothing recorded or told yet, so the first week asks for {asked} minutes: {level} riders begin with few."
    ),
    "share.givers_minutes": (
        "The minutes are those of whoever gave this plan. If you train less than that, do not begin with them: take "
        "the easiest week, or have the plan worked out for you."
    ),
    "share.days": "Placed on your own days: {days}.",
    "share.ask_first": (
        "See a doctor before you start. Until then there is no plan with an intensity for you; an easy walk, if you "
        "are used to it, is fine."
    ),
    # Exercises replaced
    "share.replaced": "{old}: {why}; {new} takes its place.",
    "share.left_out": "{old}: {why}; it is left out.",
    "share.added": "{new} comes in, so that legs, push, pull, trunk and grip are all trained.",
    "share.no_circuit": "No circuit of the plan fits: {why}",
    "share.fewer_reps": "The circuit starts from {own} reps instead of {given}: that fits the time and your log.",
    # What a newer version changed
    "share.changed_window": "The opening window is now {earliest} to {likely}.",
    "share.changed_minutes": "The weeks ahead ask for {now} minutes instead of {then}.",
    "share.changed_weeks": "Weeks planned differently: {weeks}.",
    "share.changed_circuits": "New circuits: {circuits}.",
    "share.changed_nothing": "Only its date is newer.",
    "share.changed_plan": "It takes the place of another plan, from {then}.",
}
