"""Sentences about intensity and load."""

INTENSITY_SENTENCES: dict[str, str] = {
    "intensity.medicine": (
        "A medicine that holds the pulse down or drives it up makes classes by heart rate meaningless; "
        "go by how hard it feels."
    ),
    "intensity.no_maximum": (
        "Neither a measured maximum heart rate nor an age is known, so there are no intensity classes."
    ),
    "load.no_reserve": (
        "The training impulse needs a resting heart rate and a maximum; at least one of them is unknown."
    ),
    "load.no_sex": (
        "The training impulse was published with two sets of constants, one for men and one for women; "
        "without knowing which to take, none is computed."
    ),
    "load.no_heart_rate": (
        "No second of this session has a heart rate to trust, so it has no training impulse."
    ),
}
