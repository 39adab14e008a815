"""Only what changed is worked out again; the version of the analysis in the store decides."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from rideready.model.session import Session
from rideready.services import analysis
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.riders import set_rider
from rideready.signal.clean import clean
from tests.support.stores import write_ride


@pytest.fixture
def ctx(tmp_path: Path) -> Iterator[Context]:
    """Two rides, analysed."""
    context = open_context(tmp_path / "store.sqlite", rider="Runa")
    import_paths(context, [write_ride(tmp_path, days=days) for days in (0, 1)])
    yield context
    context.store.close()


@pytest.fixture
def analysed(monkeypatch: pytest.MonkeyPatch) -> list[Session]:
    """Return the sessions that are analysed from here on."""
    seen: list[Session] = []
    work = clean

    def look(session: Session) -> object:
        seen.append(session)
        return work(session)

    monkeypatch.setattr(analysis, "clean", look)
    return seen


def test_what_is_up_to_date_is_left_alone(ctx: Context, analysed: list[Session]) -> None:
    assert analysis.refresh(ctx) == 0
    assert analysed == []


def test_known_files_are_not_analysed_again(ctx: Context, tmp_path: Path, analysed: list[Session]) -> None:
    assert import_paths(ctx, [tmp_path]).unchanged == 2
    assert analysed == []


def test_another_version_of_the_analysis_works_everything_out_again_once(
    ctx: Context, analysed: list[Session], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(analysis, "ANALYSIS_VERSION", analysis.ANALYSIS_VERSION + 1)

    assert analysis.refresh(ctx) == 2
    assert analysis.refresh(ctx) == 0
    assert len(analysed) == 2


def test_other_numbers_of_the_rider_work_everything_out_again_once(
    ctx: Context, analysed: list[Session]
) -> None:
    set_rider(ctx, max_hr_bpm=184.0)

    assert (analysis.refresh(ctx), analysis.refresh(ctx)) == (2, 0)
    assert len(analysed) == 2


def test_only_a_session_that_was_left_behind_is_worked_out_again(
    ctx: Context, analysed: list[Session], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    with monkeypatch.context() as patch:
        patch.setattr(analysis, "ANALYSIS_VERSION", 0)
        import_paths(ctx, [write_ride(tmp_path, days=2)])
    analysed.clear()

    assert analysis.refresh(ctx) == 1
    assert len(analysed) == 1
