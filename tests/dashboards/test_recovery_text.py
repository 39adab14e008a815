"""Each figure of a recovery is said with its unit and uncertainty, or with why there is none."""

from typing import Any

import pytest

from dashboards.components.measures import Measure
from dashboards.components.recovery_text import drop_cell, headline, lesser, settle_cell, tau_cell
from rideready.model.recovery import CutBy
from tests.support.stores import a_recovery


def test_the_large_figures_carry_unit_and_interval() -> None:
    # Standard error 1.6 bpm: 95 % reaches 3.1 bpm to either side.
    assert headline(a_recovery(), settle_bpm=132.4) == [
        Measure("drop in the first 60 s", "31", "bpm", "± 3", "95 % interval"),
        Measure("time constant", "62", "s", "51 to 80", "95 % interval"),
        Measure("settle time", "95", "s", "", "down to 132 bpm"),
    ]


def test_what_could_not_be_measured_is_said_and_never_zero() -> None:
    nothing = a_recovery(hrr60_bpm=None, hrr60_se_bpm=None, tau_s=None, settle_s=None)
    assert [(measure.value, measure.note) for measure in headline(nothing, settle_bpm=132.0)] == [
        ("\N{EN DASH}", "not measurable")
    ] * 3
    assert [drop_cell(nothing), tau_cell(nothing), settle_cell(nothing)] == ["\N{EN DASH}"] * 3


def test_a_settle_time_without_a_known_reserve_says_what_it_needs() -> None:
    settle = headline(a_recovery(settle_s=None), settle_bpm=None)[2]
    assert settle.note == "needs your maximum and resting pulse"


@pytest.mark.parametrize(
    ("changes", "value", "note", "cell"),
    [
        ({"settle_is_censored": True}, "> 95", "down to 132 bpm, not reached while watched", "> 95 s"),
        (
            {"settle_is_extrapolated": True},
            "95",
            "down to 132 bpm, beyond what was watched; read off the fitted curve",
            "about 95 s",
        ),
    ],
)
def test_a_settle_time_that_was_not_watched_says_so(
    changes: dict[str, Any], value: str, note: str, cell: str
) -> None:
    recovery = a_recovery(**changes)
    settle = headline(recovery, settle_bpm=132.0)[2]
    assert (settle.value, settle.note) == (value, note)
    assert settle_cell(recovery) == cell


def test_a_drop_without_a_standard_error_says_that_its_uncertainty_is_not_known() -> None:
    recovery = a_recovery(hrr60_se_bpm=None)
    assert headline(recovery, settle_bpm=None)[0].note == "uncertainty not known"
    assert drop_cell(recovery) == "31 bpm"


def test_the_circumstances_name_start_window_and_recorder() -> None:
    said = {m.name: m for m in lesser(a_recovery(cut_by=CutBy.NEXT_EFFORT), device=None)}
    assert said["pulse at the end of the effort"] == Measure(
        "pulse at the end of the effort", "165", "bpm", note="87 % of reserve"
    )
    assert said["watched for"].value == "180 s, ended by next effort"
    assert said["recorder"].value == "not named in the file"


def test_cells_are_as_short_as_they_can_be_with_unit_and_interval() -> None:
    assert [drop_cell(a_recovery()), tau_cell(a_recovery()), settle_cell(a_recovery())] == [
        "31 ± 3 bpm",
        "62 s (51 to 80)",
        "95 s",
    ]
