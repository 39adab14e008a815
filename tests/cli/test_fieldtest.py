"""``rideready test`` prints protocols, scores counts and recordings, and keeps what it scored."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., tuple[int, str, str]]
RunJson = Callable[..., Any]


@pytest.fixture
def own(tmp_path: Path) -> Path:
    """Place of a store of this test's own."""
    return tmp_path / "own.sqlite"


def main_figure(found: Any) -> tuple[str, float]:
    return found["figures"][0]["measure"], found["figures"][0]["value"]


@pytest.mark.parametrize(
    ("counts", "index"),
    [
        # Brouha 1943, Res Q 14:31-36: 100 x 300 / (2 x (90 + 80 + 70)) and 100 x 300 / (2 x (80 + 65 + 55)).
        ("90,80,70", 62.5),
        ("80,65,55", 75.0),
    ],
)
def test_harvard_counts_give_the_published_index(
    run_json: RunJson, own: Path, counts: str, index: float
) -> None:
    found = run_json("test", "harvard", "--seconds", 300, "--counts", counts, "--store", own)
    assert main_figure(found) == ("fitness index", index)
    assert (found["kept"], found["counting"], found["by_protocol"]) == (True, "by hand", True)


@pytest.mark.parametrize(
    ("age", "sex", "count", "band", "n_notes"),
    [
        # Golding 2000, YMCA Fitness Testing and Assessment Manual, 4th ed.
        (41, "female", 95, "good", 0),
        (30, "male", 90, "above average", 0),
        (30, "male", 86, "above average", 1),  # in the gap between 85 and 88
    ],
)
def test_a_ymca_count_goes_by_age_and_sex(  # noqa: PLR0917 - one row of a table
    run_json: RunJson, own: Path, age: int, sex: str, count: int, band: str, n_notes: int
) -> None:
    run_json("rider", "--age", age, "--sex", sex, "--store", own)
    found = run_json("test", "ymca", "--count", count, "--store", own)
    assert main_figure(found) == ("beats in the minute after", count)
    assert [(one["label"], len(one["notes"])) for one in found["bands"]] == [(band, n_notes)]


def test_a_ymca_count_without_age_and_sex_has_no_band_and_says_why(run: Run, own: Path) -> None:
    code, out, _ = run("test", "ymca", "--count", 95, "--store", own)
    assert code == 0
    assert "Beats in the minute after: 95 beats\n" in out
    assert "without your age and sex there is no band" in out
    assert "chest pain" in out


def test_queens_college_gives_oxygen_uptake_by_sex(run_json: RunJson, own: Path) -> None:
    # McArdle et al. 1972, Med Sci Sports 4:182-6: 34 beats in 15 s are 136 bpm;
    # 111.33 - 0.42 x 136 = 54.21 for men.
    run_json("rider", "--sex", "male", "--store", own)
    found = run_json("test", "queens", "--count", 34, "--store", own)
    assert main_figure(found) == ("pulse 5 to 20 s after", 136)
    assert found["figures"][1]["value"] == pytest.approx(54.21)
    assert found["figures"][1]["unit"] == "ml/kg/min"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            ["balke"],
            "there is no test called 'balke'. Known are harvard, ymca, queens-college, bursts, ride.",
        ),
        (["--count", "95"], "which test was it. Type it like: rideready test ymca --count 95."),
        (["harvard", "--counts", "90,80,70"], "for how many seconds did you step"),
        (["harvard", "--seconds", "300"], "what did you count"),
        (["harvard", "--seconds", "300", "--counts", "90,80"], "2 counts were given"),
        (["harvard", "--seconds", "400", "--counts", "90,80,70"], "it cannot have lasted 400 s"),
        (["ymca", "--count", "nan"], "cannot be meant"),
        (["ymca", "--count", "95,96"], "2 counts were given where the test has one"),
        (["ymca", "--count", "many"], "'many' is no list of beats"),
        (["ymca", "--count", "95", "--seconds", "180"], "only the Harvard test asks how long it lasted"),
        (["queens", "--count", "136"], "136 beats in 15 s cannot be meant"),
        (["bursts", "--count", "95"], "the repeat-burst test cannot be counted by hand"),
        (["ymca", "--count", "95", "--session", "1"], "counted by hand or read from a session"),
        (["ymca", "--stop", "6:00"], "a stop is a place in a session"),
        (["ymca", "--session", "1", "--stop", "six"], "'six' is no place in a session"),
        (["bursts", "--session", "1", "--stop", "6:00"], "the bursts are found by their spacing"),
        (["ymca", "--session", "1", "--seconds", "180"], "only the Harvard test asks how long it lasted"),
        (["ymca", "--session", "99"], "there is no session 99"),
    ],
)
def test_what_cannot_be_meant_is_refused_in_one_sentence(
    run: Run, own: Path, typed: list[str], said: str
) -> None:
    code, out, err = run("test", *typed, "--store", own)
    assert (code, out, err.count("\n")) == (2, "", 1)
    assert said in err


def test_a_refused_test_is_not_kept(run: Run, run_json: RunJson, own: Path) -> None:
    run("test", "queens", "--count", 136, "--store", own)
    assert run_json("test", "--store", own)["history"] == []


@pytest.mark.parametrize("name", ["harvard", "ymca", "queens-college", "bursts", "ride"])
def test_a_protocol_comes_with_its_cautions_before_its_steps(run: Run, own: Path, name: str) -> None:
    code, out, _ = run("test", name, "--store", own)
    assert code == 0
    assert 0 < out.index("Ask a doctor before any test") < out.index("Stop at once") < out.index("  1. ")
    assert "Source: " in out


def test_the_ymca_protocol_has_box_beat_and_lengths(run: Run, run_json: RunJson, own: Path) -> None:
    # Golding 2000: 12 in box, 24 cycles a minute (metronome 96), three minutes.
    assert "[180 s, metronome 96]" in run("test", "ymca", "--store", own)[1]
    protocol = run_json("test", "ymca", "--store", own)["protocol"]
    assert (protocol["box_height_cm"], protocol["steps"][1]["ticks_per_min"]) == (30.5, 96)


def test_an_illness_in_the_diary_speaks_against_a_test_until_it_is_over(run: Run, own: Path) -> None:
    run("log", "illness", "--tag", "fever", "--date", "2026-09-01", "--store", own)
    ill = run("test", "ymca", "--date", "2026-09-03", "--store", own)[1]
    run("log", "well", "--date", "2026-09-05", "--store", own)
    well = run("test", "ymca", "--date", "2026-09-06", "--store", own)[1]
    assert "You wrote down an illness (fever) on 2026-09-01" in ill
    assert "You wrote down an illness" not in well


def test_tests_are_listed_beside_the_earlier_ones_and_corrected_by_typing_again(run: Run, own: Path) -> None:
    for day, beats in (("2026-09-01", 98), ("2026-09-08", 90), ("2026-09-08", 95)):
        run("test", "ymca", "--count", beats, "--date", day, "--store", own)
    out = run("test", "--store", own)[1]
    lines = [line.split("  ") for line in out.splitlines() if line.strip().startswith("2026-")]
    told = [[cell.strip() for cell in line if cell.strip()] for line in lines]
    assert [(cells[0], cells[3], cells[4]) for cells in told] == [
        ("2026-09-01", "98 beats", "first one"),
        ("2026-09-08", "95 beats", "-3, cannot be said yet"),
    ]


def test_a_recording_that_is_no_test_gives_no_figure_and_is_not_kept(
    run: Run, run_json: RunJson, store: Path
) -> None:
    code, out, _ = run("test", "bursts", "--session", 1, "--store", store)
    assert code == 2
    assert "the test takes at least 3" in out
    assert "No figure, so nothing is kept." in out
    found = run_json("test", "bursts", "--session", 1, "--store", store, code=2)
    assert (found["kept"], found["figures"]) == (False, [])
    assert run_json("test", "--store", store)["history"] == []


def test_a_session_is_read_with_the_stop_and_the_seconds_that_are_told(
    run: Run, run_json: RunJson, folder: Path, own: Path
) -> None:
    run("import", folder / "ride-00.csv", "--store", own)
    told = ["test", "harvard", "--session", 1, "--seconds", 180, "--store", own]
    found = run_json(*told, "--stop", "4:00")
    # `a_ride` stops at 240 s; Brouha 1943: 100 x seconds / (2 x the three counts).
    assert found["stop_s"] == pytest.approx(240, abs=5)
    beats = sum(count["beats"] for count in found["counts"])
    assert main_figure(found)[1] == pytest.approx(100 * 180 / (2 * beats))
    assert (found["session"], found["date"], found["kept"]) == (1, "2026-09-01", True)
    assert run_json(*told, "--stop", "240")["figures"] == found["figures"]
    code, _, err = run(*told, "--stop", "400:00")
    assert (code, "lies outside the recording" in err) == (2, True)
