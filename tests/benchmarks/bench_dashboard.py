"""How quick is the dashboard on a store of ten years and 3,000 sessions: ``python -m tests.benchmarks.bench_dashboard``.

The store is made once by the simulator, outside the project, and kept for the next run. Measured in Chromium
against the dashboard in a process of its own: when the first figure is drawn, as a ratio to an empty Dash application
with one figure in the same run; how long changes of page and filter take; the largest answer after the first load;
and the memory of the server. The bounds are those of the plan for the dashboard; nothing here fails by the clock.
"""

import argparse
import datetime as dt
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from rideready.importers.fingerprint import fingerprint
from rideready.services.analysis import analyse
from rideready.services.context import Context, open_context
from rideready.services.riders import get_rider, update_rider
from rideready.services.sessions import list_sessions
from rideready.services.training import update_training
from rideready.simulate.scenario import RUNA, demo_autumn
from rideready.store.sessions import add_session
from rideready.store.values import Analysis, MeasuredRecovery

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Response

N_SESSIONS: Final = 3000
YEARS: Final = 10
TODAY: Final = dt.date(2026, 11, 15)
#: Bounds: ratio of first figures, ms, bytes, MB.
BOUNDS: Final = {"first": 1.3, "change": 300.0, "answer": 400_000, "memory": 500.0}
#: Distinct simulated sessions; the others are these on another day, with another day's drops.
_N_DISTINCT: Final = 24
#: From one day to the next a drop differs by about so much, bpm (Al Haddad et al. 2011, typical error).
_DAY_SD_BPM: Final = 3.0

_EMPTY_APP: Final = """
import dash, plotly.graph_objects as go, sys, waitress
from dash import dcc, html
app = dash.Dash(__name__)
app.layout = html.Div(dcc.Graph(figure=go.Figure(go.Scatter(x=[1, 2, 3], y=[3, 1, 2]))))
waitress.serve(app.server, host="127.0.0.1", port=int(sys.argv[1]))
"""
#: Our own, as a rider starts it.
_OUR_APP: Final = "from rideready.cli.main import run; run()"


@dataclass(frozen=True, slots=True)
class Step:
    """A change that a reader makes, and what tells that it is there."""

    name: str
    act: Callable[["Page"], None]
    there: str


def make_store(place: Path) -> None:
    """Fill a store with ten years of simulated sessions, unless it is full already."""
    context = open_context(place, rider=RUNA.name, today=TODAY)
    try:
        if len(list_sessions(context)) < N_SESSIONS:
            update_rider(
                context,
                max_hr_bpm=RUNA.max_hr_bpm,
                resting_hr_bpm=RUNA.resting_hr_bpm,
                age_years=RUNA.age_years,
                sex=RUNA.sex,
            )
            update_training(context, earliest=dt.date(2026, 12, 5), likely=dt.date(2026, 12, 19))
            _fill(context)
    finally:
        context.store.close()


def _fill(context: Context) -> None:
    rng = np.random.default_rng(2026)
    rider = get_rider(
        context
    )  # as the store knows her, or the dashboard would work all out again at its start
    models = [(one.session, analyse(one.session, rider)) for one in demo_autumn(rng)[:_N_DISTINCT]]
    last = dt.datetime.combine(TODAY, dt.time(16), dt.UTC)
    for number in range(N_SESSIONS):
        session, analysis = models[number % len(models)]
        start = last - dt.timedelta(days=(N_SESSIONS - 1 - number) * YEARS * 365.25 / N_SESSIONS)
        moved = replace(session, start_utc=start)
        shift_bpm = float(rng.normal(0.0, _DAY_SD_BPM))
        with context.store.writing() as connection:
            add_session(
                connection,
                context.rider_id,
                moved,
                fingerprint=fingerprint(moved),
                analysis=_on_another_day(analysis, shift_bpm),
            )


def _on_another_day(analysis: Analysis, shift_bpm: float) -> Analysis:
    return replace(analysis, recoveries=tuple(_shifted(one, shift_bpm) for one in analysis.recoveries))


def _shifted(one: MeasuredRecovery, shift_bpm: float) -> MeasuredRecovery:
    drop = one.recovery.hrr60_bpm
    changed = None if drop is None else max(1.0, drop + shift_bpm)
    return replace(one, recovery=replace(one.recovery, hrr60_bpm=changed))


@contextmanager
def served(code: str, port: int, *arguments: str) -> Iterator[int]:
    """Serve an application in a process of its own; yield the process's number.

    Parameters
    ----------
    code
        Run with the arguments.
    port
        Where it will answer.
    arguments
        For the code.
    """
    import urllib.request

    process = subprocess.Popen([sys.executable, "-W", "ignore", "-c", code, *arguments])
    try:
        for _ in range(600):
            try:
                urllib.request.urlopen(f"http://127.0.0.1:{port}/health").close()
                break
            except OSError:
                time.sleep(0.1)
        yield process.pid
    finally:
        process.terminate()
        process.wait()


def first_figure_s(browser: "Browser", address: str, drawn: str) -> float:
    """Time from asking for a page with an empty cache until its first figure is drawn, s."""
    reader = browser.new_context(bypass_csp=True, locale="en-GB")
    page = reader.new_page()
    begin = time.perf_counter()
    page.goto(address, wait_until="commit")
    page.wait_for_selector(drawn, state="attached", timeout=60_000)
    took = time.perf_counter() - begin
    reader.close()
    return took


def steps() -> list[Step]:
    """Return what a reader does, page after page and filter after filter."""

    def to(name: str, there: str) -> Step:
        def act(page: "Page") -> None:
            page.evaluate("window.titleBefore = document.title")
            page.evaluate(f"document.querySelector('#nav-{name}').click()")

        return Step(f"to {name}", act, f"main {there}")

    def chip(name: str, value: str, changed: str) -> Step:
        def act(page: "Page") -> None:
            page.evaluate(
                f"document.querySelectorAll({changed!r}).forEach((e) => (e.dataset.was = e.textContent))"
            )
            page.evaluate(f"document.querySelector('input[value={value}]').click()")

        return Step(name, act, changed)

    return [
        to("week", "h1"),
        to("recovery", ".season .scatterlayer"),
        chip("grade filter", "good", "#filter-summary"),
        to("sessions", "tbody tr"),
        chip("kind filter", "run", "#sessions-summary"),
        to("plan", "h1"),
        to("circuit", "h1"),
        to("rider", "h1"),
        to("today", "h1"),
    ]


def changes_ms(page: "Page", rounds: int) -> dict[str, list[float]]:
    """Time every change of page and filter in a number of rounds, ms."""
    found: dict[str, list[float]] = {}
    for _ in range(rounds):
        for step in steps():
            begin = time.perf_counter()
            step.act(page)
            if step.there.startswith("main"):
                # The tab is named once the page stands; the library may keep an element of the page before.
                page.wait_for_function(
                    f"document.title !== window.titleBefore && document.querySelector({step.there!r})"
                )
            else:
                page.wait_for_function(
                    f"(() => {{ const e = document.querySelector({step.there!r});"
                    " return e && e.textContent !== e.dataset.was; })()"
                )
            found.setdefault(step.name, []).append((time.perf_counter() - begin) * 1000)
            page.wait_for_load_state("networkidle", timeout=60_000)
    return found


def memory_mb(process: int) -> tuple[float, float]:
    """Memory a process holds now and held at most, MB."""
    told = dict(
        line.split(":", 1) for line in Path(f"/proc/{process}/status").read_text().splitlines() if ":" in line
    )
    return tuple(float(told[name].split()[0]) / 1024 for name in ("VmRSS", "VmHWM"))  # type: ignore[return-value]


def _dashboard(store: Path, port: int) -> list[str]:
    where = ["--store", str(store), "--date", TODAY.isoformat(), "--port", str(port)]
    return ["dashboard", "--no-browser", "--quiet", *where]


def measure(browser: "Browser", store: Path, *, rounds: int) -> dict[str, Any]:
    """Serve both applications and measure everything."""
    ours, empty = "http://127.0.0.1:8961", "http://127.0.0.1:8962"
    with (
        served(_EMPTY_APP, 8962, "8962"),
        served(_OUR_APP, 8961, *_dashboard(store, 8961)) as process,
    ):
        pairs = [
            (
                first_figure_s(browser, f"{ours}/recovery", ".season .scatterlayer path"),
                first_figure_s(browser, empty, ".js-plotly-plot .scatterlayer path"),
            )
            for _ in range(rounds)
        ]
        answers: list[tuple[int, str]] = []

        def weigh(answer: "Response") -> None:
            if "_dash-update-component" in answer.url:
                outputs = (answer.request.post_data_json or {}).get("output", "")
                answers.append((int(answer.headers.get("content-length", 0)), str(outputs)[:60]))

        page = browser.new_context(bypass_csp=True, locale="en-GB").new_page()
        page.goto(f"{ours}/")
        page.wait_for_selector("main h1", timeout=60_000)
        page.wait_for_load_state("networkidle")
        page.on("response", weigh)
        changes = changes_ms(page, rounds)
        begin = time.perf_counter()
        page.goto(f"{ours}/recovery?since={TODAY.year - YEARS}-01-01")
        page.wait_for_selector(".season .scatterlayer path", state="attached", timeout=120_000)
        page.wait_for_load_state("networkidle")
        ten_years_s = time.perf_counter() - begin
        return {
            "pairs": pairs,
            "changes": changes,
            "ten years": ten_years_s,
            "answers": sorted(answers, reverse=True)[:4],
            "memory": memory_mb(process),
        }


def _say(line: str) -> None:
    sys.stdout.write(f"{line}\n")


def main() -> None:
    """Print every figure beside its bound."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument(
        "--store", type=Path, default=Path(tempfile.gettempdir()) / "rideready-ten-years.sqlite"
    )
    asked.add_argument("--rounds", type=int, default=5)
    told = asked.parse_args()
    begin = time.perf_counter()
    make_store(told.store)
    _say(f"store of {N_SESSIONS} sessions: {told.store} ({time.perf_counter() - begin:.0f} s)")
    from playwright.sync_api import sync_playwright

    from tests.browser.conftest import FLAGS, chromium_path

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=FLAGS)
        found = measure(browser, told.store, rounds=told.rounds)
        browser.close()
    ours, empty = (statistics.median(pair[place] for pair in found["pairs"]) for place in (0, 1))
    _say(
        f"first figure: {ours:.2f} s, empty app {empty:.2f} s, ratio {ours / empty:.2f} (bound {BOUNDS['first']})"
    )
    _say(f"  the very first, server just started: {found['pairs'][0][0]:.2f} s")
    for name, times in found["changes"].items():
        _say(f"  {name:14} median {statistics.median(times):5.0f} ms, slowest {max(times):5.0f}")
    every = [one for times in found["changes"].values() for one in times]
    _say(f"page or filter: median {statistics.median(every):.0f} ms (bound {BOUNDS['change']:.0f})")
    _say(f"  a page of all ten years at once, loaded anew: {found['ten years']:.1f} s (no bound)")
    for size, output in found["answers"]:
        _say(f"  answer {size / 1000:6.1f} kB {output}")
    _say(f"largest answer: {found['answers'][0][0] / 1000:.0f} kB (bound {BOUNDS['answer'] / 1000:.0f})")
    now, most = found["memory"]
    _say(f"server memory: {now:.0f} MB, at most {most:.0f} (bound {BOUNDS['memory']:.0f})")


if __name__ == "__main__":
    main()
