"""The sample files: what is in them, that they are complete, and that they are made the same every time."""

import csv
import datetime as dt
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import fitparse
import numpy as np
import pytest

from rideready.model.session import Pause, Session
from rideready.simulate.recorder import SimulatedSession
from tests.support.csv_writer import LAYOUTS
from tests.support.fit_writer import FIELDS, fit_bytes
from tests.support.make_samples import SAMPLES, sample_file, simulated_sessions, truth_json

_PER_UNIT = {"speed_m_s": 1000, "distance_m": 100, "altitude_m": 5}


@pytest.fixture(scope="module")
def simulated() -> dict[str, SimulatedSession]:
    return {s.name: s for s in simulated_sessions()}


@pytest.fixture(scope="module")
def truth() -> dict[str, Any]:
    told: dict[str, Any] = json.loads((SAMPLES / "truth.json").read_text(encoding="utf-8"))
    return told


def _messages(content: bytes) -> list[Any]:
    return list(fitparse.FitFile(content).get_messages())


def _values(messages: list[Any], name: str) -> list[dict[str, Any]]:
    return [message.get_values() for message in messages if message.name == name]


def _cut(session: Session, seconds: float) -> Session:
    """Return the first seconds of a session: reading all of one takes fitparse half a second."""
    n = int(np.searchsorted(session.t_s, seconds, side="right"))
    pauses = tuple(pause for pause in session.pauses if pause.end_s < seconds)
    channels = {name: values[:n] for name, values in session.channels.items()}
    return replace(session, t_s=session.t_s[:n], channels=channels, pauses=pauses)


@pytest.mark.parametrize(
    "name",
    ["2026-09-05-step-test", "2026-08-28-strength", "2026-10-03-ride-test", "2026-10-20-bike-and-circuit"],
)
def test_making_a_sample_again_gives_the_same_bytes(
    simulated: dict[str, SimulatedSession], name: str
) -> None:
    file_name, content = sample_file(simulated[name])

    assert content() == (SAMPLES / file_name).read_bytes()


def test_making_the_truth_again_gives_the_same_bytes(simulated: dict[str, SimulatedSession]) -> None:
    assert truth_json(list(simulated.values())) == (SAMPLES / "truth.json").read_bytes()


def test_every_sample_has_its_truth_and_nothing_else_lies_there(truth: dict[str, Any]) -> None:
    files = {path.name for path in SAMPLES.iterdir()}

    assert files == {*truth["sessions"], "truth.json", "README.md", "demo.sh"}
    assert 42 <= len(truth["sessions"]) <= 48


def test_the_samples_stay_under_six_megabytes() -> None:
    assert sum(path.stat().st_size for path in SAMPLES.iterdir()) < 6_000_000


def test_most_are_fit_and_both_layouts_of_csv_occur(truth: dict[str, Any]) -> None:
    names = list(truth["sessions"])
    headings = {
        name: (SAMPLES / name).read_text(encoding="utf-8-sig").splitlines()[2]
        for name in names
        if name.endswith(".csv")
    }
    english = [name for name, line in headings.items() if line.startswith("time,elapsed_s,heart_rate_bpm")]
    german = [name for name, line in headings.items() if line.startswith("Datum;Uhrzeit;Herzfrequenz (bpm)")]

    assert sum(name.endswith(".fit") for name in names) > 0.7 * len(names)
    assert len(english) >= 2
    assert len(german) >= 2
    assert len(english) + len(german) == len(headings)
    # A day up to 12 could be taken for a month.
    assert all(int(name[8:10]) > 12 for name in german)


def test_samples_and_readme_say_that_they_are_simulated(truth: dict[str, Any]) -> None:
    readme = (SAMPLES / "README.md").read_text(encoding="utf-8")

    assert "simulated" in readme
    assert "simulated" in truth["note"].lower()
    assert all(session["device"].startswith("simulated ") for session in truth["sessions"].values())


@pytest.mark.parametrize(
    "name", ["2026-08-27-bike-and-circuit", "2026-09-13-hill-run", "2026-09-22-interval-bike"]
)
def test_fitparse_reads_back_every_value(simulated: dict[str, SimulatedSession], name: str) -> None:
    session = _cut(simulated[name].session, 900)
    assert session.start_utc is not None
    start = session.start_utc.replace(tzinfo=None)

    records = _values(_messages(fit_bytes(session)), "record")

    # fitparse gives naive UTC.
    assert [(r["timestamp"] - start).total_seconds() for r in records] == session.t_s.tolist()
    for channel, field in FIELDS.items():
        if channel in session.channels:
            found = np.array([np.nan if r[field] is None else r[field] for r in records], dtype=float)
            # Half the resolution of the file format: the nearest value it can hold.
            assert found == pytest.approx(
                session.channels[channel], abs=0.5 / _PER_UNIT.get(channel, 1) + 1e-9, nan_ok=True
            )
            assert np.nanmax(np.abs(found - session.channels[channel])) < 1e-9
        else:
            assert all(record.get(field) is None for record in records)


def test_a_fit_file_names_a_simulated_device_and_the_local_clock(
    simulated: dict[str, SimulatedSession],
) -> None:
    session = _cut(simulated["2026-10-26-bike-and-circuit"].session, 120)

    messages = _messages(fit_bytes(session))

    (file_id,), (activity,) = _values(messages, "file_id"), _values(messages, "activity")
    assert (file_id["type"], file_id["manufacturer"]) == ("activity", "development")
    assert file_id["product_name"] == session.device
    # 26 October 2026 is the day after summer time ends: one hour ahead of UTC.
    assert activity["local_timestamp"] - activity["timestamp"] == dt.timedelta(hours=1)
    (whole,) = _values(messages, "session")
    assert (whole["sport"], whole["sub_sport"]) == ("cycling", "indoor_cycling")
    assert whole["total_elapsed_time"] == session.duration_s


def test_pauses_are_timer_events_around_the_missing_records(
    simulated: dict[str, SimulatedSession],
) -> None:
    session = _cut(simulated["2026-08-27-bike-and-circuit"].session, 200)
    kept = (session.t_s <= 60) | (session.t_s >= 95)
    session = replace(
        session,
        t_s=session.t_s[kept],
        channels={name: values[kept] for name, values in session.channels.items()},
        pauses=(Pause(60.0, 95.0),),
    )
    assert session.start_utc is not None
    start = session.start_utc.replace(tzinfo=None)

    messages = _messages(fit_bytes(session))

    events = [((e["timestamp"] - start).total_seconds(), e["event_type"]) for e in _values(messages, "event")]
    assert events == [(0, "start"), (60, "stop_all"), (95, "start"), (200, "stop_all")]
    order = [m.name for m in messages if m.name in {"record", "event"}]
    assert [i for i, name in enumerate(order) if name == "event"] == [0, 62, 63, len(order) - 1]
    assert _values(messages, "session")[0]["total_timer_time"] == 165


def test_a_sample_with_a_pause_exists(simulated: dict[str, SimulatedSession]) -> None:
    paused = [sample_file(s)[0] for s in simulated.values() if s.session.pauses]

    assert any(name.endswith(".fit") for name in paused)


def test_laps_follow_each_other_without_a_gap(simulated: dict[str, SimulatedSession]) -> None:
    interval = simulated["2026-09-08-interval-bike"]
    session = _cut(interval.session, 900)
    laps_s = tuple(lap for lap in interval.laps_s if lap < 900)

    laps = _values(_messages(fit_bytes(session, laps_s=laps_s)), "lap")

    assert len(laps) == len(laps_s) >= 3
    assert [lap["timestamp"] for lap in laps[:-1]] == [lap["start_time"] for lap in laps[1:]]
    assert sum(lap["total_elapsed_time"] for lap in laps) == session.duration_s


@pytest.mark.parametrize("name", ["2026-09-10-bike-and-circuit", "2026-09-27-hill-run"])
def test_english_csv_holds_every_value(simulated: dict[str, SimulatedSession], name: str) -> None:
    session = _cut(simulated[name].session, 600)

    sport, device, *lines = LAYOUTS["english"](session).decode("utf-8").splitlines()
    rows = list(csv.DictReader(lines))

    assert sport == ("sport,running" if "run" in name else "sport,cycling")
    assert device == "device,simulated chest strap"
    times = [dt.datetime.fromisoformat(row["time"]) for row in rows]
    assert times[0] == session.start_utc
    assert [float(row["elapsed_s"]) for row in rows] == session.t_s.tolist()
    assert [(when - times[0]).total_seconds() for when in times] == session.t_s.tolist()
    assert _column(rows, "heart_rate_bpm") == pytest.approx(session.hr_bpm, nan_ok=True)
    for channel in {"power_w", "speed_m_s", "distance_m", "altitude_m"} & set(session.channels):
        assert _column(rows, channel) == pytest.approx(session.channels[channel], abs=1e-9, nan_ok=True)


@pytest.mark.parametrize("name", ["2026-09-14-bike-and-circuit", "2026-09-27-hill-run"])
def test_german_csv_holds_every_value_in_its_own_units(
    simulated: dict[str, SimulatedSession], name: str
) -> None:
    session = _cut(simulated[name].session, 600)

    content = LAYOUTS["german"](session)
    sport, device, *lines = content.decode("utf-8-sig").replace(",", ".").splitlines()
    rows = list(csv.DictReader(lines, delimiter=";"))

    assert sport == ("Sportart;Laufen" if "run" in name else "Sportart;Radfahren")
    assert device == "Gerät;simulated chest strap"
    assert content.startswith(b"\xef\xbb\xbf")
    first = dt.datetime.strptime(f"{rows[0]['Datum']} {rows[0]['Uhrzeit']} +0200", "%d.%m.%Y %H:%M:%S %z")
    assert first == session.start_utc
    assert _column(rows, "Herzfrequenz (bpm)") == pytest.approx(session.hr_bpm, nan_ok=True)
    if "speed_m_s" in session.channels:
        speed = _column(rows, "Geschwindigkeit (km/h)") / 3.6
        assert speed == pytest.approx(session.channels["speed_m_s"], abs=1e-9)
        assert _column(rows, "Strecke (km)") * 1000 == pytest.approx(session.channels["distance_m"], abs=1e-9)


def _column(rows: list[dict[str, str]], header: str) -> np.ndarray:
    return np.array([float(row[header]) if row[header] else np.nan for row in rows])


@pytest.mark.parametrize("write", [fit_bytes, *LAYOUTS.values()])
def test_a_session_without_a_clock_cannot_be_written(write: Any) -> None:
    session = Session.from_arrays([0.0, 1.0], [100.0, 101.0])

    with pytest.raises(ValueError, match="start"):
        write(session)


def test_the_samples_folder_lies_in_the_checkout() -> None:
    assert Path(__file__).resolve().parents[2] / "sample_sessions" == SAMPLES
