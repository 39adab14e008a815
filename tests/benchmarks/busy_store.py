"""Two imports and a dashboard on one store at once: no session may be lost, nobody may hear of a lock.

``python -m tests.benchmarks.busy_store --minutes 10``, with ``--server`` on a PostgreSQL. Each importer writes new recordings and imports its
folder again and again; half of the recordings are given to both. A browser goes from page to page of the
dashboard meanwhile (without Chromium, its address is fetched only, and the last line says so).
"""

import argparse
import itertools
import json
import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path

from rideready.services.checking import check_structure
from rideready.services.context import open_context
from rideready.services.sessions import list_sessions
from tests.support.postgresql import HINT, programs, running_server
from tests.support.stores import write_ride

PAGES = ("/", "/sessions", "/recovery", "/week", "/sessions/1")
BROWSERS = ("chromium", "chromium-browser", "google-chrome")
RUN = [sys.executable, "-c", "from rideready.cli.main import run; run()"]


def import_on_and_on(store: Path | str, folder: Path, first_day: int, until: float, said: list[str]) -> None:
    """Write a recording of a new day, import the folder, and so on; note every word of trouble."""
    own_and_shared = (day for third in itertools.count(step=3) for day in (third + first_day, third + 2))
    while time.monotonic() < until:
        write_ride(folder, days=next(own_and_shared))
        done = subprocess.run(
            [*RUN, "import", str(folder), "--store", str(store), "--json"],
            capture_output=True,
            text=True,
            check=False,
        )
        if done.returncode or done.stderr or json.loads(done.stdout)["unreadable"]:
            said.append(f"import: {done.stdout} {done.stderr}")


@contextmanager
def dashboard(store: Path | str, log: Path) -> Iterator[str]:
    """Start a dashboard and yield its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    with log.open("w") as stream:
        server = subprocess.Popen(
            [*RUN, "dashboard", "--no-browser", "--port", str(port), "--store", str(store)],
            stdout=stream,
            stderr=stream,
        )
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait()


def look_on_and_on(address: str, until: float, said: list[str]) -> str:
    """Go from page to page and note every word of trouble; return what was done."""
    wait_for(address, said)
    chromium = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if chromium is None:
        return f"{look(lambda path: fetched(address + path), until, said)} answers fetched without a browser"
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=chromium, args=["--headless", "--no-sandbox", "--disable-gpu"]
        )
        page = browser.new_page()

        def text_of(path: str) -> str:
            page.goto(address + path)
            page.wait_for_timeout(1500)
            return page.inner_text("body")

        n_pages = look(text_of, until, said)
        browser.close()
    return f"{n_pages} pages looked at"


def look(text_of: Callable[[str], str], until: float, said: list[str]) -> int:
    """Ask for one page after another until time is up; return how many."""
    n_pages = 0
    while time.monotonic() < until:
        text = text_of(PAGES[n_pages % len(PAGES)])
        n_pages += 1
        if not text.strip() or any(
            word in text for word in ("locked", "went wrong", "Internal Server Error")
        ):
            said.append(f"dashboard: {text[:500]}")
    return n_pages


def wait_for(address: str, said: list[str]) -> None:
    """Wait until the dashboard answers."""
    for _ in range(120):
        try:
            fetched(address)
        except OSError:
            time.sleep(0.5)
        else:
            return
    said.append("dashboard: it never answered")


def fetched(address: str) -> str:
    """Fetch an address of this machine."""
    with urllib.request.urlopen(address, timeout=30) as answer:  # noqa: S310 - its own server
        return str(answer.read().decode())


def main() -> None:
    """Print what was done; exit code 1 if anything was lost or anybody heard of trouble."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--server", action="store_true", help="on a PostgreSQL instead of in a file")
    asked = parser.parse_args()
    said: list[str] = []
    with tempfile.TemporaryDirectory() as name, ExitStack() as running:
        root = Path(name)
        store: Path | str = root / "store.sqlite"
        if asked.server:
            found = programs()
            assert found is not None, HINT
            store = running.enter_context(running_server(found)).new_store()
        open_context(store).store.close()
        folders = [root / "one", root / "other"]
        until = time.monotonic() + 60 * asked.minutes
        importers = []
        for number, folder in enumerate(folders):
            folder.mkdir()
            arguments = (store, folder, number, until, said)
            importers.append(threading.Thread(target=import_on_and_on, args=arguments))
            importers[-1].start()
        with dashboard(store, root / "log") as address:
            looked = look_on_and_on(address, until, said)
            for importer in importers:
                importer.join()
        log = (root / "log").read_text()
        if "locked" in log or "Traceback" in log:
            said.append(f"dashboard's log: {log[-2000:]}")
        said += check_structure(store).problems
        written = {path.name for folder in folders for path in folder.iterdir()}
        context = open_context(store)
        rows = list_sessions(context)
        stored = {file for row in rows for file in row.files}
        context.store.close()
    lost, twice = written - stored, len(rows) - len(written)
    print(f"{len(written)} recordings, {len(rows)} sessions, {len(lost)} lost, {twice} too many; {looked}")  # noqa: T201
    print("\n".join(said) or "nobody heard of a lock")  # noqa: T201
    sys.exit(bool(lost or twice or said))


if __name__ == "__main__":
    main()
