"""An empty store leads by the hand; each step says what is known and asks for what is not."""

import datetime as dt

import pytest

from dashboards.app import page_of
from dashboards.context import Look
from dashboards.pages import first_run
from rideready.errors import BadInput
from rideready.model.exercise import Equipment
from rideready.model.rider import Sex
from rideready.services.context import Context
from rideready.services.planning import set_window
from rideready.services.riders import get_rider, update_rider
from rideready.services.training import get_training, update_training
from tests.dashboards.test_app import parts, texts


def ids(ctx: Context, path: str) -> set[object]:
    page, _ = page_of(Look(ctx, path))
    return {part.id for part in parts(page) if isinstance(getattr(part, "id", None), str)}


def test_home_opens_the_first_step_that_is_to_do(nothing: Context) -> None:
    assert "first-save-rider" in ids(nothing, "/")
    update_rider(nothing, age_years=41.0)
    assert "first-on" in ids(nothing, "/")


def test_with_a_window_home_is_the_page_of_the_day_and_the_steps_stay_in_reach(nothing: Context) -> None:
    set_window(nothing, earliest=dt.date(2026, 12, 5), likely=dt.date(2026, 12, 19))
    assert page_of(Look(nothing, "/"))[1] == "Today, rideready"
    assert page_of(Look(nothing, "/start"))[1] == "First steps, rideready"


@pytest.mark.parametrize(
    ("path", "asked"),
    [
        ("/start/rider", "first-save-rider"),
        ("/start/files", "first-on"),
        ("/start/window", "first-save-window"),
    ],
)
def test_every_step_has_an_address(nothing: Context, path: str, asked: str) -> None:
    assert asked in ids(nothing, path)


def test_an_unknown_step_is_no_page(nothing: Context) -> None:
    assert "There is no page at /start/garage" in texts(page_of(Look(nothing, "/start/garage"))[0])


def test_what_is_known_is_said_with_a_way_to_change_it(nothing: Context) -> None:
    update_rider(nothing, age_years=41.0, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    set_window(nothing, earliest=dt.date(2026, 12, 5), likely=dt.date(2026, 12, 19))
    said = texts(page_of(Look(nothing, "/start/files"))[0])
    assert "41 years, maximum 181 bpm, at rest 54 bpm." in said
    assert "Sat 5 Dec 2026 to Sat 19 Dec 2026." in said
    assert {"first-change-rider", "first-change-window"} <= ids(nothing, "/start/files")


def test_the_fields_of_the_rider_become_numbers_and_empty_ones_take_them_back(nothing: Context) -> None:
    changes = first_run.changes(["41", "female", 181, ""], takes_medicine=False)
    update_rider(nothing, **changes)
    rider = get_rider(nothing)
    assert (rider.age_years, rider.sex, rider.max_hr_bpm) == (41.0, Sex.FEMALE, 181.0)
    update_rider(nothing, **first_run.changes(["", "", "", ""], takes_medicine=True))
    assert (get_rider(nothing).max_hr_bpm, get_rider(nothing).takes_heart_rate_medicine) == (None, True)


def test_half_a_window_is_refused_and_nothing_is_kept(nothing: Context) -> None:
    with pytest.raises(BadInput, match="two days"):
        first_run.save_window(nothing, "2026-12-05", None, "150")
    assert get_training(nothing).usual_min is None


def test_a_window_comes_with_the_usual_week_and_leaves_the_garage_alone(nothing: Context) -> None:
    update_training(nothing, equipment=(Equipment.BOX,))
    first_run.save_window(nothing, "2026-12-05", "2026-12-19", 150)
    training = get_training(nothing)
    assert (training.usual_min, training.equipment) == (150.0, (Equipment.BOX,))
    assert training.window.likely == dt.date(2026, 12, 19)
