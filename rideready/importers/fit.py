"""A FIT file to sessions."""

import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from rideready.errors import UnreadableFile
from rideready.importers.clock_changes import undo_set_back
from rideready.importers.decode import Decoded, decode, main_stretch
from rideready.importers.fit_fields import FIRST_DATE, FIT_EPOCH_S, kind_of, purpose_of
from rideready.importers.gather import Leg
from rideready.importers.samples import NO_HEART_RATE, Samples, in_order
from rideready.model.session import FloatArray, Kind, Pause, Session

#: Files of a chain closer than this belong to one session: the recorder was stopped, not the training, s.
LONGEST_BREAK_S: Final = 30 * 60.0

#: So many faults of a file are named, the others counted.
_TOLD_FAULTS: Final = 4

#: Records that share a second are common where a lap ends; only more than this share of them is told.
_COMMON_REPEATS: Final = 0.05


@dataclass(frozen=True, slots=True, eq=False)
class _Workout:
    """One file of a chain that holds samples, its times in s on its own clock."""

    decoded: Decoded
    samples: Samples
    n_strays: int
    clock_warnings: tuple[str, ...] = ()

    @property
    def start_s(self) -> float:
        return float(self.samples.t_s[0])

    @property
    def end_s(self) -> float:
        return float(self.samples.t_s[-1])


def read_fit(path: str, data: bytes) -> list[Session]:
    """Read a FIT file.

    Parameters
    ----------
    path
        The file, as the user named it; for the sentence of an error.
    data
        Its bytes.

    Returns
    -------
    list of Session
        By start, at least one. Cadence is what FIT calls it: turns of one crank or strides of one leg per
        minute, so that a runner's steps are twice as many. Position is not read.

    Raises
    ------
    UnreadableFile
        If the file holds no samples.
    """
    files = decode(data)
    workouts = [workout for file in files if (workout := _workout(file)) is not None]
    if not workouts:
        raise _no_samples(path, files)
    groups = _group(workouts)
    faults = [fault for file in files for fault in file.faults]
    has_strap_memory = any(file.n_strap_messages for file in files)
    return [_session(group, faults, has_strap_memory=has_strap_memory) for group in groups]


def _no_samples(path: str, files: Sequence[Decoded]) -> UnreadableFile:
    faults = [fault for file in files for fault in file.faults]
    purpose = next((file.file_type for file in files if file.file_type not in {None, "activity"}), None)
    if purpose is not None and (not faults or isinstance(purpose, str)):
        return UnreadableFile(path, f"a FIT file of {purpose_of(purpose)}, not a workout", "Leave it out")
    if faults:
        return UnreadableFile(
            path,
            f"a damaged FIT file without one readable sample: {_told(faults)}",
            "Copy it from the recorder again",
        )
    return UnreadableFile(path, "a FIT file without samples", "Export the session itself, not its summary")


def _told(faults: Sequence[str]) -> str:
    """Name what is wrong with a file; a chain may be damaged in a hundred places."""
    different = list(dict.fromkeys(faults))
    n_more = len(different) - _TOLD_FAULTS
    more = [f"and {n_more} more faults"] if n_more > 1 else different[_TOLD_FAULTS:]
    return "; ".join([*different[:_TOLD_FAULTS], *more])


def _workout(decoded: Decoded) -> _Workout | None:
    sensible = main_stretch(decoded.columns["timestamp"])
    if not sensible.any():
        return None
    columns = {name: values[sensible] for name, values in decoded.columns.items()}
    channels = _channels(columns)
    placed = undo_set_back(columns["timestamp"], channels)
    samples = in_order(placed.t_s, channels)
    n_strays = decoded.n_records - int(np.count_nonzero(sensible))
    return _Workout(decoded, samples, n_strays, placed.warnings)


def _channels(columns: dict[str, FloatArray]) -> dict[str, FloatArray]:
    """Choose between the fields that hold the same thing, the finer or native one first."""
    fraction = np.nan_to_num(columns["fractional_cadence"])
    return {
        "hr_bpm": _first_of(columns["heart_rate"], columns["developer_heart_rate"]),
        "power_w": _first_of(columns["power"], columns["developer_power"]),
        "cadence_rpm": _first_of(
            columns["cadence256"], columns["cadence"] + fraction, columns["developer_cadence"]
        ),
        "speed_m_s": _first_of(columns["enhanced_speed"], columns["speed"]),
        "distance_m": columns["distance"],
        "altitude_m": _first_of(columns["enhanced_altitude"], columns["altitude"]),
        "temperature_c": columns["temperature"],
    }


def _first_of(*candidates: FloatArray) -> FloatArray:
    chosen = candidates[0]
    for other in candidates[1:]:
        chosen = np.where(np.isfinite(chosen), chosen, other)
    return chosen


def _group(workouts: Iterable[_Workout]) -> list[list[_Workout]]:
    """Put files together that the same recorder wrote within half an hour of each other."""
    groups: list[list[_Workout]] = []
    for workout in sorted(workouts, key=lambda w: w.start_s):
        last = groups[-1][-1] if groups else None
        if (
            last is not None
            and last.decoded.device == workout.decoded.device
            and workout.start_s - max(w.end_s for w in groups[-1]) < LONGEST_BREAK_S
        ):
            groups[-1].append(workout)
        else:
            groups.append([workout])
    return groups


def _session(group: Sequence[_Workout], faults: Sequence[str], *, has_strap_memory: bool) -> Session:
    samples = _joined(group)
    zero_s = float(samples.t_s[0])
    start_utc, zone, warnings = _clock(group, zero_s)
    legs = [leg for workout in group for leg in workout.decoded.legs]
    kind, kind_warnings = _kind(legs)
    t_s = samples.t_s - zero_s
    if faults:
        warnings.insert(0, f"The file is damaged ({_told(faults)}): {t_s[-1] / 60:.1f} min were read.")
    n_strays = sum(workout.n_strays for workout in group)
    if n_strays:
        what = "1 record carries" if n_strays == 1 else f"{n_strays} records carry"
        warnings.append(f"{what} no time, or one of another day, and could not be placed.")
    warnings += [said for workout in group for said in workout.clock_warnings]
    warnings += samples.backward_warning()
    if samples.n_merged > _COMMON_REPEATS * samples.t_s.size:
        warnings += samples.merged_warning()
    warnings += kind_warnings
    if "hr_bpm" not in samples.channels:
        warnings.append(NO_HEART_RATE)
    if has_strap_memory:
        warnings.append("Heart rate that the strap kept for itself while out of reach is not read.")
    return Session(
        t_s=t_s,
        channels=samples.channels,
        start_utc=start_utc,
        zone=zone,
        kind=kind,
        device=next((w.decoded.device for w in group if w.decoded.device), None),
        pauses=_pauses(group, zero_s, float(samples.t_s[-1])),
        warnings=tuple(warnings),
    )


def _joined(group: Sequence[_Workout]) -> Samples:
    """Join the samples of a chain; distance goes on counting."""
    if len(group) == 1:
        return group[0].samples
    names = list(dict.fromkeys(name for workout in group for name in workout.samples.channels))
    columns: dict[str, list[FloatArray]] = {name: [] for name in names}
    travelled_m = 0.0
    for workout in group:
        for name in names:
            absent = np.full(workout.samples.t_s.shape, np.nan)
            values = workout.samples.channels.get(name, absent)
            columns[name].append(values + travelled_m if name == "distance_m" else values)
        if "distance_m" in workout.samples.channels:
            travelled_m += float(np.nanmax(workout.samples.channels["distance_m"]))
    times = np.concatenate([workout.samples.t_s for workout in group])
    joined = in_order(times, {name: np.concatenate(parts) for name, parts in columns.items()})
    return Samples(
        joined.t_s,
        joined.channels,
        joined.n_backward + sum(workout.samples.n_backward for workout in group),
        joined.n_merged + sum(workout.samples.n_merged for workout in group),
    )


def _clock(group: Sequence[_Workout], zero_s: float) -> tuple[dt.datetime | None, str | None, list[str]]:
    """Return start, zone and warnings; a recorder without a date may still know the local time."""
    if zero_s >= FIRST_DATE:
        zone = next((w.decoded.zone for w in group if w.decoded.zone), None)
        return _moment(zero_s), zone, []
    for workout in group:
        pair = workout.decoded.local_clock
        if pair is not None and pair[1] >= FIRST_DATE:
            sentence = (
                "The recorder counted seconds instead of keeping a date; "
                "the start is its local time, taken as UTC."
            )
            return _moment(zero_s + pair[1] - pair[0]), None, [sentence]
    return None, None, ["The recorder counted seconds instead of keeping a date; the day is unknown."]


def _moment(fit_s: float) -> dt.datetime:
    epoch = dt.datetime(1970, 1, 1, tzinfo=dt.UTC)
    return epoch + dt.timedelta(seconds=FIT_EPOCH_S + fit_s)


def _kind(legs: Sequence[Leg]) -> tuple[Kind, list[str]]:
    """Return the kind of the longest sport, and a warning if there were others."""
    minutes: dict[Kind, float] = {}
    for leg in legs:
        if leg.sport != "transition":
            kind = kind_of(leg.sport, leg.sub_sport)
            minutes[kind] = minutes.get(kind, 0.0) + leg.duration_s / 60
    if not minutes:
        return Kind.OTHER, []
    longest = max(minutes, key=lambda kind: minutes[kind])
    if len(minutes) == 1:
        return longest, []
    parts = ", ".join(f"{kind.value} {length:.0f} min" for kind, length in minutes.items())
    return longest, [f"Several sports in one session ({parts}); it counts as {longest.value}."]


def _pauses(group: Sequence[_Workout], zero_s: float, end_s: float) -> tuple[Pause, ...]:
    """Return the stretches between timer stop and start, and between the files of a chain.

    Where a clock was set back, a timer event of that time may be of before or after, and none is believed.
    """
    spans: list[tuple[float, float]] = []
    for workout in group:
        if workout.clock_warnings:
            continue
        stopped_s: float | None = None
        for at_s, runs in sorted(workout.decoded.timer, key=lambda event: event[0]):
            if runs and stopped_s is not None:
                spans.append((stopped_s, at_s))
                stopped_s = None
            elif not runs and stopped_s is None:
                stopped_s = at_s
    spans += [(before.end_s, after.start_s) for before, after in pairwise(group)]
    pauses: list[Pause] = []
    for start_s, stop_s in sorted(spans):
        begin = max(start_s, zero_s, pauses[-1].end_s + zero_s if pauses else zero_s)
        finish = min(stop_s, end_s)
        if finish > begin:
            pauses.append(Pause(begin - zero_s, finish - zero_s))
    return tuple(pauses)
