"""Sentences about the trend."""

TREND_SENTENCES: dict[str, str] = {
    # The verdict.
    "trend.faster": (
        "Faster: in one minute your pulse falls {change:.0f} bpm further than {weeks:.0f} weeks earlier "
        "(95 % interval {low:.0f} to {high:.0f}), from the same start."
    ),
    "trend.slower": (
        "Slower: in one minute your pulse falls {change:.0f} bpm less far than {weeks:.0f} weeks earlier "
        "(95 % interval {low:.0f} to {high:.0f}), from the same start."
    ),
    "trend.no_clear_change": (
        "No clear change: over {weeks:.0f} weeks anything from {low:+.0f} to {high:+.0f} bpm fits; "
        "{detectable:.0f} bpm would have stood out."
    ),
    "trend.too_few_sessions": (
        "Too few to say: {sessions} with a recovery to go by, over {weeks:.0f} weeks; "
        "a trend takes at least {least_sessions:.0f} sessions over {least_weeks:.0f} weeks."
    ),
    "trend.too_wide": (
        "Too few to say: over {weeks:.0f} weeks anything from {low:+.0f} to {high:+.0f} bpm fits, "
        "which is wider than a season of training is likely to bring."
    ),
    "trend.nothing": "Too few to say: there is no recovery to go by yet.",
    # How many more.
    "trend.more_sessions": (
        "With your variation it takes about {more:.0f} more sessions like these to show a gain of "
        "half a beat a week, in four seasons out of five."
    ),
    "trend.more_out_of_reach": (
        "With your variation a gain of half a beat a week stays out of sight however many sessions follow; "
        "repeat the same effort and stand still after it, and the figures steady."
    ),
    "trend.enough": (
        "These sessions would have shown a gain of half a beat a week in four seasons out of five."
    ),
    # What it rests on.
    "trend.rests_on_reserve": (
        "Rests on {recoveries} in {sessions}, brought to a start at {percent:.0f} % of your reserve "
        "({start:.0f} bpm)."
    ),
    "trend.rests_on_bpm": (
        "Rests on {recoveries} in {sessions}, brought to a start at {start:.0f} bpm; "
        "with your maximum and resting pulse known it would be a share of your reserve."
    ),
    "trend.adjusted": "Also brought to like with like: {names}.",
    "trend.left_out": "{recoveries} left out, for want of a figure to trust.",
    "trend.typical_error": (
        "Your figure varies by {error:.0f} bpm from session to session by itself (typical error), so two "
        "single sessions say nothing unless they differ by {detectable:.0f} bpm."
    ),
    "trend.slow_swings": (
        "Sessions close together resemble each other, as in good and bad weeks; the interval allows for part of it."
    ),
    "trend.maybe_swings": (
        "Sessions close together may resemble each other, as in good and bad weeks; the interval is then too "
        "narrow, and this may be such a swing. See whether it lasts a few weeks more."
    ),
    "trend.ranks_disagree": (
        "A count of which sessions beat which (Kendall) does not bear this out (p = {p:.2f}); "
        "treat it as provisional."
    ),
    # Sudden changes.
    "trend.step": (
        "On {date} the level went {direction} by {size:.0f} bpm at once ({low:+.0f} to {high:+.0f}) and stayed; "
        "it is kept out of the trend. A sudden step points to a cause such as illness, another sensor or "
        "another way of wearing it, not to training."
    ),
    "trend.spell": (
        "From {date} to {until} the level was {direction} by {size:.0f} bpm ({low:+.0f} to {high:+.0f}); "
        "that spell is kept out of the trend. Illness, heat or a stretch of too little rest look like this."
    ),
    "trend.maybe_sudden": (
        "A sudden change around {date} is possible but not clear; if there was one, it is part of this trend."
    ),
    "trend.recorder_changed": (
        "Recorded with {recorders}; another recorder can move the level by itself. A break of a few beats is "
        "allowed for; for a cleaner look take the trend within one of them."
    ),
    "trend.recorder_level": (
        "With {recorder} the figure reads {bpm:+.0f} bpm against the others ({low:+.0f} to {high:+.0f}); "
        "that difference is kept out of the trend."
    ),
    # No false cheer.
    "trend.load_jumped": "Your load of the last two weeks was {percent:.0f} % above the four weeks before.",
    "trend.pulse_rose": (
        "Your resting pulse of the last two weeks was {bpm:.0f} bpm above the four weeks before; "
        "that goes with tiredness, heat or illness, so do not read the trend as fitness alone."
    ),
    "trend.pulse_fell": (
        "Your resting pulse of the last two weeks was {bpm:.0f} bpm below the four weeks before; that goes "
        "with fitness and with overreaching alike."
    ),
    "trend.same_weeks_quiet": "{known} of the same weeks did not jump.",
    "trend.same_weeks_unknown": "There is no {unknown} of the same weeks to read this beside.",
    "trend.overreaching": (
        "Recovery speeds up in overreaching too, not only in getting fitter (Bellenger et al. 2016, Sports Med "
        "46:1461-86); a faster figure alone is no proof of fitness."
    ),
    "trend.slower_caution": (
        "Slower recovery goes with illness, heat, too little rest or too little food as well as with lost "
        "training. With fever or an infection do not train hard; if you feel unwell, see a doctor."
    ),
    "trend.medicine": (
        "A medicine that alters the pulse alters its recovery; compare only weeks on the same dose."
    ),
}
