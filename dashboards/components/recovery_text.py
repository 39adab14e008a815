"""How the figures of one recovery are put into words: value, unit, uncertainty, or why there is none."""

from dashboards import formats
from dashboards.components.measures import Measure
from dashboards.words import say
from rideready.model.recovery import Recovery


def headline(recovery: Recovery, *, settle_bpm: float | None) -> list[Measure]:
    """Return the three figures that are set large: drop in 60 s, time constant, settle time."""
    return [
        _drop(say("opened.drop"), recovery.hrr60_bpm, recovery.hrr60_se_bpm),
        _tau(recovery),
        _settle(recovery, settle_bpm),
    ]


def lesser(recovery: Recovery, *, device: str | None) -> list[Measure]:
    """Return the other figures and circumstances."""
    share = recovery.peak_reserve
    cut = say("opened.watched.cut", seconds=formats.whole(recovery.window_s), cut=recovery.cut_by)
    return [
        Measure(
            say("opened.peak"),
            formats.whole(recovery.peak_bpm),
            "bpm",
            note=say("opened.reserve", percent=formats.percent(share)) if share is not None else "",
        ),
        _drop(say("opened.hrr30"), recovery.hrr30_bpm, recovery.hrr30_se_bpm),
        _drop(say("opened.hrr120"), recovery.hrr120_bpm, recovery.hrr120_se_bpm),
        _plain(say("opened.t30"), recovery.t30_s, "s"),
        Measure(say("opened.mode"), say(f"legend.{recovery.mode}")),
        Measure(say("opened.watched"), cut),
        Measure(say("opened.evidence"), str(recovery.evidence)),
        Measure(say("opened.recorder"), formats.recorder(device) or say("opened.recorder.none")),
    ]


def drop_cell(recovery: Recovery) -> str:
    """Write the drop in 60 s for a table."""
    if not formats.is_known(recovery.hrr60_bpm):
        return formats.NOT_KNOWN
    half = formats.half_width(recovery.hrr60_se_bpm)
    spread = "" if half is None else f" ± {formats.whole(half)}"
    return f"{formats.whole(recovery.hrr60_bpm)}{spread} bpm"


def tau_cell(recovery: Recovery) -> str:
    """Write the time constant for a table."""
    if not formats.is_known(recovery.tau_s):
        return formats.NOT_KNOWN
    low, high = formats.whole(recovery.tau_low_s), formats.whole(recovery.tau_high_s)
    return f"{formats.whole(recovery.tau_s)} s ({low} to {high})"


def settle_cell(recovery: Recovery) -> str:
    """Write the settle time for a table; ">" where the level was not reached."""
    if not formats.is_known(recovery.settle_s):
        return formats.NOT_KNOWN
    sign = "> " if recovery.settle_is_censored else "about " if recovery.settle_is_extrapolated else ""
    return f"{sign}{formats.whole(recovery.settle_s)} s"


def _drop(name: str, drop_bpm: float | None, se_bpm: float | None) -> Measure:
    half = formats.half_width(se_bpm)
    if half is None:
        return _plain(name, drop_bpm, "bpm", note=say("no_uncertainty"))
    return _plain(name, drop_bpm, "bpm", spread=f"± {formats.whole(half)}", note=say("interval"))


def _tau(recovery: Recovery) -> Measure:
    spread = say("span", low=formats.whole(recovery.tau_low_s), high=formats.whole(recovery.tau_high_s))
    return _plain(say("opened.tau"), recovery.tau_s, "s", spread=spread, note=say("interval"))


def _settle(recovery: Recovery, settle_bpm: float | None) -> Measure:
    level = "" if settle_bpm is None else say("opened.settle.level", level=formats.whole(settle_bpm))
    how = ""
    if recovery.settle_is_censored:
        how = say("opened.settle.censored")
    elif recovery.settle_is_extrapolated:
        how = say("opened.settle.extrapolated")
    note = ", ".join(part for part in (level, how) if part)
    sign = "> " if recovery.settle_is_censored else ""
    if settle_bpm is None and not formats.is_known(recovery.settle_s):
        return Measure(say("opened.settle"), formats.NOT_KNOWN, note=say("opened.settle.needs"))
    return _plain(say("opened.settle"), recovery.settle_s, "s", sign=sign, note=note)


def _plain(
    name: str, value: float | None, unit: str, *, sign: str = "", spread: str = "", note: str = ""
) -> Measure:
    if not formats.is_known(value):
        return Measure(name, formats.NOT_KNOWN, note=say("opened.unmeasured"))
    return Measure(name, f"{sign}{formats.whole(value)}", unit, spread, note)
