"""A real PostgreSQL of the tests' own: passwords wanted everywhere, loopback only, gone afterwards."""

from __future__ import annotations

import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from dataclasses import dataclass, field
from pathlib import Path

ADMIN = "admin"
ADMIN_PASSWORD = "only-for-the-tests"  # noqa: S105 - of a server that lives as long as the tests
_FAST = {
    "fsync": "off",
    "full_page_writes": "off",
    "synchronous_commit": "off",
    "max_connections": "60",
    "shared_buffers": "64MB",
    "log_statement": "all",
    "log_min_messages": "info",
    "log_connections": "on",
    "unix_socket_directories": "",
    "listen_addresses": "127.0.0.1",
}
"""fsync off: these tests kill no server. log_statement: so that a test can look for secrets in the log."""


class NoServer(Exception):  # noqa: N818 - a reason, shown as the reason of a skip
    """Why no server can be started here."""


def programs() -> Path:
    """The folder of PostgreSQL's programs: SINKSIDE_PG_BIN, else the ones that `pgserver` carries."""
    if named := os.environ.get("SINKSIDE_PG_BIN"):
        return Path(named)
    import importlib.util

    found = importlib.util.find_spec("pgserver")
    if found is None or found.origin is None:
        raise NoServer("The package pgserver is not installed, and SINKSIDE_PG_BIN names no PostgreSQL.")
    return Path(found.origin).parent / "pginstall" / "bin"


def _account() -> tuple[int | None, int | None]:
    """PostgreSQL refuses to run as root; then it runs as another account that is there."""
    if os.geteuid() != 0:
        return None, None
    for name in ("postgres", "pgserver", "nobody"):
        try:
            found = pwd.getpwnam(name)
        except KeyError:
            continue
        return found.pw_uid, found.pw_gid
    raise NoServer("The tests run as root, and there is no other account to run PostgreSQL with.")


def free_port() -> int:
    """A port of the loopback that nobody listens on now."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
    return port


@dataclass
class Server:
    """One server in a folder of its own. `start` and `stop` as often as wanted, `remove` at the end."""

    settings: dict[str, str] = field(default_factory=lambda: dict(_FAST))
    port: int = field(default_factory=free_port)
    folder: Path = field(init=False)

    def __post_init__(self) -> None:
        self.folder = Path(tempfile.mkdtemp(prefix="sinkside-pg-"))
        self._uid, self._gid = _account()
        if self._uid is not None and self._gid is not None:
            os.chown(self.folder, self._uid, self._gid)
        word = self.folder / "word"
        word.write_text(ADMIN_PASSWORD)
        word.chmod(0o644)
        self._run(
            *("initdb", "-D", str(self.data), "-U", ADMIN, "--auth=scram-sha-256", f"--pwfile={word}"),
            *("--encoding=UTF8", "--locale=C", "--no-sync"),
        )

    @property
    def data(self) -> Path:
        """The folder of the data."""
        return self.folder / "data"

    @property
    def log(self) -> str:
        """What the server wrote down."""
        return (self.folder / "log").read_text("utf-8", errors="replace")

    @property
    def pid(self) -> int:
        """The process id of the server."""
        return int((self.data / "postmaster.pid").read_text().splitlines()[0])

    def start(self) -> None:
        """Start it, and wait until it answers."""
        options = " ".join(f"-c {name}='{value}'" for name, value in self.settings.items())
        started = ("pg_ctl", "-D", str(self.data), "-w", "-t", "30", "-l", str(self.folder / "log"))
        self._run(*started, "-o", f"-p {self.port} {options}", "start")

    def stop(self, how: str = "fast") -> None:
        """Stop it: `fast`, or `immediate` as if it had been killed."""
        self._run("pg_ctl", "-D", str(self.data), "-w", "-m", how, "stop")

    def remove(self) -> None:
        """Stop it where it runs, and take its folder away."""
        if (self.data / "postmaster.pid").exists():
            self.stop("immediate")
        shutil.rmtree(self.folder)

    def url(
        self, database: str = "postgres", user: str = ADMIN, password: str | None = ADMIN_PASSWORD
    ) -> str:
        """An address of this server."""
        word = "" if password is None else f":{password}"
        return f"postgresql://{user}{word}@127.0.0.1:{self.port}/{database}"

    def _run(self, program: str, *arguments: str) -> None:
        done = subprocess.run(
            [str(programs() / program), *arguments],
            stdout=subprocess.DEVNULL,  # a pipe would be held open by the server it starts
            stderr=subprocess.PIPE if program == "initdb" else subprocess.DEVNULL,
            cwd="/",
            check=False,
            user=self._uid,
            group=self._gid,
        )
        if done.returncode:
            raise NoServer(f"{program} ended with {done.returncode}: {(done.stderr or b'').decode()[-500:]}")
