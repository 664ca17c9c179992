"""Screens in a browser, from the server's start to its end: real processes, a real record."""

from __future__ import annotations

import asyncio
import os
import signal
import sqlite3
import subprocess
import sys
import time
from contextlib import closing
from pathlib import Path

import pytest
from aiohttp import ClientSession, CookieJar
from serve_kit import TOKEN, Server, Tablet, ended, let_in, serving, tablet

from trainer.record.verify import verify

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="it looks at processes in /proc")


def kinds(record: Path) -> list[str]:
    """What happened in the only run, in order; nothing where there is none."""
    if not record.exists():
        return []
    with closing(sqlite3.connect(record, timeout=5)) as connection:
        rows = connection.execute(
            "SELECT json_extract(body, '$.body.kind') FROM events ORDER BY run, seq"
        ).fetchall()
    return [kind for (kind,) in rows]


async def kept(screen: Tablet, record: Path, kind: str) -> list[str]:
    """Look at the screen until the record holds an event of a kind; gives all of them."""
    await screen.until(lambda _: kind in kinds(record), f"the event {kind}")
    return kinds(record)


def words(screen: str) -> str:
    """What stands on a screen, however its lines are broken."""
    return " ".join(screen.split())


def browser() -> ClientSession:
    """A browser that keeps cookies, also of a machine without a name."""
    return ClientSession(cookie_jar=CookieJar(unsafe=True))


async def test_a_run_goes_on_at_another_screen(tmp_path: Path) -> None:
    """A trainee begins on one tablet, which is switched off; on another one the run goes on at the same act.

    The first one's process ends with its browser, and so does everything when the server ends.
    """
    with serving(tmp_path, "--screens", "2") as server:
        async with browser() as first:
            await let_in(first, server.base)
            async with tablet(first, server.base) as screen:
                await screen.begin("T-07")
                await screen.until(lambda text: "Before the first act" in text, "the cautions")
                await screen.press(" ")
                await screen.until(lambda text: "Fetch the 21-step wedge" in text, "the first act")
                begun = await kept(screen, server.record, "step_shown")
                (child,) = server.children
        assert await ended(child)
        assert kinds(server.record) == begun
        async with browser() as second:
            await let_in(second, server.base)
            async with tablet(second, server.base) as screen:
                await screen.until(lambda text: "T-07" in text, "the open run")
                await screen.press("\x1b[A" * 9)
                await screen.press("\r")
                await screen.until(lambda text: "Fetch the 21-step wedge" in text, "the same act")
                await kept(screen, server.record, "resumed")
                (child,) = server.children
                code, said = await asyncio.to_thread(server.end)
                await screen.until_closed()
    assert code == 0
    assert await ended(child)
    assert TOKEN not in said
    assert verify(server.record).ok


@pytest.mark.long
async def test_the_token_stands_nowhere(tmp_path: Path) -> None:
    """Not among the processes, their arguments or variables; not in what is said, not in the data folder."""
    with serving(tmp_path) as server:
        async with browser() as one:
            await let_in(one, server.base)
            async with tablet(one, server.base) as screen:
                await screen.until(lambda text: "Trainee" in text, "the start screen")
                pids = (server.process.pid, *server.children)
                seen = [read(f"/proc/{pid}/{what}") for pid in pids for what in ("cmdline", "environ")]
        _, said = server.end(signal.SIGINT)
    assert TOKEN not in said
    seen += [read(str(path)) for path in files_of(os.environ["SINKSIDE_HOME"])]
    assert len(seen) >= 4
    assert [one for one in seen if TOKEN.encode() in one] == []


def read(path: str) -> bytes:
    """What is in a file."""
    return Path(path).read_bytes()


def files_of(folder: str) -> list[Path]:
    """All files of a folder."""
    return [path for path in Path(folder).rglob("*") if path.is_file()]


@pytest.mark.long
async def test_a_killed_server_leaves_nobody_behind(tmp_path: Path) -> None:
    """SIGKILL of the server: its screens notice that nobody is there, and end by themselves."""
    with serving(tmp_path) as server:
        async with browser() as one:
            await let_in(one, server.base)
            async with tablet(one, server.base) as screen:
                await screen.until(lambda text: "Trainee" in text, "the start screen")
                (child,) = server.children
                server.process.kill()
                assert await ended(child)
    assert verify(server.record).ok


@pytest.mark.long
async def test_what_is_wrong_with_the_record_is_said_in_the_browser(tmp_path: Path) -> None:
    """A file that is no record: the sentence stands on the screen, and the server goes on."""
    with serving(tmp_path) as server:
        (tmp_path / "record.db").write_bytes(b"hello" * 1000)
        async with browser() as one:
            await let_in(one, server.base)
            for _ in range(2):
                async with tablet(one, server.base) as screen:
                    told = await screen.until_closed()
                    assert "is not a Sinkside record" in words(told)
        code, said = server.end()
    assert code == 0
    assert said.count("is not a Sinkside record") == 2


@pytest.mark.long
def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    """A second server on the same port ends with a sentence and 1."""
    with serving(tmp_path) as server:
        said = second(server)
    assert said[0] == 1
    assert "Name another port with --port" in said[1]
    assert "Traceback" not in said[1]


def second(server: Server) -> tuple[int, str]:
    """Another server where one is: exit code, and what it says."""
    port = server.base.rpartition(":")[2]
    argv = [sys.executable, "-m", "trainer.cli", "serve", "--port", port]
    done = subprocess.run(argv, capture_output=True, text=True, check=False, timeout=60)
    return done.returncode, done.stderr


async def test_a_process_that_does_not_end_is_made_to(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Deaf to its keyboard's end and to SIGTERM: it is killed, and the place at the server is free again."""
    from aiohttp.test_utils import TestServer

    from trainer.serving import session
    from trainer.serving.gate import Gate, Hosts
    from trainer.serving.server import Serving

    deaf = "import signal, time; signal.signal(15, signal.SIG_IGN)"
    drawn = "print('__GANGLION__\\nD\\0\\0\\0\\1x', end='', flush=True)"
    argv = (sys.executable, "-c", f"{deaf}\n{drawn}\nwhile True: time.sleep(1)")
    monkeypatch.setattr("trainer.serving.server.command", lambda *_: argv)
    monkeypatch.setattr(session, "PATIENCE", 0.2)
    served = Serving(Gate(Hosts(0), "", time.monotonic), tmp_path / "r.db", "en", 1, print)
    server = TestServer(served.app(), host="127.0.0.1")
    await server.start_server()
    served.gate.hosts = Hosts(server.port or 0)
    base = f"http://127.0.0.1:{server.port}"
    async with ClientSession() as one:
        async with one.ws_connect(f"{base}/ws", headers={"Origin": base}) as link:
            await link.receive(timeout=20)  # it has started, and is deaf
            (started,) = [each.pid for each in served.sessions]
        assert await ended(started)
    await server.close()
    assert (served.taken, served.sessions) == (0, set())
