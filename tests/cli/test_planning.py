"""Today, circuit, week, plan, what-if, training and log, as a rider types them."""

from pathlib import Path

import pytest

from tests.cli.conftest import Run, RunJson

DAY = ("--date", "2026-11-10")


@pytest.fixture
def planned(run: Run, tmp_path: Path) -> Path:
    """Return a store of a rider with equipment, days and an opening window, and nothing recorded."""
    store = tmp_path / "rider.sqlite"
    common = ("--store", store, *DAY)
    assert run("rider", "--max", 186, "--rest", 52, *common)[0] == 0
    assert run("training", "--equipment", "kettlebell,box,mat", "--usual", 120, *common)[0] == 0
    assert run("plan", "--earliest", "2026-12-05", "--likely", "2026-12-19", *common)[0] == 0
    return store


def test_the_circuit_keeps_its_contract(run_json: RunJson, tmp_path: Path) -> None:
    document = run_json(
        *("circuit", "--top", 10, "--exercises", 5, "--equipment", "kettlebell,box", "--avoid", "shoulder"),
        *("--store", tmp_path / "new.sqlite", "--date", "2026-10-01"),
    )
    assert document["top"] == 10
    assert document["total_reps"] == 275  # 10 + 9 + ... + 1 = 55 reps of each of five
    assert len(document["exercises"]) == 5
    for exercise in document["exercises"]:
        assert exercise["reps"] == list(range(10, 0, -1))
        assert "shoulder" not in exercise["joints"]
        assert set(exercise["equipment"]) <= {"kettlebell", "box"}
    assert document["minutes"] > 10
    assert document["reasons"]


def test_the_same_day_gives_the_same_circuit_and_another_gives_another(
    run_json: RunJson, planned: Path
) -> None:
    def names(*more: object) -> list[str]:
        document = run_json("circuit", "--store", planned, *DAY, *more)
        return [exercise["name"] for exercise in document["exercises"]]

    assert names() == names()
    assert set(names("--another", 1)) != set(names())


def test_a_circuit_that_cannot_be_names_the_change_that_helps(run: Run, planned: Path) -> None:
    code, out, err = run("circuit", "--minutes", 3, "--store", planned, *DAY)
    assert (code, out) == (2, "")
    assert "minutes" in err
    assert err.count("\n") == 1


def test_a_circuit_done_is_remembered(run: Run, run_json: RunJson, planned: Path) -> None:
    before = run_json("circuit", "--store", planned, *DAY)
    code, out, _ = run("circuit", "--done", "--rpe", 6, "--store", planned, *DAY)
    assert code == 0
    assert "Written down as done." in out
    later = run_json("circuit", "--store", planned, "--date", "2026-11-14")
    assert [e["name"] for e in later["exercises"]] != [e["name"] for e in before["exercises"]]


def test_the_plan_keeps_its_contract(run_json: RunJson, planned: Path) -> None:
    document = run_json("plan", "--store", planned, *DAY)
    assert [week["start"] for week in document["weeks"]] == [
        "2026-11-09",
        "2026-11-16",
        "2026-11-23",
        "2026-11-30",
        "2026-12-07",
        "2026-12-14",
    ]
    for week in document["weeks"]:
        assert {"phase", "moderate_equivalent_min", "vigorous_min", "circuits", "reasons"} <= set(week)


def test_without_a_window_the_plan_says_how_to_give_one(run: Run, tmp_path: Path) -> None:
    code, _, err = run("plan", "--store", tmp_path / "new.sqlite", *DAY)
    assert code == 2
    assert "rideready plan --earliest" in err


def test_half_a_window_is_refused(run: Run, tmp_path: Path) -> None:
    code, _, err = run("plan", "--earliest", "2026-12-05", "--store", tmp_path / "new.sqlite", *DAY)
    assert code == 2
    assert "Give both" in err


def test_the_week_places_its_sessions_on_days_with_time(run: Run, run_json: RunJson, planned: Path) -> None:
    assert run("training", "--minutes", "60,60,0,60,60,90,90", "--store", planned, *DAY)[0] == 0
    document = run_json("week", "--store", planned, *DAY)
    assert document["days"][0]["day"] == "2026-11-10"
    for placed in document["days"]:
        assert sum(session["minutes"] for session in placed["sessions"]) <= placed["available_min"]
    wednesday = next(placed for placed in document["days"] if placed["day"] == "2026-11-11")
    assert wednesday["sessions"] == []


def test_today_says_minutes_why_and_what_in_20_minutes(run_json: RunJson, planned: Path) -> None:
    answers = [run_json("today", "--store", planned, "--date", f"2026-11-{day:02d}") for day in range(10, 24)]
    assert all(answer["why"] for answer in answers)
    busy = [answer for answer in answers if answer["minutes"]]
    assert busy
    assert all(answer["if_only_20_min"] for answer in busy)
    efforts = [part["effort"] for answer in busy for part in answer["parts"] if part["effort"]]
    assert efforts
    assert all(52 < effort["low_bpm"] < effort["high_bpm"] <= 186 for effort in efforts if effort["low_bpm"])
    assert any(answer["circuit"] for answer in busy)


def test_what_if_keeps_nothing(run_json: RunJson, planned: Path) -> None:
    before = run_json("plan", "--store", planned, *DAY)
    moved = run_json(
        "what-if", "--earliest", "2026-11-20", "--likely", "2026-11-28", "--store", planned, *DAY
    )
    assert moved["weeks"]
    assert all(change["reasons"] for change in moved["weeks"])
    assert run_json("plan", "--store", planned, *DAY) == before


def test_what_is_logged_counts_and_is_listed(run: Run, run_json: RunJson, planned: Path) -> None:
    assert run("log", "strength", "--minutes", 40, "--rpe", 6, "--store", planned, *DAY)[0] == 0
    assert run("log", "cardio", "--minutes", 30, "--rpe", 4, "--rest", 50, "--store", planned, *DAY)[0] == 0
    entries = run_json("log", "--store", planned, *DAY)
    assert [(entry["kind"], entry["minutes"]) for entry in entries] == [("strength", 40.0), ("cardio", 30.0)]
    done = run_json("week", "--store", planned, *DAY)["done"]
    assert {one["kind"]: one["moderate_equivalent_min"] for one in done} == {
        "strength": 0.0,
        "steady piece": 30.0,
    }


def test_fever_stops_the_circuit_until_the_rider_is_well(run: Run, planned: Path) -> None:
    assert run("log", "illness", "--tag", "fever", "--store", planned, *DAY)[0] == 0
    code, _, err = run("circuit", "--store", planned, *DAY)
    assert code == 2
    assert "fever" in err.lower()
    assert run("log", "well", "--store", planned, "--date", "2026-11-14")[0] == 0
    assert run("circuit", "--store", planned, "--date", "2026-11-16")[0] == 0


def test_a_sore_joint_is_spared_until_it_is_healed(run: Run, run_json: RunJson, planned: Path) -> None:
    def joints() -> set[str]:
        document = run_json("circuit", "--store", planned, *DAY)
        return {joint for exercise in document["exercises"] for joint in exercise["joints"]}

    before = joints()
    assert "wrist" in before
    assert run("log", "sore", "--tag", "wrist", "--store", planned, *DAY)[0] == 0
    assert "wrist" not in joints()
    assert run("log", "healed", "--tag", "wrist", "--store", planned, *DAY)[0] == 0
    assert joints() == before


def test_days_away_carry_nothing_until_the_rider_is_home(run: Run, run_json: RunJson, planned: Path) -> None:
    def placed() -> dict[str, int]:
        return {
            one["day"]: len(one["sessions"]) for one in run_json("week", "--store", planned, *DAY)["days"]
        }

    days = sorted(placed())
    first, last = days[0], days[-1]
    assert sum(placed().values()) > 0
    assert run("log", "away", "--since", first, "--until", last, "--store", planned, *DAY)[0] == 0
    assert sum(placed().values()) == 0
    _, said, _ = run("plan", "--store", planned, *DAY)
    assert "You are away" in said
    assert run("log", "home", "--store", planned, *DAY)[0] == 0
    assert sum(placed().values()) > 0


@pytest.mark.parametrize(
    "days", [(), ("--since", "2026-11-20"), ("--since", "2026-11-20", "--until", "2026-11-12")]
)
def test_days_away_need_a_first_and_a_last_day_in_order(
    days: tuple[str, ...], run: Run, run_json: RunJson, planned: Path
) -> None:
    code, _, err = run("log", "away", *days, "--store", planned, *DAY)
    assert code == 2
    assert err.count("\n") == 1
    assert run_json("log", "--store", planned, *DAY) == []


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        (("log", "swimming", "--minutes", 30), "no word of the diary"),
        (("log", "strength"), "Add --minutes"),
        (("log", "strength", "--minutes", 30, "--rpe", 11), "Give 0 (rest) to 10"),
        (("log", "sore"), "--tag"),
        (("log", "sore", "--tag", "toe"), "no tag of 'sore'"),
        (("log", "--rest", 12), "no resting pulse"),
        (("training", "--equipment", "anvil"), "'anvil' is unknown"),
        (("training", "--minutes", "45,45"), "not seven numbers"),
        (("training", "--level", "hero"), "no level"),
        (("training", "--long-day", "someday"), "no weekday"),
        (("circuit", "--exercises", 12), "between 4 and 8"),
    ],
)
def test_what_cannot_be_is_one_sentence_that_helps(
    typed: tuple[object, ...], expected: str, run: Run, planned: Path
) -> None:
    code, out, err = run(*typed, "--store", planned, *DAY)
    assert (code, out) == (2, "")
    assert expected in err
    assert err.count("\n") == 1
