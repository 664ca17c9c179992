"""A server of its own process, and browsers without a window: sockets that see a screen and press keys."""

from __future__ import annotations

import asyncio
import os
import select
import signal
import socket
import subprocess
import sys
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import pyte
from aiohttp import ClientSession, ClientWebSocketResponse, WSMsgType

TOKEN = "a-token-for-tests-only"  # noqa: S105 - it opens nothing else
COLUMNS, ROWS = 100, 30
SECONDS = 60.0
"""How long anything is waited for, on a busy machine."""


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


@dataclass
class Server:
    """`sinkside serve`, started as a person does."""

    process: subprocess.Popen[str]
    base: str
    record: Path

    @property
    def children(self) -> list[int]:
        """The processes that it started and that are still there (Linux)."""
        tasks = Path(f"/proc/{self.process.pid}/task")
        return [int(one) for task in tasks.iterdir() for one in (task / "children").read_text().split()]

    def end(self, number: int = signal.SIGTERM) -> tuple[int, str]:
        """Send a signal; gives the exit code and what was said on stderr."""
        self.process.send_signal(number)
        _, said = self.process.communicate(timeout=SECONDS)
        return self.process.returncode, said


@contextmanager
def serving(folder: Path, *more: str) -> Iterator[Server]:
    """A server with a token over a record in a folder. The exposure test, which is short, comes first."""
    shop = folder / "shop.yaml"
    shop.write_text("format: 1\nfirst: [exposure-test]\n", encoding="utf-8")
    token = folder / "token"
    token.touch(mode=0o600)
    token.write_text(TOKEN, encoding="ascii")
    port, record = free_port(), folder / "record.db"
    argv = [sys.executable, "-P", "-m", "trainer.cli", "--record", str(record), "serve", "--port", str(port)]
    process = subprocess.Popen(
        [*argv, "--token-file", str(token), *more],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=os.environ | {"TEXTUAL_ANIMATIONS": "none", "SINKSIDE_SHOP": str(shop)},
    )
    try:
        assert process.stdout is not None
        assert "Open http" in process.stdout.readline()
        yield Server(process, f"http://127.0.0.1:{port}", record)
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate()


async def let_in(browser: ClientSession, base: str) -> None:
    """Show the token."""
    async with browser.post(f"{base}/enter", data={"token": TOKEN}, headers={"Origin": base}) as answer:
        assert answer.status == 200, await answer.text()


@dataclass
class Tablet:
    """One browser with its screen, as a person sees it."""

    link: ClientWebSocketResponse
    screen: pyte.Screen = field(default_factory=lambda: pyte.Screen(COLUMNS, ROWS))

    def __post_init__(self) -> None:
        self.stream = pyte.ByteStream(self.screen)

    async def press(self, keys: str) -> None:
        """Press keys."""
        await self.link.send_json(["stdin", keys])

    def text(self) -> str:
        """The screen, as lines."""
        return "\n".join(line.rstrip() for line in self.screen.display)

    async def read(self, within: float) -> bool:
        """Take in one message; False where none came, or the screen was closed."""
        try:
            message = await self.link.receive(timeout=within)
        except TimeoutError:
            return False
        if message.type is WSMsgType.BINARY:
            self.stream.feed(message.data)
        return message.type in (WSMsgType.BINARY, WSMsgType.TEXT)

    async def until(self, holds: Callable[[str], bool], what: str) -> str:
        """Read until the screen holds what is waited for; gives the screen."""
        deadline = time.monotonic() + SECONDS
        while not holds(self.text()):
            assert time.monotonic() < deadline, f"{what} did not show:\n{self.text()}"
            assert not self.link.closed, f"closed before {what}:\n{self.text()}"
            await self.read(0.2)
        return self.text()

    async def until_closed(self) -> str:
        """Read to the end; gives the last screen."""
        deadline = time.monotonic() + SECONDS
        while not self.link.closed:
            assert time.monotonic() < deadline, "it stays open"
            await self.read(0.2)
        return self.text()

    async def begin(self, trainee: str) -> None:
        """Fill in the start screen's code and begin its first piece of work, reading what comes first."""
        await self.until(lambda screen: "Trainee" in screen, "the start screen")
        await self.press(trainee)
        await self.until(lambda screen: trainee in screen, "the code")
        for _ in range(6):
            await self.press("\x1b[B")
        await self.until(lambda screen: "▸ Begin" in screen, "the last row")
        await self.press("\r")
        await self.until(lambda screen: "Begin a run" not in screen, "what comes after the start screen")


@asynccontextmanager
async def tablet(browser: ClientSession, base: str) -> AsyncIterator[Tablet]:
    """A screen that is open."""
    address = f"{base}/ws?width={COLUMNS}&height={ROWS}"
    async with browser.ws_connect(address, headers={"Origin": base}, max_msg_size=0) as link:
        yield Tablet(link)


async def ended(*pids: int) -> bool:
    """Wait until these processes have ended, whoever started them; False where one has not (Linux)."""
    return all([await asyncio.to_thread(_ends, pid) for pid in pids])


def _ends(pid: int) -> bool:
    try:
        handle = os.pidfd_open(pid)
    except ProcessLookupError:
        return True
    try:
        end = select.poll()
        end.register(handle, select.POLLIN)
        return bool(end.poll(SECONDS * 1000))
    finally:
        os.close(handle)
