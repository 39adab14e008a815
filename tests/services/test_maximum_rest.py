"""Maximum and rest from every source side by side; conflicts are said and nothing is changed."""

import datetime as dt
from pathlib import Path

import pytest
from sqlalchemy import text

from rideready.errors import UnreadableFile
from rideready.services import maximum_rest
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.maximum_rest import maximum_and_rest, read_resting_csv
from rideready.services.riders import get_rider, update_rider
from rideready.store.diary import resting_pulses
from tests.support.stores import write_ride

TODAY = dt.date(2026, 9, 28)


@pytest.fixture
def ctx(tmp_path: Path) -> Context:
    return open_context(tmp_path / "store.sqlite", rider="Runa", today=TODAY)


def table(folder: Path, text: str) -> Path:
    path = folder / "resting.csv"
    path.write_text(text, encoding="utf-8")
    return path


def logged(ctx: Context) -> dict[dt.date, float]:
    with ctx.store.reading() as connection:
        return resting_pulses(connection, ctx.rider_id)


def codes(ctx: Context) -> list[str]:
    return [reason.code for reason in maximum_and_rest(ctx).reasons]


def test_a_rider_without_anything_has_no_source_and_no_conflict(ctx: Context) -> None:
    found = maximum_and_rest(ctx)
    assert (found.measured_bpm, found.observed, found.predicted_bpm, found.used_bpm) == (None,) * 4
    assert [reason.code for reason in found.reasons] == ["rest.too_few"]


def test_a_recording_above_the_entered_maximum_is_said_and_changes_nothing(
    ctx: Context, tmp_path: Path
) -> None:
    import_paths(ctx, [write_ride(tmp_path), write_ride(tmp_path, days=3)])
    update_rider(ctx, max_hr_bpm=150.0)
    found = maximum_and_rest(ctx)
    assert found.observed is not None
    # The rise of `a_ride` comes to 168 - 70 exp(-180 / 40) = 167 bpm.
    assert found.observed.bpm == pytest.approx(167, abs=1)
    assert found.observed.source.session_id in {1, 2}
    assert "maximum.above_entered" in [reason.code for reason in found.reasons]
    assert (found.used_bpm, get_rider(ctx).max_hr_bpm) == (150, 150)


def test_samples_are_read_once_for_old_sessions_and_never_for_new_ones(
    ctx: Context, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import_paths(ctx, [write_ride(tmp_path), write_ride(tmp_path, days=3)])
    with monkeypatch.context() as closed:
        closed.delattr(maximum_rest, "load_session")  # whoever reads samples fails
        kept = maximum_and_rest(ctx)
    with ctx.store.writing() as connection:
        connection.execute(text("UPDATE session SET held_pulse = NULL"))
    assert maximum_and_rest(ctx) == kept
    assert kept.observed is not None
    assert kept.rest_seen is not None
    monkeypatch.delattr(maximum_rest, "load_session")
    assert maximum_and_rest(ctx) == kept


def test_a_prediction_far_from_the_entered_maximum_is_said(ctx: Context) -> None:
    # Tanaka et al. 2001: 208 - 0.7 x 41 = 179.3, standard error 10; 205 lies 25.7 above it.
    update_rider(ctx, age_years=41.0, max_hr_bpm=205.0)
    found = maximum_and_rest(ctx)
    assert found.predicted_bpm == pytest.approx(179.3)
    assert found.used_bpm == 205
    assert "maximum.entered_far_from_predicted" in codes(ctx)


def test_with_a_medicine_no_prediction_is_in_use_so_none_conflicts(ctx: Context) -> None:
    update_rider(ctx, age_years=41.0, max_hr_bpm=205.0, takes_heart_rate_medicine=True)
    assert "maximum.entered_far_from_predicted" not in codes(ctx)


def test_an_entered_rest_off_the_log_is_said_and_stays(ctx: Context, tmp_path: Path) -> None:
    read_resting_csv(ctx, table(tmp_path, "2026-09-20,52\n2026-09-21,53\n2026-09-22,54\n"))
    update_rider(ctx, resting_hr_bpm=60.0)
    found = maximum_and_rest(ctx)
    assert (found.rest_logged.median_bpm, found.rest_entered_bpm) == (53, 60)
    assert [reason.code for reason in found.reasons] == ["rest.entered_differs"]


@pytest.mark.parametrize(
    "text",
    [
        "2026-09-20,52\n2026-09-21,53.5\n",
        "day,bpm\n2026-09-21,53.5\n\n2026-09-20,52\n",
        "\ufeffTag;Puls\n2026-09-20;52\n2026-09-21;53,5\n",
        "2026-09-20\t52\n2026-09-21\t53.5",
    ],
)
def test_resting_pulses_come_from_a_table(ctx: Context, tmp_path: Path, text: str) -> None:
    n = read_resting_csv(ctx, table(tmp_path, text))
    assert n == 2
    assert logged(ctx) == {dt.date(2026, 9, 20): 52.0, dt.date(2026, 9, 21): 53.5}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "it has no row with a day and a resting pulse"),
        ("day,bpm\n", "it has no row with a day and a resting pulse"),
        ("2026-09-20,52\n21.9.2026,53\n", "line 2 is no day and resting pulse"),
        ("2026-09-20,52\n2026-09-21\n", "line 2 is no day and resting pulse"),
        ("2026-09-20,52\n2026-09-21,nan\n", "line 2: nan bpm is no resting pulse"),
        ("2026-09-20,520\n", "line 1: 520 bpm is no resting pulse"),
        ("2026-09-20,52\n2026-09-20,53\n", "line 2 gives another pulse for 2026-09-20"),
    ],
)
def test_a_table_with_a_row_that_cannot_be_meant_logs_nothing(
    ctx: Context, tmp_path: Path, text: str, said: str
) -> None:
    with pytest.raises(UnreadableFile, match=said):
        read_resting_csv(ctx, table(tmp_path, text))
    assert logged(ctx) == {}


def test_a_table_that_is_not_there_or_no_text_is_said(ctx: Context, tmp_path: Path) -> None:
    binary = tmp_path / "binary.csv"
    binary.write_bytes(b"\xff\xfe\x00\xd8")
    for path in (tmp_path / "none.csv", binary):
        with pytest.raises(UnreadableFile, match="it cannot be read as text"):
            read_resting_csv(ctx, path)
