"""Make README's picture from the demo: ``python -m tests.browser.screenshots`` from the project's folder."""

import tempfile
import threading
from pathlib import Path

import waitress
from playwright.sync_api import sync_playwright

from dashboards.app import create_app
from rideready.services.demo import open_demo
from tests.browser.conftest import FLAGS, SIZES, chromium_path

PICTURE = Path(__file__).with_name("recovery-page.png")


def main() -> None:
    """Open the demo's recovery page at laptop size and write its picture."""
    with tempfile.TemporaryDirectory() as folder:
        ctx, _ = open_demo(Path(folder) / "demo.sqlite")
        server = waitress.create_server(create_app(ctx).server, host="127.0.0.1", port=0)
        threading.Thread(target=server.run, daemon=True).start()
        width, height = SIZES["laptop"]
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium_path(), args=FLAGS)
            page = browser.new_page(viewport={"width": width, "height": height})
            page.goto(f"http://127.0.0.1:{server.effective_port}/")
            page.wait_for_selector(".js-plotly-plot .scatterlayer")
            page.wait_for_load_state("networkidle")
            page.screenshot(path=PICTURE)
            browser.close()
        server.close()


if __name__ == "__main__":
    main()
