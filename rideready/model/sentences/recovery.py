"""Sentences about a recovery: what limits its figures."""

RECOVERY_SENTENCES: dict[str, str] = {
    "recovery.cut_by_effort": "Watched for {window_s:.0f} s only: you set off again.",
    "recovery.cut_by_gap": "Watched for {window_s:.0f} s only: then the recording has a gap.",
    "recovery.cut_by_end": "Watched for {window_s:.0f} s only: the recording ends. Let it run two minutes longer.",
    "recovery.cut_by_limit": "Watched for {window_s:.0f} s.",
    "recovery.dirty": "{percent:.0f} % of the first minute could not be trusted.",
    "recovery.sparse": "The recorder wrote a value only every {spacing_s:.0f} s. Set it to every second if you can.",
    "recovery.started_low": "It began at {percent:.0f} % of your reserve; recoveries from harder efforts repeat better.",
    "recovery.started_low_of_maximum": (
        "It began at {percent:.0f} % of your maximum; recoveries from harder efforts repeat better."
    ),
    "recovery.started_low_of_assumed": (
        "It began at {peak_bpm:.0f} bpm, which looks easy; enter your maximum heart rate to judge it rightly."
    ),
    "recovery.no_hrr60": "It cannot be read one minute after the effort, so there is no one-minute drop.",
    "recovery.no_hrr30": "It cannot be read half a minute after the effort: too few values there.",
    "recovery.no_t30": "T30 needs a value in every 5 s of the first half minute, and a fall in them.",
    "recovery.no_tau": "Too short or too sparse for a time constant.",
    "recovery.settled_at_once": "The effort ended at or below your settle level.",
    "recovery.noisy": "The one-minute drop is uncertain by {se_bpm:.0f} bpm.",
    "recovery.tau_wide": "The time constant is hardly known: anything from {low_s:.0f} to {high_s:.0f} s.",
    "recovery.unsteady": "The pulse wandered by {sd_bpm:.1f} bpm around a smooth fall; check how the sensor sits.",
    "recovery.end_from_pulse": (
        "Only the pulse shows where the effort ended; the drop counts from where it began to fall."
    ),
    "recovery.mode_unknown": "Nothing but the pulse was recorded: neither when you stopped, nor whether you stood still.",
    "recovery.predicted_maximum": "Your maximum is predicted from age, which can be off by 10 bpm and more.",
}
