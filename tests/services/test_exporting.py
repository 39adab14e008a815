"""What goes out is what is stored, in formats that anything reads."""

import csv
import io
import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from rideready.errors import NotInStore
from rideready.services import exporting
from rideready.services.context import Context, open_context
from rideready.services.exporting import Content, Format, export, export_file
from rideready.services.importing import import_paths
from rideready.services.recoveries import list_recoveries
from rideready.services.riders import update_rider
from rideready.services.sessions import describe_session, session_view
from tests.support.stores import write_ride


@pytest.fixture(scope="module")
def ctx(tmp_path_factory: pytest.TempPathFactory) -> Context:
    folder = tmp_path_factory.mktemp("exports")
    context = open_context(folder / "store.sqlite", rider="Runa")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0)
    import_paths(context, [write_ride(folder, days=days) for days in (0, 1)])
    return context


def exported(ctx: Context, content: Content, form: Format, *, session_id: int | None = None) -> str:
    stream = io.StringIO()
    export(ctx, content, stream, form=form, session_id=session_id)
    return stream.getvalue()


@pytest.mark.parametrize("content", Content)
def test_csv_and_json_hold_the_same_figures(ctx: Context, content: Content) -> None:
    rows = list(csv.DictReader(io.StringIO(exported(ctx, content, Format.CSV))))
    objects = json.loads(exported(ctx, content, Format.JSON))
    assert len(rows) == len(objects) > 0
    for row, found in zip(rows[:50], objects[:50], strict=True):
        assert row == {name: "" if value is None else str(value) for name, value in found.items()}


def test_samples_go_out_as_they_came_in(ctx: Context) -> None:
    table = pd.read_csv(io.StringIO(exported(ctx, Content.SAMPLES, Format.CSV, session_id=2)))
    session = session_view(ctx, 2).session
    assert set(table["session"]) == {2}
    assert np.array_equal(table["t_s"], session.t_s)
    assert np.array_equal(table["hr_bpm"], session.hr_bpm)
    assert table["temperature_c"].isna().all()  # never recorded, so never a number


def test_recoveries_go_out_with_every_figure_unrounded(ctx: Context) -> None:
    found = json.loads(exported(ctx, Content.RECOVERIES, Format.JSON))
    rows = list_recoveries(ctx)
    assert [(row["session"], row["order"]) for row in found] == [(1, 1), (1, 2), (2, 1), (2, 2)]
    for name in ("end_of_effort_s", "peak_bpm", "hrr60_bpm", "tau_s", "tau_low_s", "tau_high_s"):
        assert [row[name] for row in found] == [getattr(row.recovery, name) for row in rows]
    assert found[0]["start"] == "2026-09-01T19:30:00+02:00"


def test_text_that_a_spreadsheet_would_run_is_held_back(ctx: Context) -> None:
    describe_session(ctx, 1, notes='=HYPERLINK("http://example.org")')
    rows = list(csv.DictReader(io.StringIO(exported(ctx, Content.SESSIONS, Format.CSV))))
    assert rows[1]["notes"] == '\'=HYPERLINK("http://example.org")'
    described = json.loads(exported(ctx, Content.SESSIONS, Format.JSON))
    assert described[1]["notes"].startswith("=")  # JSON runs nothing and keeps what was written
    describe_session(ctx, 1, notes="")


def test_negative_numbers_are_no_text() -> None:
    assert exporting.cell(-1.5) == -1.5


def test_an_empty_store_gives_an_empty_table(tmp_path: Path) -> None:
    context = open_context(tmp_path / "store.sqlite")
    assert exported(context, Content.SESSIONS, Format.CSV) == ""
    assert json.loads(exported(context, Content.SESSIONS, Format.JSON)) == []


def test_a_session_that_is_not_there_is_named(ctx: Context) -> None:
    with pytest.raises(NotInStore, match="there is no session 9"):
        exported(ctx, Content.SAMPLES, Format.CSV, session_id=9)


def test_a_file_is_written_whole_or_not_at_all(ctx: Context, tmp_path: Path) -> None:
    path = tmp_path / "samples.csv"
    path.write_text("what was there before")
    with pytest.raises(NotInStore):
        export_file(ctx, Content.SAMPLES, path, form=Format.CSV, session_id=9)
    assert path.read_text() == "what was there before"
    assert list(tmp_path.iterdir()) == [path]
    assert export_file(ctx, Content.SAMPLES, path, form=Format.CSV, session_id=1) == 840
    assert path.read_text().count("\n") == 841
