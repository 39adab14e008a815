"""What is shared holds a plan and nothing private, and a re-sent one updates what was sent."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import icalendar
import pytest

from rideready.errors import BadInput
from rideready.model.exercise import Equipment, Level
from rideready.model.rider import Rider
from rideready.services.context import Context
from rideready.services.diary import write_entry
from rideready.services.partner import own_progress, progress_file_text
from rideready.services.planning import season
from rideready.services.sharing import (
    Recipient,
    calendar,
    handout,
    own_plan,
    plan_file_text,
    preview,
    share_plan,
    usual_zone,
)
from rideready.services.training import update_training
from tests.services.partners import MARKERS, WISHES, leaks, riders


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Context, Context]]:
    giver, partner = riders(tmp_path_factory.mktemp("riders"))
    yield giver, partner
    giver.store.close()
    partner.store.close()


def test_the_markers_are_in_the_store(both: tuple[Context, Context]) -> None:
    giver, _ = both
    with giver.store.reading() as connection:
        dump = "\n".join(connection.connection.iterdump())
    for kind in ("serial", "note", "name"):
        assert all(marker in dump for marker in MARKERS[kind])
    assert all(marker in dump for marker in ("186.5", "52.25", "fever", "MARKHEALTH", "MARKFOLDER"))


def test_no_shared_file_holds_anything_private(both: tuple[Context, Context]) -> None:
    giver, _ = both
    shared: dict[str, str | bytes] = {
        "plan": plan_file_text(share_plan(giver)),
        "handout": handout(giver, Recipient()),
        "handout for a beginner": handout(giver, Recipient("Tam", level=Level.BEGINNER)),
        "calendar": calendar(giver, Recipient(), WISHES),
        "progress": progress_file_text(own_progress(giver)),
    }
    # Every handout warns of fever, whoever it is from, and some exercises are named after the shoulder.
    words = {"fever", "shoulder"}
    found = {name: leaks(content) for name, content in shared.items()}
    assert {name: set(one) - words for name, one in found.items()} == {key: set() for key in shared}
    assert found["plan"] == found["progress"] == []


def test_the_giver_being_ill_or_sore_changes_nothing_in_what_is_shared(
    both: tuple[Context, Context],
) -> None:
    giver, _ = both
    plan = own_plan(giver)
    update_training(giver, avoid_joints=())
    assert own_plan(giver) == plan
    assert plan.circuits


def test_pulse_numbers_of_the_partner_stand_in_the_handout_and_none_of_the_giver(
    both: tuple[Context, Context],
) -> None:
    giver, _ = both
    html = handout(giver, Recipient("Tam", rider=Rider(max_hr_bpm=191, resting_hr_bpm=67)))
    assert "117 to 141 bpm" in html  # Karvonen: 67 + 0.4 * 124 = 116.6, 67 + 0.6 * 124 = 141.4
    assert leaks(html.replace("bpm", ""), besides=("health",)) == []


def test_the_name_goes_along_only_if_asked(both: tuple[Context, Context]) -> None:
    giver, _ = both
    assert "Runa" not in plan_file_text(share_plan(giver))
    assert '"giver": "Runa Vell"' in plan_file_text(share_plan(giver, giver="Runa Vell"))


@pytest.mark.parametrize("name", ["<script>", "=1+1", "../x", "x" * 61])
def test_a_name_that_could_do_harm_is_not_shared(both: tuple[Context, Context], name: str) -> None:
    giver, _ = both
    with pytest.raises(BadInput, match="giver"):
        share_plan(giver, giver=name)


def test_an_unchanged_plan_keeps_its_revision_and_a_changed_one_gets_the_next(tmp_path: Path) -> None:
    giver, partner = riders(tmp_path)
    first, again = share_plan(giver), share_plan(giver)
    update_training(giver, minutes_by_weekday=(30, 0, 30, 0, 30, 30, 0))
    changed = share_plan(giver)
    giver.store.close()
    partner.store.close()
    assert plan_file_text(first) == plan_file_text(again)
    assert (first.revision, changed.revision) == (1, 2)
    assert first.plan_id == changed.plan_id


def test_a_preview_keeps_nothing(tmp_path: Path) -> None:
    giver, partner = riders(tmp_path)
    preview(giver, Recipient())
    before = own_plan(giver).plan_id
    assert share_plan(giver).plan_id != before  # nothing was kept, so the plan had no number yet
    giver.store.close()
    partner.store.close()


def test_a_re_sent_calendar_updates_takes_back_and_counts_up(tmp_path: Path) -> None:
    giver, partner = riders(tmp_path)
    first = icalendar.Calendar.from_ical(calendar(giver, Recipient(), WISHES)).walk("VEVENT")
    same = icalendar.Calendar.from_ical(calendar(giver, Recipient(), WISHES)).walk("VEVENT")
    update_training(giver, minutes_by_weekday=(0, 45, 0, 0, 0, 45, 0))
    later = icalendar.Calendar.from_ical(calendar(giver, Recipient(), WISHES)).walk("VEVENT")
    giver.store.close()
    partner.store.close()
    assert {event["SEQUENCE"] for event in first} == {event["SEQUENCE"] for event in same} == {0}
    assert {event["SEQUENCE"] for event in later} == {1}
    uids = [str(event["UID"]) for event in later]
    assert set(uids) == {str(event["UID"]) for event in first} | set(uids)
    assert len(uids) == len(set(uids))
    status = {str(event["UID"]): str(event["STATUS"]) for event in later}
    assert {"CANCELLED", "CONFIRMED"} == set(status.values())


def test_the_zone_is_that_of_the_newest_recording(both: tuple[Context, Context]) -> None:
    giver, partner = both
    assert (usual_zone(giver), usual_zone(partner)) == ("Europe/Oslo", None)


def test_a_handout_without_anything_about_the_partner_says_whose_minutes_they_are(
    both: tuple[Context, Context],
) -> None:
    giver, _ = both
    assert "The minutes are those of whoever gave this plan" in preview(giver, Recipient())
    alike = Recipient(level=Level.BEGINNER, equipment=(Equipment.MAT,))
    html = preview(giver, alike)
    assert "The minutes are those of whoever gave this plan" not in html
    assert "Scaled to what you are used to" in html


def test_without_an_opening_window_nothing_is_shared(both: tuple[Context, Context]) -> None:
    _, partner = both
    with pytest.raises(BadInput, match="opening window is not known"):
        share_plan(replace(partner))


def test_a_fever_of_today_does_not_show_in_the_plan(tmp_path: Path) -> None:
    giver, partner = riders(tmp_path)
    before = share_plan(giver)
    write_entry(giver, "illness", tags=("fever",))
    after = share_plan(giver)
    held_back = season(giver).weeks[0].targets.moderate_equivalent_min
    giver.store.close()
    partner.store.close()
    assert after == before
    assert held_back < before.weeks[0].targets.moderate_equivalent_min
