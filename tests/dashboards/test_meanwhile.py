"""The dashboard stays open while other programs import: every page is there each time, and of one moment.

`tests.benchmarks.busy_store` does the same for ten minutes with a browser.
"""

import multiprocessing
import re
from pathlib import Path
from typing import Any

from dashboards.app import create_app
from dashboards.guard import guard
from rideready.services.context import Context, open_context
from rideready.services.importing import import_paths
from rideready.services.sessions import list_sessions
from tests.support.stores import write_ride

N_EACH = 4
#: Children share what this process has loaded.
FORK = multiprocessing.get_context("fork")


def import_folder(store: Path, folder: Path) -> None:
    context = open_context(store)
    report = import_paths(context, [folder])
    assert report.unreadable == ()
    assert report.stored + report.duplicates == N_EACH
    context.store.close()


def page(client: Any, pathname: str) -> str:
    """Ask for a page as the browser does, through the callback that shows it."""
    known = client.get("/_dash-dependencies").json
    callback = next(found for found in known if found["inputs"][0]["property"] == "pathname")
    asked = {
        "output": callback["output"],
        "outputs": [
            dict(zip(("id", "property"), part.rsplit(".", maxsplit=1), strict=True))
            for part in callback["output"].strip(".").split("...")
        ],
        "inputs": [{**callback["inputs"][0], "value": pathname}],
        "changedPropIds": [f"{callback['inputs'][0]['id']}.pathname"],
        "state": [{**state, "value": ""} for state in callback["state"]],
    }
    answer = client.post("/_dash-update-component", json=asked)
    assert answer.status_code == 200, answer.text
    return str(answer.text)


def test_pages_are_there_while_two_programs_import(nothing: Context, tmp_path: Path) -> None:
    folders = [tmp_path / "one", tmp_path / "other"]
    for number, folder in enumerate(folders):  # one ride is in both
        folder.mkdir()
        for days in range(N_EACH):
            write_ride(folder, days=days + number * (N_EACH - 1))
    importers = [FORK.Process(target=import_folder, args=(nothing.store_path, folder)) for folder in folders]
    for importer in importers:
        importer.start()
    seen = [0]
    with guard(create_app(nothing)).server.test_client() as client:
        is_over = False
        while not is_over:
            is_over = not any(importer.is_alive() for importer in importers)  # and then once more
            for pathname in ("/sessions", "/recovery", "/"):
                text = page(client, pathname)
                assert not re.search("locked|went wrong|damaged", text)
                if pathname == "/sessions":
                    told = re.search(r"(\d+) sessions?\"", text)
                    seen.append(int(told[1]) if told else 0)
    for importer in importers:
        importer.join()
    assert [importer.exitcode for importer in importers] == [0, 0]
    assert seen == sorted(seen)  # none that was there goes again
    assert seen[-1] == len(list_sessions(nothing)) == 2 * N_EACH - 1
