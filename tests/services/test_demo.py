"""The demo fills a store of its own with simulated sessions, and never touches anybody else's."""

import datetime as dt
import shutil
from pathlib import Path

import pytest
from sqlalchemy import text

from rideready.errors import BadInput, StoreProblem
from rideready.services import demo
from rideready.services.context import open_context
from rideready.services.demo import demo_path, open_demo, samples_path
from rideready.services.importing import ImportProgress, import_paths
from rideready.services.riders import get_rider
from rideready.services.sessions import list_sessions
from rideready.simulate.scenario import RUNA
from tests.support.stores import write_ride

#: A sample that shows local time and names no zone.
WITHOUT_ZONE = "2026-10-20-bike-and-circuit.csv"


@pytest.fixture
def few_samples(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Take three of the samples, so that no test need import them all."""
    folder = tmp_path / "samples"
    folder.mkdir()
    for sample in [*sorted(samples_path().glob("*.fit"))[:2], samples_path() / WITHOUT_ZONE]:
        shutil.copy(sample, folder)
    monkeypatch.setattr(demo, "samples_path", lambda: folder)


@pytest.mark.usefixtures("few_samples")
def test_the_demo_has_the_riders_the_samples_were_simulated_for(tmp_path: Path) -> None:
    context, report = open_demo(tmp_path / "demo.sqlite")
    assert (report.stored, report.unreadable, report.warnings) == (3, (), ())
    assert get_rider(context) == RUNA
    assert context.is_simulated


@pytest.mark.usefixtures("few_samples")
def test_samples_without_a_zone_are_shown_by_the_clock_of_the_valley(tmp_path: Path) -> None:
    context, _ = open_demo(tmp_path / "demo.sqlite")
    assert {row.zone for row in list_sessions(context)} <= {"Europe/Oslo", "UTC+02:00", "UTC+01:00"}
    (local,) = [row.start_local for row in list_sessions(context) if row.files[0].endswith(".csv")]
    table = (samples_path() / WITHOUT_ZONE).read_text(encoding="utf-8-sig")
    assert local is not None
    assert f"{local:%d.%m.%Y};{local:%H:%M:%S}" in table


@pytest.mark.usefixtures("few_samples")
def test_an_older_analysis_is_brought_up_to_date(tmp_path: Path) -> None:
    context, _ = open_demo(tmp_path / "demo.sqlite")
    with context.store.writing() as connection:
        connection.execute(text("UPDATE session SET analysis_version = 0, peak_hr_bpm = 1"))
    again, _ = open_demo(tmp_path / "demo.sqlite")
    assert all(row.peak_hr_bpm is not None and row.peak_hr_bpm > 100 for row in list_sessions(again))


@pytest.mark.usefixtures("few_samples")
def test_today_is_the_day_of_the_last_sample_unless_told(tmp_path: Path) -> None:
    context, _ = open_demo(tmp_path / "demo.sqlite")
    assert context.today == max(
        row.start_local.date() for row in list_sessions(context) if row.start_local is not None
    )
    told, _ = open_demo(tmp_path / "demo.sqlite", today=dt.date(2026, 11, 1))
    assert told.today == dt.date(2026, 11, 1)


@pytest.mark.usefixtures("few_samples")
def test_opening_it_again_reads_nothing(tmp_path: Path) -> None:
    open_demo(tmp_path / "demo.sqlite")
    steps: list[ImportProgress] = []
    _, report = open_demo(tmp_path / "demo.sqlite", progress=steps.append)
    assert (report.stored, report.unchanged) == (0, 3)
    assert {step.outcome for step in steps} == {"unchanged"}


def test_it_lies_in_a_store_of_its_own_beside_the_riders(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", "/somewhere")
    monkeypatch.setenv("RIDEREADY_STORE", "/elsewhere/mine.sqlite")
    assert demo_path() == Path("/somewhere/rideready/demo.sqlite")


@pytest.mark.usefixtures("few_samples")
def test_a_store_that_somebody_uses_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    context = open_context(tmp_path / "mine.sqlite")
    import_paths(context, [write_ride(tmp_path)])
    with pytest.raises(BadInput) as problem:
        open_demo(context.store_path)
    assert str(problem.value) == (
        f"{context.store_path}: this is a store that somebody uses. Name another file for the demo."
    )
    assert not context.is_simulated
    assert len(list_sessions(context)) == 1


def test_a_missing_folder_of_samples_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(demo, "__file__", str(tmp_path / "rideready" / "services" / "demo.py"))
    with pytest.raises(StoreProblem, match="the sample sessions are missing"):
        samples_path()


def test_samples_are_found_inside_an_installed_package(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "rideready" / "sample_sessions").mkdir(parents=True)
    monkeypatch.setattr(demo, "__file__", str(tmp_path / "rideready" / "services" / "demo.py"))
    assert samples_path() == tmp_path / "rideready" / "sample_sessions"
