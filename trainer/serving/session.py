"""One browser's session: a process of its own, and what goes to and fro between it and the browser."""

from __future__ import annotations

import asyncio
import json
import os
import signal
import sys
from asyncio.subprocess import PIPE, Process
from collections.abc import Mapping, Sequence
from pathlib import Path
from textwrap import wrap

from aiohttp import WSMsgType, web
from textual_serve.app_service import AppService
from textual_serve.download_manager import DownloadManager

from trainer.procedure.text import one_line

PRELUDE = b"__GANGLION__\n"
"""What the library's driver writes before its first packet."""

MOST_MESSAGE = 64 * 1024
"""Bytes of a message from a browser; a key is a few, a paste is longer."""

COLUMNS, ROWS = (20, 400), (8, 200)
"""Least and most cells of a screen: what a browser says it has is not to be believed."""

PATIENCE = 5.0
"""Seconds that a process is given to end, before it is ended."""

_MOST_SAID = 4096
_LEFT_OUT = ("TEXTUAL", "COLUMNS", "LINES", "ROWS")
"""Variables of the server's own terminal, which are nothing to the browser's."""


class BadMessage(ValueError):  # noqa: N818 - it is what it is
    """A browser sent what our page never sends."""


def command(record: Path, language: str) -> tuple[str, ...]:
    """What is run for a browser: these screens and nothing else. No shell, nothing from a request."""
    return (sys.executable, "-P", "-m", "trainer.serving.seat", str(record), language)


def environment(own: Mapping[str, str], columns: int, rows: int) -> dict[str, str]:
    """The process's variables: the server's, but those of its terminal."""
    kept = {name: value for name, value in own.items() if not name.startswith(_LEFT_OUT)}
    return kept | {
        "TEXTUAL_DRIVER": "trainer.serving.driver:SeatDriver",
        "TEXTUAL_COLOR_SYSTEM": "truecolor",
        "TEXTUAL_FPS": "30",
        "COLUMNS": str(columns),
        "ROWS": str(rows),
    }


def within(value: object, limits: tuple[int, int]) -> int:
    """A number of cells held to its limits. Raises BadMessage where it is no whole number."""
    if not isinstance(value, int) or isinstance(value, bool):
        raise BadMessage
    return max(limits[0], min(limits[1], value))


def last_words(said: bytes) -> str:
    """What a process said on stderr, as lines that are safe to show."""
    lines = said.decode("utf-8", "replace").splitlines()
    return "\n".join(one_line(line) for line in lines if line.strip())


def in_lines(said: str, columns: int) -> list[str]:
    """Sentences in lines that fit, broken between words where a word itself fits."""
    return [line for sentence in said.splitlines() for line in wrap(sentence, columns - 1) or [""]]


class Session(AppService):
    """The library's link to a process, with our own way to start one, to listen to it and to end it."""

    def __init__(self, argv: Sequence[str], browser: web.WebSocketResponse) -> None:
        super().__init__(
            "",
            write_bytes=browser.send_bytes,
            write_str=browser.send_str,
            close=self._close_browser,
            download_manager=DownloadManager(),
        )
        self._argv = tuple(argv)
        self._browser = browser
        self._lost = asyncio.Event()
        self.said = ""
        """What the process said last on stderr, clean."""

    async def _close_browser(self) -> None:
        await self._browser.close()

    async def _open_app_process(self, width: int = 80, height: int = 24) -> Process:
        """Start the screens in a process group of their own."""
        self._process = process = await asyncio.create_subprocess_exec(
            *self._argv,
            stdin=PIPE,
            stdout=PIPE,
            stderr=PIPE,
            env=environment(os.environ, width, height),
            start_new_session=True,
        )
        self._stdin = process.stdin
        return process

    @property
    def pid(self) -> int:
        """The process's id; 0 before it was started."""
        return self._process.pid if self._process else 0

    async def follow(self, columns: int, rows: int) -> None:
        """From the start of the process to its end, or until the browser leaves; the process is gone then."""
        await self._open_app_process(columns, rows)
        process = self._process
        assert process is not None  # noqa: S101 - just started
        drawing = asyncio.create_task(self._draw(process))
        hearing = asyncio.create_task(self._hear(process))
        leaving = [asyncio.create_task(self._type()), asyncio.create_task(self._is_lost())]
        try:
            await asyncio.wait({drawing, *leaving}, return_when=asyncio.FIRST_COMPLETED)
        finally:
            code = await self._end(process)
            for task in (drawing, hearing, *leaving):
                task.cancel()
            await asyncio.wait({drawing, hearing, *leaving})
        _raise_of(drawing, hearing, *leaving)
        if code == 1 and self.said:
            last = "\r\n".join(in_lines(self.said, columns))
            await self._show(f"\x1b[?1049l\x1b[2J\x1b[H{last}\r\n".encode())

    async def leave(self) -> None:
        """End it from here: the server closes."""
        self._lost.set()

    async def _is_lost(self) -> None:
        await self._lost.wait()

    async def _draw(self, process: Process) -> None:
        """Hand on what the process draws, until it ends; when nobody looks any more, to nowhere.

        It is read to its end all the same: a process that cannot write cannot end either.
        """
        out = process.stdout
        assert out is not None  # noqa: S101 - it was asked for
        try:
            while await out.readline() not in (PRELUDE, b""):
                pass  # nothing writes there before the driver does
            while True:
                kind = await out.readexactly(1)
                size = int.from_bytes(await out.readexactly(4), "big")
                payload = await out.readexactly(size)
                if kind == b"D":
                    await self._show(payload)
                elif kind == b"M" and json.loads(payload).get("type") == "exit":
                    return
        except asyncio.IncompleteReadError:
            return

    async def _show(self, drawn: bytes) -> None:
        if self._browser.closed:
            return
        try:
            await self._browser.send_bytes(drawn)
        except ConnectionResetError:
            self._lost.set()

    async def _hear(self, process: Process) -> None:
        """Keep the end of what the process says on stderr."""
        assert process.stderr is not None  # noqa: S101 - it was asked for
        kept = b""
        while said := await process.stderr.read(_MOST_SAID):
            kept = (kept + said)[-_MOST_SAID:]
        self.said = last_words(kept)

    async def _type(self) -> None:
        """Hand on what the browser sends, until it leaves."""
        async for message in self._browser:
            if message.type is not WSMsgType.TEXT:
                await self._browser.close(code=1003)
                return
            try:
                await self._take(json.loads(message.data))
            except (ValueError, RecursionError):  # BadMessage is one, what is no JSON is another
                await self._browser.close(code=1008)
                return

    async def _take(self, message: object) -> None:
        """One message of our page. Raises BadMessage for anything else."""
        match message:
            case ["stdin", str(keys)]:
                await self.send_bytes(keys.encode("utf-8", "replace"))
            case ["resize", {"width": width, "height": height}]:
                await self.set_terminal_size(within(width, COLUMNS), within(height, ROWS))
            case ["ping", str(stamp)]:
                await self._browser.send_json(["pong", stamp[:32]])
            case ["blur"]:
                await self.blur()
            case ["focus"]:
                await self.focus()
            case _:
                raise BadMessage

    async def _end(self, process: Process) -> int:
        """See that the process ends: its keyboard goes away, it is told, it is made to. Gives its exit code.

        What it said last is heard then, and the run is open for whoever takes it up.
        """
        if process.stdin is not None:
            process.stdin.close()  # to the process, a terminal that went away
        for more in (signal.SIGTERM, signal.SIGKILL):
            try:
                return await asyncio.wait_for(process.wait(), PATIENCE)
            except TimeoutError:
                process.send_signal(more)
        return await process.wait()


def _raise_of(*tasks: asyncio.Task[None]) -> None:
    """Raise what a task met that nobody foresaw; a browser or a process that left is no error."""
    for task in tasks:
        if not task.cancelled() and (error := task.exception()) is not None:
            raise error
