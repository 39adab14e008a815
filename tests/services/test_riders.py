"""Numbers are checked, dated and never lost; sessions are worked out again when they change."""

import datetime as dt
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from rideready.errors import BadInput
from rideready.model.clean import Flag
from rideready.model.rider import Rider, Sex
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.maximum_rest import maximum_and_rest
from rideready.services.riders import add_rider, get_rider, list_riders, rider_sources, update_rider
from rideready.services.sessions import list_sessions
from tests.support.stores import write_ride

AUGUST, OCTOBER = dt.date(2026, 8, 20), dt.date(2026, 10, 2)


@pytest.fixture
def ctx(place: Path | str) -> Context:
    return open_context(place, rider="Runa", today=AUGUST)


def test_numbers_are_set_and_kept(ctx: Context) -> None:
    rider = update_rider(ctx, max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
    assert rider == Rider(name="Runa", max_hr_bpm=181.0, resting_hr_bpm=54.0, sex=Sex.FEMALE)
    assert get_rider(open_context(ctx.store.place)) == rider


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"max_hr_bpm": 300.0}, "max_hr_bpm is 300.0; it should lie between 90 and 240"),
        ({"max_hr_bpm": 100.0, "resting_hr_bpm": 95.0}, "must be at least 20 above"),
    ],
)
def test_a_number_no_person_has_is_refused_and_nothing_is_changed(
    ctx: Context, changes: dict[str, Any], said: str
) -> None:
    update_rider(ctx, age_years=41.0)
    with pytest.raises(BadInput, match=said):
        update_rider(ctx, age_years=42.0, **changes)
    assert get_rider(ctx) == Rider(name="Runa", age_years=41.0)


def test_a_field_no_rider_has_is_a_programmers_mistake(ctx: Context) -> None:
    with pytest.raises(TypeError, match="a rider has no weight_kg"):
        update_rider(ctx, weight_kg=70)


def test_older_numbers_stay_with_their_day(ctx: Context) -> None:
    update_rider(ctx, max_hr_bpm=178.0)
    update_rider(replace(ctx, today=OCTOBER), max_hr_bpm=181.0)
    shown = [
        (source.value, source.day, source.source, source.is_used)
        for source in rider_sources(ctx, maximum_and_rest(ctx).observed)
    ]
    assert shown == [(181.0, OCTOBER, "entered", True), (178.0, AUGUST, "entered", False)]


def test_setting_a_number_to_what_it_is_writes_nothing(ctx: Context) -> None:
    update_rider(ctx, max_hr_bpm=178.0)
    update_rider(replace(ctx, today=OCTOBER), max_hr_bpm=178.0)
    assert [source.day for source in rider_sources(ctx, maximum_and_rest(ctx).observed)] == [AUGUST]


def test_a_number_taken_back_is_unknown_and_says_so(ctx: Context) -> None:
    update_rider(ctx, max_hr_bpm=178.0, settle_reserve=0.5)
    rider = update_rider(ctx, max_hr_bpm=None, settle_reserve=None)
    assert (rider.max_hr_bpm, rider.settle_reserve) == (None, 0.6)
    newest = next(
        source for source in rider_sources(ctx, maximum_and_rest(ctx).observed) if source.name == "max_hr_bpm"
    )
    assert newest.value is None


def test_age_predicts_a_maximum_that_is_used_only_without_a_measured_one(ctx: Context) -> None:
    # Tanaka, Monahan, Seals 2001, J Am Coll Cardiol 37:153-6: 208 - 0.7 x age, so 41 years give 179.3.
    update_rider(ctx, age_years=41.0)
    (predicted,) = [
        source for source in rider_sources(ctx, maximum_and_rest(ctx).observed) if source.name == "max_hr_bpm"
    ]
    assert predicted.value == pytest.approx(179.3)
    assert predicted.is_used
    assert predicted.source.startswith("predicted from age (Tanaka 2001")
    update_rider(ctx, max_hr_bpm=181.0)
    used = {
        source.source.split()[0]: source.is_used
        for source in rider_sources(ctx, maximum_and_rest(ctx).observed)
    }
    assert used == {"entered": True, "predicted": False}


def test_changed_numbers_work_every_session_out_again(ctx: Context, tmp_path: Path) -> None:
    import_paths(ctx, [write_ride(tmp_path)])
    (before,) = list_sessions(ctx)
    assert before.class_minutes is None
    steps: list[tuple[int, int]] = []
    update_rider(
        ctx,
        progress=lambda done, total: steps.append((done, total)),
        max_hr_bpm=181.0,
        resting_hr_bpm=54.0,
        sex=Sex.FEMALE,
    )
    (after,) = list_sessions(ctx)
    assert steps == [(1, 1)]
    assert after.class_minutes is not None
    assert sum(after.class_minutes) * 60 == after.flagged_s[Flag.OK]
    assert after.trimp is not None


def test_a_new_name_works_nothing_out_again(ctx: Context, tmp_path: Path) -> None:
    import_paths(ctx, [write_ride(tmp_path)])
    steps: list[tuple[int, int]] = []
    update_rider(ctx, progress=lambda done, total: steps.append((done, total)), name="Runa Vell")
    assert steps == []
    assert get_rider(ctx).name == "Runa Vell"


def test_the_highest_pulse_seen_is_shown_and_never_put_in_use(ctx: Context, tmp_path: Path) -> None:
    import_paths(ctx, [write_ride(tmp_path)])
    update_rider(ctx, max_hr_bpm=150.0)
    entered, seen = [
        source for source in rider_sources(ctx, maximum_and_rest(ctx).observed) if source.name == "max_hr_bpm"
    ]
    assert (entered.value, entered.is_used) == (150.0, True)
    assert seen.value == pytest.approx(168, abs=2)  # where the rise of `a_ride` runs to
    assert (seen.source, seen.is_used, seen.day) == ("seen in session 1", False, dt.date(2026, 9, 1))


def test_another_rider_can_be_added_once(ctx: Context) -> None:
    add_rider(ctx.store.place, "Tam")
    with pytest.raises(BadInput, match="already a rider called 'Tam'"):
        add_rider(ctx.store.place, "Tam")
    with pytest.raises(BadInput, match="needs a name"):
        add_rider(ctx.store.place, " ")
    assert list_riders(ctx) == ["Runa", "Tam"]
