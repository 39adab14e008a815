"""Sentences about the signal: why seconds were left out."""

SIGNAL_SENTENCES: dict[str, str] = {
    "signal.absent": "{minutes:.1f} min without a heart-rate value from the sensor.",
    "signal.implausible": "{minutes:.1f} min with values no heart shows (under 25 or over 240 bpm).",
    "signal.spike": "{minutes:.1f} min of single jumps away from the seconds around them.",
    "signal.stuck": "{minutes:.1f} min stuck on one value.",
    "signal.dropout": "{minutes:.1f} min around sudden changes no heart can make.",
    "signal.cadence_lock": "{minutes:.1f} min in which the sensor followed your cadence instead of your heart.",
    "signal.gap": "{minutes:.1f} min in which nothing was recorded.",
    "signal.paused": "{minutes:.1f} min with the recorder paused.",
}
