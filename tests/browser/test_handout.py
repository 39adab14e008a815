"""The handout as a partner gets it: on a phone without scripts, on paper, and made on the partner's page."""

import datetime as dt
import json
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from rideready.model.rider import Rider
from rideready.services.context import Context
from rideready.services.partner import adopted
from rideready.services.planning import set_window
from rideready.services.training import get_training
from rideready.share.fit_plan import FittedPlan, fit_plan
from rideready.share.handout import handout_html
from rideready.share.plan_file import plan_text
from tests.browser.conftest import Visit, _serving
from tests.dashboards.demo_store import an_empty_store
from tests.share.plans import MONDAY, a_beginner, a_fitted_plan, a_plan

if TYPE_CHECKING:
    from playwright.sync_api import Browser, FilePayload


def _longest() -> FittedPlan:
    """Seventeen weeks, three circuits in which everything is replaced, a session on every day."""
    plan = replace(a_plan(), circuits=(*a_plan().circuits, a_plan().circuits[0]))
    rider = Rider(max_hr_bpm=191, resting_hr_bpm=67)
    adopter = a_beginner(
        "Somebody With A Rather Long Name", rider=rider, today=dt.date(2026, 8, 24), usual_min=300.0
    )
    return fit_plan(plan, adopter)


@pytest.fixture(params=["short", "long"])
def handout(request: pytest.FixtureRequest, tmp_path: Path) -> Path:
    fitted = a_fitted_plan() if request.param == "short" else _longest()
    path = tmp_path / "handout.html"
    path.write_text(handout_html(fitted), encoding="utf-8")
    return path


def test_it_reads_on_a_phone_without_scripts_and_prints_on_two_sheets(
    chromium: "Browser", handout: Path
) -> None:
    reader = chromium.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    page = reader.new_page()
    complaints: list[str] = []
    requests: list[str] = []
    page.on("console", lambda message: complaints.append(message.text))
    page.on("request", lambda request: requests.append(request.url))
    page.goto(handout.as_uri())
    boxes = [box for one in page.locator("body *").all()[:400] if (box := one.bounding_box()) is not None]
    widest = max(box["x"] + box["width"] for box in boxes)
    paper = page.pdf(prefer_css_page_size=True)
    colour = page.locator(".stop").first.evaluate("e => getComputedStyle(e).borderLeftWidth")
    reader.close()
    assert complaints == []  # the policy blocks nothing, its own style least of all
    assert requests == [handout.as_uri()]
    assert widest <= 374.5  # the margin of 16 px on the right stays free
    assert colour == "4px"
    assert len(re.findall(rb"/Type\s*/Page\b", paper)) == 2
    assert {
        tuple(map(round, map(float, box.split()))) for box in re.findall(rb"/MediaBox\s*\[([^\]]+)\]", paper)
    } == {
        (0, 0, 595, 842)  # A4 in points: 210 x 297 mm, ISO 216
    }


def _uploaded() -> "FilePayload":
    return {"name": "plan.json", "mimeType": "application/json", "buffer": plan_text(a_plan()).encode()}


@pytest.fixture
def ready(tmp_path: Path) -> Iterator[tuple[Context, str]]:
    """Serve a store with an opening window."""
    context = replace(an_empty_store(tmp_path / "partner.sqlite"), today=MONDAY)
    set_window(context, earliest=dt.date(2026, 11, 20), likely=dt.date(2026, 11, 28))
    with_server = _serving(context)
    yield context, next(with_server)
    next(with_server, None)


def test_a_plan_is_previewed_saved_and_another_adopted(
    open_visit: Callable[..., Visit], ready: tuple[Context, str]
) -> None:
    context, base = ready
    visit = open_visit(base, size="phone")
    page = visit.go("/partner", until="#partner-preview")
    page.fill("#partner-name", "Tam")
    page.fill("#partner-max", "191")
    page.fill("#partner-rest", "67")
    page.click("#partner-preview")
    preview = page.frame_locator("iframe.partner-preview")
    preview.locator("h1").wait_for()
    assert preview.locator("h1").inner_text() == "Ready for opening day: Tam"
    assert "117 to 141 bpm" in preview.locator("body").inner_text()
    with page.expect_download() as saved:
        page.click("#partner-save-plan")
    kept: dict[str, Any] = json.loads(Path(saved.value.path()).read_text(encoding="utf-8"))
    assert kept["window"]["likely"] == "2026-11-28"
    page.set_input_files("#partner-plan-file input", files=[_uploaded()])
    page.wait_for_selector("#partner-adopted table")
    assert "Adopted the plan." in page.inner_text("#partner-adopted")
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    page.close()
    found = adopted(context)
    assert found is not None
    assert found.plan == a_plan()
    assert get_training(context).window == a_plan().window
    visit.assert_quiet()
