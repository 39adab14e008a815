"""A session's page says what there is, and why something is not there."""

import datetime as dt
from typing import Any

import numpy as np
import pytest

from dashboards.components.session_edit import written_too
from dashboards.components.session_parts import class_minutes, flag_summary, session_measures, session_name
from dashboards.components.today_log import written
from dashboards.pages.session import closer, shown_span
from dashboards.tables import bands
from rideready.intensity import IntensityClass
from rideready.model.clean import Flag
from rideready.services.pairing import APART
from rideready.services.twice import Twice
from rideready.store.day_log import Book, DayLine
from rideready.store.diary import LogEntry
from tests.dashboards.rows import a_recovery_row, a_session_row, a_session_view, a_signal
from tests.dashboards.test_app import parts, texts
from tests.support.stores import a_recovery


@pytest.mark.parametrize(
    ("moved", "span"),
    [
        ({"xaxis.range[0]": 12, "xaxis.range[1]": 16.5}, (12.0, 16.5)),
        ({"xaxis.range": [0, 40]}, (0.0, 40.0)),
        ({"autosize": True}, None),
        ({"dragmode": "zoom"}, None),
        (None, None),
    ],
)
def test_only_a_change_of_the_time_axis_is_a_look_closer(
    moved: dict[str, Any] | None, span: tuple[float, float] | None
) -> None:
    assert shown_span(moved) == span


def test_looking_closer_sends_only_the_stretch_and_its_axis() -> None:
    view = a_session_view(
        signal=a_signal([Flag.OK] * 600), recoveries=[a_recovery_row(a_recovery(window_s=60.0))]
    )
    sent = {
        tuple(step["location"]): step["params"]["value"]
        for step in closer(view, (4.0, 6.0)).to_plotly_json()["operations"]
    }
    np.testing.assert_allclose(sent["data", 0, "x"] * 60, np.arange(240.0, 361.0))
    # The effort ended at 300 s and the fall was watched for a minute.
    assert np.isfinite(sent["data", 1, "y"]).sum() == 61
    assert sent["layout", "xaxis", "range"] == [4.0, 6.0]


def test_minutes_stand_hardest_class_first_with_their_bounds() -> None:
    view = a_session_view()
    said = texts(class_minutes(view, bands(view)))
    assert "near-maximal to maximal from 173 0.2" in said  # 0.25 rounds to the even tenth
    assert "vigorous 132 to 173 3.5" in said
    assert "very light under 92 1.0" in said
    assert said.index("vigorous") < said.index("moderate") < said.index("very light")


def test_without_a_maximum_the_page_says_what_the_classes_need() -> None:
    view = a_session_view(class_bounds_bpm=[], minutes_by_class={})
    said = texts(class_minutes(view, bands(view)))
    assert "need your maximum pulse, or your age" in said
    assert "rideready rider" in said


def test_classes_on_a_predicted_maximum_come_with_a_caution() -> None:
    view = a_session_view(row=a_session_row(maximum_is_predicted=True))
    assert "predicted from age" in texts(class_minutes(view, bands(view)))
    measured = a_session_view()
    assert "predicted from age" not in texts(class_minutes(measured, bands(measured)))


def test_a_class_without_a_second_draws_no_bar() -> None:
    view = a_session_view(minutes_by_class=dict.fromkeys(IntensityClass, 0.0))
    bars = [
        part
        for block in class_minutes(view, bands(view))
        for part in block._traverse()  # type: ignore[no-untyped-call]
        if "class-bar" in str(getattr(part, "className", ""))
    ]
    assert [bar.style["display"] for bar in bars] == ["none"] * 5


def test_a_session_without_heart_rate_shows_its_duration_and_no_row_of_dashes() -> None:
    view = a_session_view(row=a_session_row(has_heart_rate=False))
    assert [(measure.name, measure.value) for measure in session_measures(view)] == [("duration", "10 min")]


def test_a_session_without_a_date_goes_by_its_number() -> None:
    assert session_name(a_session_row(start_utc=None)) == "Session 12, no date"
    assert session_name(a_session_row()) == "1 Sep 2026, 19:30"


def test_a_load_that_cannot_be_had_says_what_it_needs() -> None:
    said = {measure.name: measure for measure in session_measures(a_session_view(trimp=None))}
    load = said["training impulse (TRIMP)"]
    assert load.value == "\N{EN DASH}"
    assert "maximum and resting pulse" in load.note


def test_a_logged_effort_gives_its_session_rpe_load() -> None:
    names = [measure.name for measure in session_measures(a_session_view())]
    logged = {
        measure.name: measure.value for measure in session_measures(a_session_view(session_rpe_load=420.0))
    }
    assert "session RPE load" not in names
    assert logged["session RPE load"] == "420"


def test_what_was_left_out_is_said_with_the_share_that_was_used() -> None:
    said = texts(flag_summary(a_session_view(flagged=("1.7 min stuck on one value.",))))
    assert "98 %" in said
    assert "1.7 min stuck on one value." in said
    assert "every second of the pulse signal was trusted" in texts(flag_summary(a_session_view()))


def test_a_session_that_was_written_down_as_well_says_what_counts_and_offers_the_other_way() -> None:
    line = LogEntry(dt.date(2026, 9, 1), "cardio", 30.0, 4.0, number=5)
    once = texts(written_too(a_session_view(twice=Twice(line, 12, is_apart=False))))
    both = texts(written_too(a_session_view(twice=Twice(line, 12, is_apart=True))))
    assert "counts in its place" in once
    assert "Count both" in once
    assert "both count" in both
    assert "Count it once" in both
    assert written_too(a_session_view()) == []


def test_the_page_of_the_day_leads_from_a_line_to_the_recording_that_counts() -> None:
    entry = LogEntry(dt.date(2026, 9, 1), "cardio", 30.0, 4.0, number=5)
    line = DayLine(Book.DIARY, 5, "cardio", 30.0, 4.0, tags=(APART,))
    listed = written([line], [Twice(entry, 12, is_apart=False)])
    links = [part.href for part in parts(listed) if type(part).__name__ == "Link"]
    assert links == ["/sessions/12"]
    assert "counted apart" not in texts(listed)
    assert "counts in its place" not in texts(written([line], []))
