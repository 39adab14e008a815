"""In a real browser: nothing that is put into a page later runs, and no other site reaches in."""

import http.server
import threading
from collections.abc import Iterator

import pytest

from tests.browser.conftest import Visit, wait_until

#: What a stranger's page tries; what it gets is written into its title.
_STRANGER = """<!DOCTYPE html><title>waiting</title><script>
const base = location.hash.slice(1);
const tries = [
  fetch(base + "/_dash-layout").then((a) => a.text()),
  fetch(base + "/_dash-update-component", {method: "POST", body: "{}"}).then((a) => a.text()),
  new Promise((got, failed) => {
    const script = document.createElement("script");
    script.src = base + "/_dash-layout"; script.onload = got; script.onerror = failed;
    document.head.append(script);
  }),
];
Promise.allSettled(tries).then((all) => { document.title = all.map((one) => one.status).join(" "); });
</script>"""


@pytest.fixture
def stranger() -> Iterator[str]:
    """Serve a page of another site."""

    class Answer(http.server.BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(_STRANGER.encode())

        def log_message(self, *_: object) -> None:
            pass

    with http.server.ThreadingHTTPServer(("127.0.0.1", 0), Answer) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


def test_a_script_put_into_a_page_does_not_run(visit: Visit) -> None:
    page = visit.go("/sessions", until="main tbody tr")
    page.evaluate(
        """window.blocked = [];
           document.addEventListener("securitypolicyviolation", (e) => window.blocked.push(e.effectiveDirective));
           const script = document.createElement("script");
           script.textContent = "window.ran = 1";
           document.body.append(script);
           document.body.insertAdjacentHTML("beforeend", "<img src=x onerror='window.ran = 2'>");
           document.body.insertAdjacentHTML("beforeend", "<iframe src='https://elsewhere.example/'></iframe>");"""
    )
    wait_until(page, "window.blocked.length >= 3")
    assert page.evaluate("window.ran") is None
    assert set(page.evaluate("window.blocked")) == {"script-src-elem", "script-src-attr", "frame-src"}
    assert len(visit.complaints) >= 3  # the browser says what it blocked
    visit.complaints.clear()


def test_a_page_of_another_site_gets_nothing(visit: Visit, stranger: str) -> None:
    visit.page.goto(f"{stranger}/#{visit.base}")
    visit.page.wait_for_function("document.title !== 'waiting'")
    assert visit.page.title() == "rejected rejected rejected"
    visit.complaints.clear()
    visit.requests.clear()
