"""The server's side of bringing files in: takes a file as a stream, and tells how far the import is.

Each file comes as the plain body of a request of its own, and goes to the disk in pieces: a large one never
stands in memory. ``guard`` keeps other sites out of these addresses as of all others.
"""

import hashlib
from pathlib import Path
from typing import Final
from urllib.parse import unquote

from dash import Dash
from flask import Response, jsonify, request
from werkzeug.exceptions import ClientDisconnected

from dashboards.components.upload import MOST_FILES
from dashboards.guard import MOST_BODY_BYTES
from dashboards.import_desk import ImportDesk
from dashboards.reader import is_in_demo
from dashboards.words import say
from rideready.services.context import Context
from rideready.services.sessions import written_at

#: The largest file taken.
LIMIT_BYTES: Final = MOST_BODY_BYTES
_PIECE_BYTES: Final = 1 << 18


def receive_uploads(app: Dash, store: Context) -> ImportDesk:
    """Put the addresses for uploads on the dashboard's server.

    ``POST /import/file`` takes one file, its name percent-encoded in ``X-File-Name``; ``GET
    /import/state?after=N`` tells what changed since revision N, today, and a token of the store that is
    another whenever anything was written or a day began; ``POST /import/answer`` takes the rider's choice of a reading.

    Parameters
    ----------
    app
        The dashboard.
    store
        Store and rider; asked for its rider with each request.

    Returns
    -------
    ImportDesk
        Where the files wait.
    """
    desk = ImportDesk()

    def take_file() -> Response:
        try:
            number, path, digest = _receive(desk)
        except _Refused as refused:
            return Response(refused.sentence, status=refused.status, mimetype="text/plain")
        # The rider of this request: the thread that imports knows no request.
        desk.put(number, Context(store.store, store.rider_id, store.today), path, digest)
        return jsonify(number=number)

    def tell() -> Response:
        revision, lines = desk.since(_number(request.args.get("after", "")))
        return jsonify(
            revision=revision,
            lines=[line.told() for line in lines],
            token=store_token(store),
            day=store.today.isoformat(),
        )

    def take_answer() -> Response:
        desk.answer(_number(request.form.get("number", "")), request.form.get("option", ""))
        return jsonify(taken=True)

    server = app.server
    server.add_url_rule("/import/file", "import-file", take_file, methods=["POST"])
    server.add_url_rule("/import/state", "import-state", tell)
    server.add_url_rule("/import/answer", "import-answer", take_answer, methods=["POST"])
    return desk


def store_token(store: Context) -> str:
    """Return a text that changes with the day, and when anything is written into the store by any program."""
    return "-".join(map(str, (store.rider_id, store.today, *written_at(store.store))))


class _Refused(Exception):
    """A file that is not taken, with the sentence for whoever sent it."""

    def __init__(self, sentence: str, status: int) -> None:
        super().__init__(sentence)
        self.sentence, self.status = sentence, status


def _receive(desk: ImportDesk) -> tuple[int, Path, str]:
    """Keep the file this request brings; return its number, where it lies, and its digest."""
    if is_in_demo():  # what is the rider's own must not end up there
        raise _Refused(say("demo.no_import"), 409)
    length = request.content_length or 0
    # By the length that is announced: what is too large is refused before a byte of it is kept.
    if length > LIMIT_BYTES:
        raise _Refused(say("upload.too_large", limit_mb=LIMIT_BYTES >> 20), 413)
    if desk.is_full():
        raise _Refused(say("upload.too_many", n=MOST_FILES + 1, most=MOST_FILES), 429)
    number, path = desk.new_place(unquote(request.headers.get("X-File-Name", "")))
    try:
        digest, size = _keep(path)
    except ClientDisconnected as error:
        path.unlink(missing_ok=True)
        raise _Refused(say("upload.cut_short"), 400) from error
    except OSError as error:
        path.unlink(missing_ok=True)
        raise _Refused(say("upload.disk_full", why=error.strerror or "disk"), 507) from error
    if not size or size < length:
        path.unlink(missing_ok=True)
        raise _Refused(say("upload.cut_short" if size < length else "upload.empty"), 400)
    return number, path, digest


def _keep(path: Path) -> tuple[str, int]:
    """Write the body of this request to a file; return the digest of its bytes and how many they were."""
    digest, size = hashlib.sha256(), 0
    with path.open("wb") as kept:
        while piece := request.stream.read(_PIECE_BYTES):
            digest.update(piece)
            size += kept.write(piece)
    return digest.hexdigest(), size


def _number(text: str) -> int:
    return int(text[:18]) if text.isdecimal() else 0
