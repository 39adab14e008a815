"""A real PostgreSQL server for the tests, in a folder of its own that goes with it."""

import itertools
import os
import pwd
import shutil
import signal
import socket
import subprocess
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

HINT = "no PostgreSQL: sudo apt-get install -y postgresql (or set RIDEREADY_POSTGRESQL to a folder with postgres in it)"
#: Debian's packages put the programs of each version into a folder of their own, off the path.
DEBIAN = Path("/usr/lib/postgresql")
#: What is lost with the machine need not be safe on its disk.
HASTY = ("fsync=off", "synchronous_commit=off", "full_page_writes=off")
_NUMBERS = itertools.count(1)


@dataclass(frozen=True, slots=True)
class Server:
    """A server that runs.

    Parameters
    ----------
    folder
        Where its socket lies.
    port
        On 127.0.0.1.
    """

    folder: Path
    port: int

    def address(self, database: str = "riders", *, user: str = "keeper", schema: str = "public") -> str:
        """Return the address of a database, by its socket, for a user it lets in without a password."""
        where = f"host={self.folder}&port={self.port}&options=-csearch_path%3D{schema}"
        return f"postgresql://{user}@/{database}?{where}"

    def new_store(self) -> str:
        """Return the address of a store of its own: an empty schema."""
        schema = f"store_{next(_NUMBERS)}"
        self.run(f"CREATE SCHEMA {schema}")
        return self.address(schema=schema)

    def run(self, statement: str, *, schema: str = "public") -> None:
        """Run a statement as another program would, with every right."""
        import psycopg

        with psycopg.connect(self.address(schema=schema), autocommit=True) as connection:
            connection.execute(statement)

    def over_the_network(self, user: str, database: str = "riders") -> str:
        """Return the address of a database at its port, where everybody is asked for a password."""
        return f"postgresql://{user}@127.0.0.1:{self.port}/{database}"


def programs() -> Path | None:
    """Where PostgreSQL's programs are; an asked folder without them is none."""
    asked = os.environ.get("RIDEREADY_POSTGRESQL")
    versions = sorted(DEBIAN.glob("*/bin"), key=lambda found: int(found.parent.name), reverse=True)
    on_path = shutil.which("postgres")
    places = [Path(asked)] if asked is not None else [*versions, *([Path(on_path).parent] if on_path else [])]
    return next((place for place in places if os.access(place / "postgres", os.X_OK)), None)


@contextmanager
def running_server(programs: Path) -> Iterator[Server]:
    """Start a server, with a database ``riders`` and the users ``keeper`` and ``guarded``, until the end."""
    folder = Path(tempfile.mkdtemp(prefix="rr-pg-"))  # short: a socket's path has at most 107 letters
    as_user = _unprivileged(folder)
    try:
        _make(programs, folder, as_user)
        process, port = _start(programs, folder, as_user)
        try:
            yield Server(folder, port)
        finally:
            process.send_signal(signal.SIGQUIT)  # at once: nothing of it is kept
            process.wait(timeout=20)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _unprivileged(folder: Path) -> list[str]:
    """Return the beginning of a command as a user the server accepts: it refuses root."""
    # The server ends with whoever started it, even if that is killed.
    if os.geteuid() != 0:
        return ["setpriv", "--pdeathsig", "INT"] if shutil.which("setpriv") else []
    known = {found.pw_name for found in pwd.getpwall()}
    user = pwd.getpwnam("postgres" if "postgres" in known else "nobody")
    os.chown(folder, user.pw_uid, user.pw_gid)
    rights = [f"--reuid={user.pw_uid}", f"--regid={user.pw_gid}", "--clear-groups"]
    return ["setpriv", *rights, "--pdeathsig", "INT"]


def _make(programs: Path, folder: Path, as_user: list[str]) -> None:
    # A language's own order, so that nothing rests on a server that happens to sort by bytes.
    sorting = ["--locale=C.UTF-8", "--encoding=UTF8"]
    if int(subprocess.check_output([programs / "postgres", "-V"], text=True).split()[2].split(".")[0]) >= 15:
        sorting += ["--locale-provider=icu", "--icu-locale=en"]
    entry = ["--username=keeper", "--auth-local=trust", "--auth-host=scram-sha-256"]
    command = [*as_user, str(programs / "initdb"), "-D", str(folder / "data"), "--no-sync", *entry, *sorting]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def _start(programs: Path, folder: Path, as_user: list[str]) -> tuple["subprocess.Popen[bytes]", int]:
    """Start it at a port that is free; another program may take that in between, hence several tries."""
    log = folder / "log"
    for _ in range(5):
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            port = free.getsockname()[1]
        settings = [f"port={port}", "listen_addresses=127.0.0.1", f"unix_socket_directories={folder}", *HASTY]
        options = [word for setting in settings for word in ("-c", setting)]
        with log.open("ab") as stream:
            process = subprocess.Popen(
                [*as_user, programs / "postgres", "-D", folder / "data", *options],
                stdout=stream,
                stderr=stream,
            )
        if _is_up(process, folder, port):
            return process, port
        process.kill()
        process.wait()
    raise AssertionError(log.read_text())


def _is_up(process: "subprocess.Popen[bytes]", folder: Path, port: int) -> bool:
    import psycopg

    deadline = time.monotonic() + 30
    while process.poll() is None and time.monotonic() < deadline:
        try:
            with psycopg.connect(host=str(folder), port=port, user="keeper", dbname="postgres") as connection:
                connection.autocommit = True
                connection.execute("CREATE DATABASE riders")
                connection.execute("CREATE USER guarded PASSWORD 'open sesame@1'")
        except psycopg.OperationalError:
            time.sleep(0.05)
        else:
            return True
    return False
