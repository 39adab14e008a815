"""Changes of the plan, loads, altitude, swaps and circuits done, as a rider types them."""

from pathlib import Path

import pytest

from tests.cli.conftest import Run, RunJson

DAY = ("--date", "2026-11-10")


@pytest.fixture
def planned(run: Run, tmp_path: Path) -> Path:
    """Return a store of a rider with equipment and an opening window."""
    store = tmp_path / "rider.sqlite"
    common = ("--store", store, *DAY)
    assert run("rider", "--max", 186, "--rest", 52, *common)[0] == 0
    assert run("training", "--equipment", "kettlebell,box,mat", "--usual", 120, *common)[0] == 0
    assert run("plan", "--earliest", "2026-12-05", "--likely", "2026-12-19", *common)[0] == 0
    return store


def test_the_plan_says_what_changed_and_why(run: Run, run_json: RunJson, planned: Path) -> None:
    assert run_json("plan", "--store", planned, *DAY)["changed"] is None
    assert run("log", "sore", "--tag", "knee", "--store", planned, *DAY)[0] == 0
    changed = run_json("plan", "--store", planned, *DAY)["changed"]
    assert changed["on"] == "2026-11-10"
    assert changed["causes"] == ["You logged a sore knee."]
    out = run("plan", "--store", planned, *DAY)[1]
    assert "Changed on 2026-11-10:" in out
    assert "You logged a sore knee." in out


def test_the_week_gives_progress_and_load_with_their_source(
    run: Run, run_json: RunJson, planned: Path
) -> None:
    assert run("log", "cardio", "--minutes", 30, "--rpe", 4, "--store", planned, *DAY)[0] == 0
    document = run_json("week", "--store", planned, *DAY)
    minutes = next(line for line in document["progress"] if line["what"] == "minutes")
    assert (minutes["done"], minutes["left"]) == (30, minutes["target"] - 30)
    assert document["loads"]["weeks"][-1]["load"] == 120
    assert "Foster 1998" in document["loads"]["source"]
    assert "Foster 1998" in run("week", "--store", planned, *DAY)[1]


def test_the_altitude_is_kept_and_told_with_the_plan(run: Run, run_json: RunJson, planned: Path) -> None:
    typed = ("training", "--altitude", 2600, "--home-altitude", 300, "--store", planned, *DAY)
    assert run_json(*typed)["altitude"]["riding_altitude_m"] == 2600
    assert len(run_json("plan", "--store", planned, *DAY)["altitude"]["pulses"]) == 4
    out = run("plan", "--store", planned, *DAY)[1]
    assert "On opening day, bpm" in out
    assert "mountain sickness" in out


def test_an_exercise_is_swapped_and_the_weight_used_is_listed(
    run: Run, run_json: RunJson, planned: Path
) -> None:
    before = [one["name"] for one in run_json("circuit", "--store", planned, *DAY)["exercises"]]
    after = run_json("circuit", "--swap", before[0].upper(), "--store", planned, *DAY)["exercises"]
    assert {one["name"] for one in after} >= set(before[1:])
    assert before[0] not in {one["name"] for one in after}
    loaded = next(one["name"] for one in after if "kettlebell" in one["equipment"])
    typed = ("circuit", "--swap", before[0], "--done", "--rpe", 6, "--weight", f"{loaded}=16")
    assert run(*typed, "--store", planned, *DAY)[0] == 0
    (log,) = run_json("circuit", "--log", "--store", planned, *DAY)
    assert log["weights_kg"] == [[loaded, 16.0]]
    assert log["recorded"] is None
    assert "16 kg" in run("circuit", "--log", "--store", planned, *DAY)[1]


def test_after_fever_two_easy_days_a_step_and_the_doctor_are_named(run: Run, planned: Path) -> None:
    common = ("--store", planned)
    assert run("log", "illness", "--tag", "fever", *common, "--date", "2026-11-09")[0] == 0
    assert run("log", "well", *common, "--date", "2026-11-11")[0] == 0
    said = [run("today", *common, "--date", f"2026-11-{day}")[1] for day in range(11, 17)]
    steps = [next(step for step in "123" if f"Step {step} of 3" in text) for text in said]
    assert steps == ["1", "1", "2", "2", "3", "3"]
    assert all("doctor" in text for text in said)


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        (("circuit", "--done", "--weight", "16"), "is no weight"),
        (("circuit", "--done", "--weight", "Juggling=16"), "no exercise called 'Juggling'"),
        (("circuit", "--swap", "Juggling"), "no exercise called 'Juggling'"),
        (("training", "--altitude", 9000), "outside -450 to 5000 m"),
        (("log", "strength", "--minutes", 30, "--tag", "ears"), "legs"),
    ],
)
def test_what_cannot_be_is_one_sentence_that_helps(
    typed: tuple[object, ...], expected: str, run: Run, planned: Path
) -> None:
    code, out, err = run(*typed, "--store", planned, *DAY)
    assert (code, out) == (2, "")
    assert expected in err
    assert err.count("\n") == 1
