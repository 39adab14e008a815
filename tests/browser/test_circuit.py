"""What a rider does with a circuit: swap, follow to the end, write it down; and the beat of a step test."""

import re
from collections.abc import Callable, Iterator
from itertools import pairwise
from typing import Any

import pytest

from rideready.model.exercise import Equipment
from rideready.services.context import Context
from rideready.services.fieldtests import list_tests
from rideready.services.riders import update_rider
from rideready.services.training import update_training
from rideready.store.circuits import circuits_done
from tests.browser.conftest import Visit, _serving
from tests.dashboards.demo_store import an_empty_store

#: The smallest circuit: two rounds of four exercises, straight from cardio, rest by the clock.
TINY = "top=2&exercises=4&start=from-cardio&rest=clock"
NAMES = ".stations h3"


@pytest.fixture(scope="module")
def rider(tmp_path_factory: pytest.TempPathFactory) -> Context:
    context = an_empty_store(tmp_path_factory.mktemp("circuit") / "rider.sqlite")
    update_rider(context, max_hr_bpm=181.0, resting_hr_bpm=54.0, age_years=41.0)
    update_training(context, equipment=(Equipment.KETTLEBELL, Equipment.BAND, Equipment.BOX, Equipment.MAT))
    return context


@pytest.fixture(scope="module")
def base(rider: Context) -> Iterator[str]:
    with_server = _serving(rider)
    yield next(with_server)
    next(with_server, None)


@pytest.fixture
def reader(open_visit: Callable[..., Visit], base: str) -> Iterator[Visit]:
    """Open a phone in the garage; the console must be empty at the end."""
    visit = open_visit(base, size="phone")
    yield visit
    visit.page.close()
    visit.assert_quiet()


def test_one_exercise_is_swapped_and_the_others_stay_through_back_and_reload(reader: Visit) -> None:
    page = reader.go("/circuit", until=NAMES)
    before = page.locator(NAMES).all_inner_texts()
    page.get_by_role("link", name=f"Swap {before[1].split(' each side')[0]}").click()
    page.wait_for_selector(".swaps")
    after = page.locator(NAMES).all_inner_texts()
    assert before[1] not in after
    assert len(set(after) & set(before)) == len(before) - 1
    assert "swap=" in page.url
    page.reload()
    page.wait_for_selector(".swaps")
    assert page.locator(NAMES).all_inner_texts() == after
    page.go_back()
    page.wait_for_selector(".swaps", state="detached")
    assert page.locator(NAMES).all_inner_texts() == before


def test_an_option_moves_the_address_and_the_circuit(reader: Visit) -> None:
    page = reader.go("/circuit?top=5", until=NAMES)
    page.click(".circuit-options > summary")
    page.locator("#circuit-number label", has_text="4").click()
    page.wait_for_selector(".stations > li:nth-child(4):last-child")
    assert page.url.endswith("/circuit?top=5&exercises=4")
    assert page.locator(".ladder tbody tr").count() == 5


@pytest.mark.parametrize("path", ["/circuit?top=20&exercises=8", "/tests/harvard"])
def test_it_prints_on_one_sheet_of_a4(reader: Visit, path: str) -> None:
    page = reader.go(path, until="main h2")
    printed = page.pdf(prefer_css_page_size=True)
    assert re.findall(rb"/Count (\d+)", printed) == [b"1"]
    assert re.search(rb"/MediaBox \[0 0 59\d\.\d+ 84\d\.\d+\]", printed)  # 210 by 297 mm in points


def _move_on(page: Any) -> None:
    """Press the space bar once the tap before it can no longer be the same one."""
    page.wait_for_timeout(320)
    page.locator("main").focus()
    page.keyboard.press(" ")


def test_a_circuit_is_followed_to_its_end_through_a_reload_and_written_down(
    reader: Visit, rider: Context
) -> None:
    page = reader.go(f"/circuit/follow?{TINY}&day={rider.today}", until=".follow-button")
    page.get_by_role("button", name="Start with round 1").click()
    page.wait_for_selector(".follow-done")
    asked = len(reader.requests)
    for _ in range(2):
        _move_on(page)
    third = page.inner_text("#follow h1")
    assert page.inner_text(".follow-where") == "Round 1 of 2, exercise 3 of 4"
    assert len(reader.requests) == asked  # the browser follows alone
    page.reload()
    page.wait_for_selector(".follow-done")
    assert page.inner_text("#follow h1") == third
    for _ in range(2):
        _move_on(page)
    assert page.inner_text("#follow h1") == "Rest"
    assert page.inner_text(".follow-big") in {"0:45", "0:44"}
    while page.locator(".follow-done").count():
        _move_on(page)
    assert page.inner_text("#follow h1") == "All rounds done"
    page.wait_for_timeout(320)
    page.get_by_role("button", name="RPE 6").click()
    page.wait_for_selector(".follow-logged")
    assert page.inner_text(".follow-logged") == "Written down: 2 of 2 rounds, RPE 6."
    page.reload()
    page.wait_for_selector(".follow-logged")  # and is not offered again
    with rider.store.reading() as connection:
        (log,) = circuits_done(connection, rider.rider_id)
    assert (log.top_count, log.rounds_done, log.rpe, len(log.exercises)) == (2, 2, 6.0, 4)
    assert log.date == rider.today


def test_the_beats_of_a_step_test_are_laid_down_evenly(reader: Visit) -> None:
    page = reader.go("/tests/ymca", until="#metronome[data-state=ready]")
    page.evaluate(
        "window.beats = []; document.getElementById('metronome')"
        ".addEventListener('beat', (e) => window.beats.push([e.detail.at_s, e.detail.is_first]))"
    )
    page.get_by_role("button", name="Start with the beat").click()
    while page.evaluate("window.beats.length") < 6:
        page.wait_for_timeout(100)
    page.get_by_role("button", name="Stop").click()
    beats = page.evaluate("window.beats")
    gaps = [later[0] - sooner[0] for sooner, later in pairwise(beats)]
    # 96 ticks a minute, 24 cycles of four (Golding 2000); the clock counts in fractions of a millisecond.
    assert gaps == pytest.approx([60 / 96] * len(gaps), abs=1e-6)
    assert [first for _, first in beats[:6]] == [True, False, False, False, True, False]
    assert page.inner_text("#metronome [data-part=stepped]").startswith("You stepped for 0:0")


def test_a_count_is_scored_beside_its_band_and_kept(reader: Visit, rider: Context) -> None:
    page = reader.go("/tests/queens-college", until="#fieldtest-score")
    page.click("#fieldtest-score")
    page.wait_for_selector(".missing")
    page.fill(".counts input", "34")
    page.click("#fieldtest-score")
    page.wait_for_selector("#fieldtest-history tbody tr")
    assert "136" in page.inner_text("#fieldtest-result")  # 34 beats in 15 s
    assert len(list_tests(rider)) == 1


#: Address, and what tells that it is there.
PLACES = {
    "circuit": ("/circuit?top=20&exercises=8", NAMES),
    "follow": (f"/circuit/follow?{TINY}", ".follow-button"),
    "harvard": ("/tests/harvard", "#metronome[data-state=ready]"),
}


@pytest.mark.parametrize("place", PLACES)
def test_whatever_is_pressed_in_the_garage_is_large_enough_for_a_thumb(reader: Visit, place: str) -> None:
    path, until = PLACES[place]
    page = reader.go(path, until=until)
    page.evaluate("document.querySelectorAll('main details').forEach((d) => { d.open = true; })")
    small = page.evaluate(
        """Array.from(document.querySelectorAll('main button, main a.press, main summary, main .swap'))
             .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 43.5)
             .map((e) => e.outerHTML.slice(0, 120))"""
    )
    assert small == []
