"""Make README's pictures from the demo: ``python -m tests.browser.screenshots`` from the project's folder.

``--all FOLDER`` writes every page instead, at both sizes and in both themes, to be looked at.
"""

import argparse
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import waitress
from playwright.sync_api import sync_playwright

from dashboards.app import create_app
from rideready.services.demo import open_demo
from tests.browser.conftest import FLAGS, SIZES, chromium_path

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext

HERE = Path(__file__).parent
#: README's pictures: file, address and size.
PICTURES = (
    ("recovery-page.png", "/recovery", "laptop"),
    ("week-page.png", "/week", "laptop"),
    ("today-phone.png", "/", "phone"),
)
PAGES = {
    "today": "/",
    "week": "/week",
    "recovery": "/recovery",
    "sessions": "/sessions",
    "session": "/sessions/12",
    "circuit": "/circuit",
    "follow": "/circuit/follow",
    "plan": "/plan",
    "tests": "/tests",
    "harvard": "/tests/harvard",
    "ymca": "/tests/ymca",
    "queens-college": "/tests/queens-college",
    "bursts": "/tests/bursts",
    "ride": "/tests/ride",
    "partner": "/partner",
    "rider": "/rider",
    "start-rider": "/start/rider",
    "start-files": "/start/files",
    "start-window": "/start/window",
}


@contextmanager
def demo_served() -> Iterator[str]:
    """Serve the demo and say where."""
    with tempfile.TemporaryDirectory() as folder:
        ctx, _ = open_demo(Path(folder) / "demo.sqlite")
        server = waitress.create_server(create_app(ctx).server, host="127.0.0.1", port=0, threads=16)
        threading.Thread(target=server.run, daemon=True).start()
        yield f"http://127.0.0.1:{server.effective_port}"
        server.close()


def take(reader: "BrowserContext", address: str, path: Path, *, whole: bool) -> None:
    """Open an address and write its picture: of the whole page, or of what is seen first."""
    page = reader.new_page()
    page.goto(address)
    page.wait_for_selector("main h1")
    page.wait_for_load_state("networkidle")
    page.wait_for_timeout(500)  # a figure is drawn after the last answer has come
    page.screenshot(path=path, full_page=whole)
    page.close()


def reader_of(browser: "Browser", *, size: str, theme: str) -> "BrowserContext":
    """Return a reader with one screen and one theme; its pages share what was loaded already."""
    width, height = SIZES[size]
    return browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if theme == "dark" else "light",
        reduced_motion="reduce",
        locale="en-GB",
    )


def main() -> None:
    """Write README's pictures, or every page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--all", type=Path, metavar="FOLDER", help="write every page into this folder instead"
    )
    folder = parser.parse_args().all
    with demo_served() as base, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=FLAGS)
        if folder is None:
            for name, place, size in PICTURES:
                reader = reader_of(browser, size=size, theme="light")
                take(reader, base + place, HERE / name, whole=False)
        else:
            folder.mkdir(parents=True, exist_ok=True)
            for size in SIZES:
                for theme in ("light", "dark"):
                    reader = reader_of(browser, size=size, theme=theme)
                    for name, place in PAGES.items():
                        take(reader, base + place, folder / f"{name}-{size}-{theme}.png", whole=True)
        browser.close()


if __name__ == "__main__":
    main()
