"""Sentences about field tests: what limits a figure, and what an earlier test says about it."""

FIELDTEST_SENTENCES: dict[str, str] = {
    # Bands.
    "fieldtest.two_tables": (
        "Two published tables conflict. The band goes by {chosen}, the test's own author; "
        "by {other} it is {other_label}."
    ),
    "fieldtest.could_be": "Within its uncertainty the band could also be {others}.",
    "fieldtest.between_bands": (
        "{count:.0f} beats lie in a gap of the table: {better} ends at {better_high:.0f}, {label} begins at "
        "{low:.0f}. Read as {label}, so that a gap never flatters."
    ),
    "fieldtest.below_table": "{count:.0f} beats lie below the table, which begins at {first:.0f}; read as {label}.",
    "fieldtest.above_table": "{count:.0f} beats lie above the table, which ends at {last:.0f}; read as {label}.",
    "fieldtest.misprint": (
        "For men of 36 to 45 the table in print shows 92-88 as above average, which cannot be; "
        "98 is taken for its upper end, from memory."
    ),
    "fieldtest.no_norm_age": "The table begins at 18 years, so there is no band.",
    "fieldtest.no_norm_without": "The table differs by age and sex; without your {missing} there is no band.",
    "fieldtest.one_kind_of_people": (
        "The bands come from young men in college; read them as a rough place, and your own history as the guide."
    ),
    "fieldtest.medicine": (
        "A medicine that alters the pulse makes published bands and oxygen uptake from pulse meaningless; "
        "only your own tests on the same dose compare."
    ),
    # Figures.
    "fieldtest.uptake_error": (
        "Oxygen uptake from this test is an estimate: for about one person in twenty it is off by more than "
        "{percent:.0f} %."
    ),
    "fieldtest.uptake_without_sex": (
        "The test was published with two equations, one for men and one for women; without knowing which to "
        "take there is no oxygen uptake."
    ),
    "fieldtest.counts_rise": (
        "Your later count is higher than the one before; a pulse at rest falls. Check the counts."
    ),
    "fieldtest.stopped_early": ("You stepped {seconds:.0f} of {full:.0f} s; the index allows for it."),
    # Reading a recording.
    "fieldtest.no_stepping": (
        "No stretch of stepping of {length} with rest after it was found. "
        "If it is there, say where it stopped."
    ),
    "fieldtest.several": (
        "More than one stretch fits the test; they stop at {stops}. Say which of them it is."
    ),
    "fieldtest.no_heart_rate": "No second of this recording has a heart rate to trust.",
    "fieldtest.stop_given": "The stop is where you said.",
    "fieldtest.stop_unclear": (
        "The stop shows only to about {se_s:.0f} s, which makes the count uncertain by {se_beats:.0f} beats."
    ),
    "fieldtest.wrong_length": (
        "Stepping seems to have lasted {found:.0f} s where the test asks for {asked:.0f} s; "
        "compare it with care."
    ),
    "fieldtest.start_unseen": (
        "The start of stepping does not show in the pulse; the stop alone places the count. "
        "Stand still for a minute before you start."
    ),
    "fieldtest.length_unknown": (
        "How long you stepped does not show, so there is no index. Say for how many seconds."
    ),
    "fieldtest.hole": (
        "{missing:.0f} of the {length:.0f} s from {start:.0f} s after the stop could not be trusted, "
        "so there is no count."
    ),
    "fieldtest.small_hole": "{missing:.0f} s of the count could not be trusted and were bridged.",
    "fieldtest.ends_early": (
        "The recording ends {short:.0f} s before the count is over. Let it run until you have finished counting."
    ),
    "fieldtest.moved_on": (
        "You moved on after the stop; the test asks for stillness, and a pulse falls more slowly in movement."
    ),
    # Bursts.
    "fieldtest.too_few_bursts": (
        "{found:.0f} bursts a minute and three quarters apart were found; the test takes at least {least:.0f}."
    ),
    "fieldtest.no_burst_slope": "A change from burst to burst takes at least {least:.0f} bursts with a figure.",
    "fieldtest.burst_unread": (
        "{unread:.0f} of {found:.0f} bursts have no drop, for want of values to trust 45 s later."
    ),
    "fieldtest.burst_missing": "{missing:.0f} of the bursts left no trace in the pulse.",
    "fieldtest.bursts_uneven": (
        "The bursts ended {shortest:.0f} to {longest:.0f} s apart where the test asks for {asked:.0f} s; "
        "compare it with care."
    ),
    "fieldtest.own_history_only": (
        "There are no published norms for this test. It compares with your own on the same recorder only: one "
        "that lags, as wrist sensors do, reads the drop some beats short, and the interval does not show that."
    ),
    # The ride.
    "fieldtest.no_maximum": "The stages are shares of your maximum heart rate, which is not known.",
    "fieldtest.predicted_maximum": (
        "The stages rest on a maximum predicted from age, which can be off by 10 bpm and more; "
        "keep to the same one when you compare."
    ),
    "fieldtest.no_ride": (
        "No stop after {minutes:.0f} minutes near the three stages was found. If it is there, say where you "
        "stopped."
    ),
    "fieldtest.stage_off": (
        "The stage at {percent:.0f} % was held at {held:.0f} bpm where {target:.0f} was asked for (within 2)."
    ),
    "fieldtest.stage_unread": "The stage at {percent:.0f} % was not recorded well enough to check.",
    "fieldtest.stage_uneven": (
        "In the stage at {percent:.0f} % your pulse was within 2 bpm of the target for {share:.0f} % of the time."
    ),
    "fieldtest.rest_short": (
        "The rest after the last stage can be watched for {window:.0f} s where the test asks for {asked:.0f} s."
    ),
    "fieldtest.stillness_unknown": "Nothing recorded tells whether you sat still in the rest.",
    "fieldtest.stop_from_pulse": (
        "Nothing but the pulse tells where you stopped; it stays up for some seconds after hard work, so the "
        "drop reads a few beats larger than with power or cadence recorded; the interval allows for it."
    ),
    "fieldtest.no_drop": "The drop in one minute could not be read.",
    # Against earlier tests.
    "fieldtest.first_one": "This is the first test of its kind; the next one has something to compare with.",
    "fieldtest.changed": (
        "{measure}: {now} now, {before} as the middle of your {n:.0f} earlier tests; the difference stands out of "
        "your own variation ({detectable} would have)."
    ),
    "fieldtest.not_changed": (
        "{measure}: {now} now, {before} as the middle of your {n:.0f} earlier tests; a difference of "
        "{detectable} would stand out of your own variation, this one does not."
    ),
    "fieldtest.error_unknown": (
        "How much your figure varies from test to test is not known before {least:.0f} earlier tests; "
        "until then a difference is only a hint."
    ),
    "fieldtest.within_measuring_error": (
        "The difference from last time is no larger than the error of reading the two recordings."
    ),
    "fieldtest.off_protocol_now": "This test differed from its protocol, so it compares with care.",
    "fieldtest.off_protocol_before": "{n:.0f} of the earlier tests differed from the protocol and are left out.",
    "fieldtest.counting_differs": (
        "Some of these tests were counted by hand and some read from a recording; "
        "a few beats of difference can come from that."
    ),
    "fieldtest.device_differs": "The recorders differ between these tests; a change of level can come from that.",
    "fieldtest.overreaching": (
        "A pulse that falls faster goes with fitness and with overreaching "
        "(Bellenger et al. 2016, Sports Med 46:1461-86); look at load and resting pulse too."
    ),
    "fieldtest.slower_caution": (
        "A worse test goes with illness, heat, too little rest or food as well as with lost training. "
        "With fever or an infection do not train hard; if you feel unwell, see a doctor."
    ),
}
