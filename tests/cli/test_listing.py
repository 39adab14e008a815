"""Sessions, recoveries and the trend: text that people can read, and the documents that scripts rely on."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

Run = Callable[..., tuple[int, str, str]]
RunJson = Callable[..., Any]

#: Keys that the command-line contract promises; more may be there.
RECOVERY_KEYS = {
    "session",
    "start",
    "end_of_effort_s",
    "peak_bpm",
    "hrr60_bpm",
    "tau_s",
    "tau_low_s",
    "tau_high_s",
    "grade",
    "mode",
    "reasons",
}
TREND_KEYS = {
    "verdict",
    "change_bpm_per_week",
    "low",
    "high",
    "minimal_detectable_bpm",
    "n_recoveries",
    "n_sessions",
    "sentence",
}


def test_sessions_are_listed(run: Run, store: Path) -> None:
    code, out, _ = run("sessions", "--store", store)
    assert code == 0
    assert re.search(r"2\s+2026-09-04 19:30\s+bike\s+14 min", out)
    assert "n = 2 sessions" in out


def test_sessions_as_json(run_json: RunJson, store: Path) -> None:
    found = run_json("sessions", "--store", store)
    assert [(row["session"], row["start"]) for row in found] == [
        (2, "2026-09-04T19:30:00+02:00"),
        (1, "2026-09-01T19:30:00+02:00"),
    ]
    assert found[0]["kind"] == "bike"
    assert set(found[0]["flagged_s"]) >= {"ok"}
    assert len(run_json("sessions", "--since", "2026-09-02", "--store", store)) == 1
    assert run_json("sessions", "--kind", "run", "--store", store) == []


def test_a_session_is_shown_in_full(run: Run, store: Path) -> None:
    code, out, _ = run("session", 1, "--store", store)
    assert code == 0
    assert "Session 1: bike, 2026-09-01 19:30, 14 min" in out
    assert "near-maximal to maximal" in out
    assert re.search(r"1\.2\s+2026-09-01 19:(39|40)", out)


def test_a_session_as_json(run_json: RunJson, store: Path) -> None:
    found = run_json("session", 1, "--store", store)
    assert found["session"] == 1
    assert list(found["minutes_by_class"]) == [
        "very light",
        "light",
        "moderate",
        "vigorous",
        "near-maximal to maximal",
    ]
    assert [row["order"] for row in found["recoveries"]] == [1, 2]


def test_a_session_can_be_described(run: Run, run_json: RunJson, folder: Path, tmp_path: Path) -> None:
    store = tmp_path / "s.sqlite"
    run("import", folder / "ride-00.csv", "--store", store)
    described = ("--rpe", 7, "--posture", "standing", "--kind", "circuit", "--notes", "cold")
    found = run_json("session", 1, *described, "--store", store)
    assert (found["rpe"], found["posture"], found["kind"], found["notes"]) == (
        7,
        "standing",
        "circuit",
        "cold",
    )
    code, _, err = run("session", 1, "--rpe", 12, "--store", store)
    assert (code, "session RPE cannot be 12" in err) == (2, True)


def test_recoveries_are_listed_with_their_uncertainty(run: Run, store: Path) -> None:
    code, out, _ = run("recovery", "--store", store)
    assert code == 0
    assert re.search(r"1\.1\s+2026-09-01 19:3[34]\s+bike\s+\d+\s+\d+ ± \d+", out)
    assert "n = 4 recoveries of 2 sessions" in out
    assert "see a doctor" in out


def test_recoveries_keep_their_contract(run_json: RunJson, store: Path) -> None:
    found = run_json("recovery", "--store", store)
    assert len(found) == 4
    assert all(row.keys() >= RECOVERY_KEYS for row in found)
    assert {(row["session"], row["start"]) for row in found} == {
        (1, "2026-09-01T19:30:00+02:00"),
        (2, "2026-09-04T19:30:00+02:00"),
    }
    assert all(isinstance(reason, str) for row in found for reason in row["reasons"])
    assert all(row["tau_low_s"] < row["tau_s"] < row["tau_high_s"] for row in found)


def test_recoveries_are_narrowed_as_asked(run: Run, run_json: RunJson, store: Path) -> None:
    assert len(run_json("recovery", 2, "--store", store)) == 2
    assert len(run_json("recovery", "--grade", "none", "--store", store)) == 0
    assert len(run_json("recovery", "--mode", "still,moving", "--store", store)) == 4
    code, _, err = run("recovery", "--grade", "superb", "--store", store)
    assert (code, "'superb' is not known here" in err) == (2, True)


def test_one_recovery_is_shown_in_full(run: Run, run_json: RunJson, store: Path) -> None:
    code, out, _ = run("recovery", 1, 2, "--store", store)
    assert code == 0
    assert re.match(r"Recovery 1\.2, 2026-09-01 19:(39|40)", out)  # `a_ride` stops after 600 s, within 5 s
    assert re.search(r"Drop in 60 s: \d+ ± \d+ bpm", out)
    assert "down to 130 bpm" in out  # Karvonen 1957: 54 + 0.6 x (181 - 54)
    found = run_json("recovery", 1, 2, "--store", store)
    assert len(found["curve"]["t_s"]) == len(found["curve"]["hr_bpm"]) > 60
    assert run("recovery", 1, 7, "--store", store)[0] == 2


def test_the_trend_keeps_its_contract(run_json: RunJson, store: Path) -> None:
    found = run_json("trend", "--store", store)
    assert found.keys() >= TREND_KEYS
    assert found["verdict"] == "too few"
    assert (found["change_bpm_per_week"], found["low"], found["high"]) == (None, None, None)
    assert found["n_sessions"] == 2
    assert found["sentence"].endswith(".")


def test_the_trend_is_said_in_words(run: Run, store: Path) -> None:
    code, out, _ = run("trend", "--store", store)
    assert code == 0
    assert out.startswith("Recovery: too few\n")
    assert "of 2 sessions" in out
