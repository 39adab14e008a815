"""A real Chromium, the dashboard on a port of its own, and a page that is listened to."""

import os
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
import waitress
from waitress import wasyncore

from dashboards.app import create_app
from dashboards.guard import guard
from rideready.services.context import Context
from tests.dashboards.demo_store import a_demo_store, an_empty_store

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page

HINT = "no Chromium: sudo apt-get install -y chromium (or set RIDEREADY_CHROMIUM to one)"

#: Quiet start without a graphics card; the sandbox needs rights a container does not give.
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]

#: A laptop and a phone, in CSS pixels.
SIZES = {"laptop": (1280, 800), "phone": (390, 844)}

HERE = Path(__file__).resolve().parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if item.path.is_relative_to(HERE):
            item.add_marker(pytest.mark.browser)


def chromium_path() -> str | None:
    """Where a Chromium is; an asked one that is not there is none."""
    asked = os.environ.get("RIDEREADY_CHROMIUM")
    if asked is not None:
        return asked if os.access(asked, os.X_OK) else None
    names = ("chromium", "chromium-browser", "google-chrome")
    return next((path for name in names if (path := shutil.which(name))), None)


def wait_until(page: "Page", condition: str) -> None:
    """Wait for a condition; the page's policy lets no script be made of text inside it."""
    deadline = time.monotonic() + 20
    while not page.evaluate(condition):
        assert time.monotonic() < deadline, condition
        page.wait_for_timeout(30)


@pytest.fixture(scope="session")
def chromium() -> Iterator["Browser"]:
    path = chromium_path()
    if path is None:
        if os.environ.get("CI"):
            pytest.fail(HINT)  # where everything must be tested, nothing is skipped in silence
        pytest.skip(HINT)
    sync_api = pytest.importorskip("playwright.sync_api")
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=FLAGS)
        yield browser
        browser.close()


@dataclass  # without slots: the browser's library hangs a note on whoever listens
class Visit:
    """A page that is open, and everything it asked for and complained about."""

    page: "Page"
    base: str
    requests: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def listen(self) -> None:
        """Write down every request, every error and every word on the console that is not a note."""
        self.page.set_default_timeout(20_000)
        self.page.on("request", lambda request: self.requests.append(request.url))
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("console", self._hear)

    def _hear(self, message: "ConsoleMessage") -> None:
        if message.type in {"error", "warning"}:
            self.complaints.append(message.text)

    def go(self, path: str, *, until: str = "main h1") -> "Page":
        """Open an address of the dashboard and wait for what tells that it is there."""
        self.page.goto(self.base + path)
        self.page.wait_for_selector(until)
        return self.page

    def assert_quiet(self) -> None:
        """Nothing was asked of another machine, nothing was complained about."""
        assert [url for url in self.requests if not url.startswith((f"{self.base}/", "data:"))] == []
        assert self.complaints == []


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    context = a_demo_store(tmp_path_factory.getbasetemp() / "dashboard-demo.sqlite")
    with_server = _serving(context)
    yield next(with_server)
    next(with_server, None)


@pytest.fixture
def served_empty(tmp_path: Path) -> Iterator[str]:
    with_server = _serving(an_empty_store(tmp_path / "empty.sqlite"))
    yield next(with_server)
    next(with_server, None)


def _serving(context: Context) -> Iterator[str]:
    # Every page asks for several things at once; a browser waits for none of them in a queue.
    server = waitress.create_server(guard(create_app(context)).server, host="127.0.0.1", port=0, threads=16)
    is_over = threading.Event()

    # The server's own loop goes on while a browser keeps a connection, and breaks where one is closed under it.
    def serve() -> None:
        while not is_over.is_set():
            wasyncore.loop(timeout=30, map=server._map, count=1)

    thread = threading.Thread(target=serve, daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    is_over.set()
    server.pull_trigger()
    thread.join(timeout=20)
    assert not thread.is_alive()
    server.task_dispatcher.shutdown()
    wasyncore.close_all(server._map)
    context.store.close()


@pytest.fixture(scope="session")
def open_visit(chromium: "Browser") -> Iterator[Callable[..., Any]]:
    """Return a maker of visits; those of one size and theme share what the browser has loaded already."""
    readers: dict[tuple[tuple[str, Any], ...], BrowserContext] = {}

    def opened(base: str, *, size: str = "laptop", theme: str = "light", **options: Any) -> Visit:
        width, height = SIZES[size]
        told = tuple(sorted({"size": size, "theme": theme, **options}.items()))
        if told not in readers:
            readers[told] = chromium.new_context(
                viewport={"width": width, "height": height},
                color_scheme="dark" if theme == "dark" else "light",
                reduced_motion="reduce",
                **options,
            )
        visit = Visit(readers[told].new_page(), base)
        visit.listen()
        return visit

    yield opened
    for reader in readers.values():
        reader.close()


@pytest.fixture
def visit(open_visit: Callable[..., Visit], served: str) -> Iterator[Visit]:
    """Open the demo store on a laptop in the light theme; the console must be empty at the end."""
    opened = open_visit(served)
    yield opened
    opened.page.close()
    opened.assert_quiet()
