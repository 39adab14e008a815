"""Sentences about the curve fitted to a recovery."""

KINETICS_SENTENCES: dict[str, str] = {
    "kinetics.two_phase": (
        "The pulse fell in a fast and then a slow phase, so one time constant does not describe it."
    ),
    "kinetics.runs": (
        "The pulse stayed above or below the fitted curve for longer than sensor noise does"
        " ({crossings:.0f} crossings, about {expected:.0f} expected), so the curve describes it poorly."
    ),
}
