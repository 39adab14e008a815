"""What a rider does with files, sessions and numbers: drop, correct, delete and take back, correct the maximum."""

import base64
import io
import re
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from rideready.services.demo import samples_path
from tests.browser.conftest import Visit, _serving
from tests.dashboards.demo_store import an_empty_store

#: Two short samples with recoveries.
SAMPLES = sorted(samples_path().glob("*.fit"), key=lambda path: path.stat().st_size)[:2]

#: Hand files to the page as a drag from the desktop does; the bytes come along in base64.
DROP = """(files) => {
  const transfer = new DataTransfer();
  for (const [name, text] of files) {
    const bytes = Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
    transfer.items.add(new File([bytes], name));
  }
  for (const kind of ["dragover", "drop"]) {
    const told = { dataTransfer: transfer, bubbles: true, cancelable: true };
    document.body.dispatchEvent(new DragEvent(kind, told));
  }
}"""


@pytest.fixture
def own(tmp_path: Path, open_visit: Callable[..., Visit]) -> Iterator[Visit]:
    """Open a store of this test's own, empty; the console must be quiet at the end."""
    serving = _serving(an_empty_store(tmp_path / "own.sqlite"))
    visit = open_visit(next(serving))
    yield visit
    visit.page.close()
    next(serving, None)
    visit.assert_quiet()


def _drop(visit: Visit, files: list[tuple[str, bytes]]) -> None:
    told = [[name, base64.b64encode(data).decode()] for name, data in files]
    visit.page.evaluate(DROP, told)
    visit.page.get_by_text("Import finished").wait_for(timeout=60_000)  # analysis shares two cores


def test_three_files_are_dropped_one_of_them_broken_and_each_says_what_became_of_it(own: Visit) -> None:
    page = own.go("/rider")
    _drop(own, [*((path.name, path.read_bytes()) for path in SAMPLES), ("broken.fit", b"no recording")])
    lines = page.locator(".imports-lines li")
    assert lines.count() == 3
    assert [lines.nth(n).locator(".file-state").inner_text() for n in range(3)] == [
        "Stored",
        "Stored",
        "Not read",
    ]
    assert "No table of samples was found" in lines.nth(2).inner_text()
    assert "2 stored, 0 there already, 1 not read" in page.inner_text(".imports-sum")
    # The same file once more is known, and leads to the session it gave.
    _drop(own, [(SAMPLES[0].name, SAMPLES[0].read_bytes())])
    page.get_by_text("1 there already").wait_for()
    lines.nth(3).locator("a").click()
    page.wait_for_selector(".trace")
    assert re.search(r"/sessions/\d+$", page.url)


def test_a_folder_packed_as_a_zip_is_dropped_and_every_recording_in_it_told(own: Visit) -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for path in SAMPLES:
            archive.write(path, f"autumn/{path.name}")
        archive.writestr("autumn/broken.fit", b"no recording")
        archive.writestr("autumn/readme.txt", "Rides of an invented rider.")
    page = own.go("/sessions")
    _drop(own, [("autumn.zip", packed.getvalue())])
    line = page.locator(".imports-lines li")
    assert line.locator(".file-state").inner_text() == "Stored"
    assert line.locator("a").count() == 2
    said = line.inner_text()
    assert "2 stored" in said
    assert "broken.fit" in said
    page.wait_for_selector("main tbody tr:nth-child(2)")  # the list behind it is drawn anew


def test_a_session_is_corrected_deleted_and_brought_back(own: Visit) -> None:
    page = own.go("/sessions")
    _drop(own, [(SAMPLES[0].name, SAMPLES[0].read_bytes())])
    page.goto(f"{own.base}/sessions/1")
    page.fill("#session-rpe", "7")
    page.fill("#session-notes", "headwind")
    page.click("#session-save")
    page.get_by_text("Saved.").wait_for()
    page.reload()
    page.wait_for_selector("#session-rpe")
    assert (page.input_value("#session-rpe"), page.input_value("#session-notes")) == ("7", "headwind")
    assert "session RPE load" in page.inner_text("main")
    page.fill("#session-rpe", "")
    page.click("#session-save")
    page.get_by_text("Saved.").wait_for()
    page.reload()
    page.wait_for_selector("#session-rpe")
    assert (page.input_value("#session-rpe"), page.input_value("#session-notes")) == ("", "headwind")
    page.click("#session-delete")
    page.get_by_text("is out of every list").wait_for()
    page.click("text=Undo")
    page.wait_for_selector("#session-notes")
    assert page.input_value("#session-notes") == "headwind"


def test_a_corrected_maximum_changes_the_figures_and_keeps_the_old_value(own: Visit) -> None:
    page = own.go("/rider")
    _drop(own, [(path.name, path.read_bytes()) for path in SAMPLES])
    page.goto(f"{own.base}/rider")
    page.fill("#rider-max", "181")
    page.click("#rider-save")
    page.get_by_text("worked out again.").wait_for()
    page.fill("#rider-max", "165")
    page.click("#rider-save")
    table = page.locator(".change-table", has_text="165")
    table.wait_for()
    maximum, vigorous = (table.locator("tr").nth(n).locator("td") for n in (1, 2))
    assert [cell.inner_text() for cell in maximum.all()] == ["181", "165"]
    before, now = (float(cell.inner_text()) for cell in vigorous.all())
    assert now > before  # the same pulse is a larger share of a lower maximum
    page.reload()
    page.click("text=Every value, with its day")
    entered = page.locator("details tbody tr", has_text="maximum pulse").all_inner_texts()
    assert [row.split("\t")[1] for row in entered] == ["165", "181"]


def test_yes_to_a_question_sends_to_a_doctor_and_names_no_illness(own: Visit) -> None:
    page = own.go("/rider")
    page.get_by_text("felt faint or dizzy").click()
    page.get_by_text("See a doctor before you train hard").wait_for()
    said = page.inner_text("#rider-advice")
    assert "PAR-Q+" in said
    page.get_by_text("felt faint or dizzy").click()
    page.get_by_text("None of these is so").click()
    page.get_by_text("None of these speaks against beginning").wait_for()


def test_miles_and_another_order_of_dates_are_kept(own: Visit) -> None:
    page = own.go("/rider")
    page.click("#rider-units")
    page.get_by_role("option", name="miles, ft").click()
    page.get_by_text("distances as 6.2 miles").wait_for()
    page.click("#rider-dates")
    page.get_by_role("option", name="2026-09-12").click()
    page.get_by_text("dates as 2026-11-15").wait_for()
    _drop(own, [(SAMPLES[0].name, SAMPLES[0].read_bytes())])
    page.goto(f"{own.base}/sessions")
    page.wait_for_selector("main tbody tr")
    assert re.match(r"2026-\d\d-\d\d, \d\d:\d\d", page.inner_text("main tbody th"))


def test_two_riders_share_a_store_and_the_browser_shows_the_one_chosen(own: Visit) -> None:
    page = own.go("/rider")
    page.fill("#rider-new-name", "Tam")
    page.click("#rider-add")
    page.get_by_text("Tam is added").wait_for()
    page.reload()
    page.click("text=Show Tam")
    page.wait_for_url(f"{own.base}/")
    page.goto(f"{own.base}/rider")
    page.get_by_role("heading", name="Tam").wait_for()
