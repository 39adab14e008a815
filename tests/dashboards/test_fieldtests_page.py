"""The field tests' page says how each is done, scores what was counted, and hands the timer its steps."""

import json
from typing import Any

import pytest

from dashboards.app import page_of
from dashboards.context import Look
from dashboards.pages.fieldtests import read_from, read_path, scored
from rideready.model.fieldtest import FieldTest
from rideready.model.rider import Sex
from rideready.services.context import Context
from rideready.services.fieldtests import instruction, list_tests
from rideready.services.riders import update_rider
from rideready.services.sessions import list_sessions
from tests.dashboards.test_app import parts, texts


def _timer(page: Any) -> dict[str, Any] | None:
    found = [part for part in parts(page) if getattr(part, "id", None) == "metronome"]
    return (
        {"steps": json.loads(getattr(found[0], "data-steps")), "asks": getattr(found[0], "data-asks")}
        if found
        else None
    )


@pytest.mark.parametrize("test", FieldTest)
def test_the_page_prints_the_whole_protocol(nothing: Context, test: FieldTest) -> None:
    protocol = instruction(nothing, test).protocol
    page, title = page_of(Look(nothing, f"/tests/{test}"))
    said = texts(page)
    told = (*protocol.not_for, protocol.stop_signs, *protocol.beforehand, *protocol.good_to_know)
    assert title == f"{test.label}, rideready"
    assert [text for text in told if text not in said] == []
    assert [step.what for step in protocol.schedule if step.what not in said] == []


def test_the_list_names_every_test_with_its_length(nothing: Context) -> None:
    page, _ = page_of(Look(nothing, "/tests"))
    links = {getattr(part, "href", None) for part in parts(page)}
    assert {f"/tests/{test}" for test in FieldTest} <= links
    # 60 s standing, 180 s stepping, 65 s counting, 60 s sitting (Golding 2000)
    assert "About 6 min." in texts(page)


@pytest.mark.parametrize("test", FieldTest)
def test_the_timer_gets_every_step_of_the_schedule(nothing: Context, test: FieldTest) -> None:
    schedule = instruction(nothing, test).protocol.schedule
    path = f"/tests/{test}/96" if test is FieldTest.QUEENS_COLLEGE else f"/tests/{test}"
    timer = _timer(page_of(Look(nothing, path))[0])
    assert timer is not None
    assert [step["seconds"] for step in timer["steps"]] == [step.seconds for step in schedule]
    assert all(step["what"].endswith(told.what) for step, told in zip(timer["steps"], schedule, strict=True))


def test_the_rounds_of_the_bursts_are_counted(nothing: Context) -> None:
    timer = _timer(page_of(Look(nothing, "/tests/bursts"))[0])
    assert timer is not None
    counted = [step["what"].split(".")[0] for step in timer["steps"] if " of 8" in step["what"]]
    assert counted == [f"{n} of 8" for n in range(1, 9) for _ in range(2)]


#: Ticks a minute: Golding 2000, Brouha 1943, McArdle et al. 1972 (men).
@pytest.mark.parametrize(("path", "ticks"), [("ymca", 96), ("harvard", 120), ("queens-college/96", 96)])
def test_the_beat_is_the_protocols(nothing: Context, path: str, ticks: int) -> None:
    timer = _timer(page_of(Look(nothing, f"/tests/{path}"))[0])
    assert timer is not None
    assert {step["ticks_per_min"] for step in timer["steps"]} == {None, ticks}


def test_without_a_sex_the_rider_chooses_the_beat_and_with_one_it_is_set(nothing: Context) -> None:
    asked = page_of(Look(nothing, "/tests/queens-college"))[0]
    assert _timer(asked) is None
    assert "88 a minute" in texts(asked)
    update_rider(nothing, sex=Sex.FEMALE)
    timer = _timer(page_of(Look(nothing, "/tests/queens-college"))[0])
    assert timer is not None
    assert timer["steps"][1]["ticks_per_min"] == 88


def test_the_harvard_timer_alone_fills_in_how_long_was_stepped(nothing: Context) -> None:
    asks = {
        path: (_timer(page_of(Look(nothing, f"/tests/{path}"))[0]) or {})["asks"]
        for path in ("harvard", "ymca")
    }
    assert asks == {"harvard": "fieldtest-seconds", "ymca": ""}


def test_a_score_stands_beside_both_tables_and_in_the_history(nothing: Context) -> None:
    # Index 100 * 300 / (2 * 240) = 62.5 (Brouha 1943)
    result, history, trouble = scored(nothing, FieldTest.HARVARD, [90, 80, 70], [300])
    assert trouble is None
    assert "62.5" in texts(result)
    assert texts(result).count("By ") >= 2
    assert "62.5" in texts(history)
    assert len(list_tests(nothing)) == 1


@pytest.mark.parametrize(
    ("test", "counts", "seconds", "sentence"),
    [
        (FieldTest.YMCA, [None], [], "Enter the beats you counted first"),
        (FieldTest.YMCA, [""], [], "Enter the beats you counted first"),
        (FieldTest.HARVARD, [90, 80, None], [300], "second and third"),
        (FieldTest.HARVARD, [90, 80, 70], [None], "how many seconds"),
        (FieldTest.YMCA, [5], [], "This cannot be shown"),
    ],
)
def test_what_is_missing_or_cannot_be_is_said_and_nothing_is_kept(
    nothing: Context, test: FieldTest, counts: list[Any], seconds: list[Any], sentence: str
) -> None:
    result, _, trouble = scored(nothing, test, counts, seconds)
    assert sentence in texts(trouble)
    assert result == []
    assert list_tests(nothing) == []


@pytest.mark.parametrize(
    ("path", "expected"),
    [
        ("/tests/ymca", (FieldTest.YMCA, None)),
        ("/tests/queens-college/88", (FieldTest.QUEENS_COLLEGE, 88)),
        ("/tests/queens-college/90", (FieldTest.QUEENS_COLLEGE, None)),
        ("/tests/nothing", (None, None)),
        (None, (None, None)),
    ],
)
def test_a_path_names_a_test_and_maybe_a_beat(path: str | None, expected: tuple[Any, ...]) -> None:
    assert read_path(path) == expected


def test_a_test_is_read_from_a_session_that_is_chosen(demo: Context) -> None:
    (session, *_) = list_sessions(demo)
    result, _, trouble = read_from(demo, FieldTest.BURSTS, str(session.session_id), [])
    assert trouble is None
    assert "Repeat-burst test of" in texts(result)
    said = texts(page_of(Look(demo, "/tests/bursts"))[0])
    assert "Read and keep" in said


def test_no_session_chosen_is_said(demo: Context) -> None:
    assert "Choose the session first" in texts(read_from(demo, FieldTest.BURSTS, None, [])[2])
    assert "There is no session 9999" in texts(read_from(demo, FieldTest.BURSTS, "9999", [])[2])
