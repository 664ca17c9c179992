"""A line to a server that can be cut, can go dead, and can be slow: a TCP proxy in a thread of its own."""

from __future__ import annotations

import asyncio
import threading
from types import TracebackType
from typing import Self


class BadLine:
    """Hands every connection on to a port of this machine. Use it as a context manager.

    cut: all connections are gone at once. dead: from now on what is sent goes nowhere, and no answer comes;
    who waits is told only when the line is cut. slow: seconds that each piece takes, in each direction. shut:
    who connects is turned away.
    """

    def __init__(self, to: int) -> None:
        self.port = 0
        self.dead = False
        self.slow = 0.0
        self.shut = False
        self._to = to
        self._open: set[asyncio.StreamWriter] = set()
        self._loop = asyncio.new_event_loop()
        self._ready = threading.Event()
        self._done = asyncio.Event()
        self._thread = threading.Thread(target=self._run, name="bad line")

    def __enter__(self) -> Self:
        self._thread.start()
        assert self._ready.wait(10)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._loop.call_soon_threadsafe(self._done.set)
        self._thread.join(10)

    def cut(self) -> None:
        """Every connection breaks, without a word."""
        self._loop.call_soon_threadsafe(self._cut)

    def well(self) -> None:
        """Nothing is wrong with it any more; what went dead breaks."""
        was_dead, self.dead, self.slow, self.shut = self.dead, False, 0.0, False
        if was_dead:
            self.cut()

    def _cut(self) -> None:
        for one in list(self._open):
            one.transport.abort()

    def _run(self) -> None:
        asyncio.set_event_loop(self._loop)
        try:
            self._loop.run_until_complete(self._serve())
        finally:
            self._loop.close()

    async def _serve(self) -> None:
        server = await asyncio.start_server(self._one, "127.0.0.1", 0)
        self.port = server.sockets[0].getsockname()[1]
        self._ready.set()
        await self._done.wait()
        server.close()
        self._cut()
        rest = [task for task in asyncio.all_tasks() if task is not asyncio.current_task()]
        for task in rest:
            task.cancel()
        await asyncio.gather(*rest, return_exceptions=True)

    async def _one(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        if self.shut:
            writer.transport.abort()
            return
        try:
            far_reader, far_writer = await asyncio.open_connection("127.0.0.1", self._to)
        except OSError:  # the server is down: nobody answers
            writer.transport.abort()
            return
        both = (writer, far_writer)
        self._open.update(both)
        try:
            await asyncio.gather(self._carry(reader, far_writer, both), self._carry(far_reader, writer, both))
        finally:
            self._open.difference_update(both)
            for one in both:
                one.transport.abort()

    async def _carry(
        self,
        reader: asyncio.StreamReader,
        writer: asyncio.StreamWriter,
        both: tuple[asyncio.StreamWriter, ...],
    ) -> None:
        try:
            while piece := await reader.read(16384):
                if self.slow:
                    await asyncio.sleep(self.slow)
                if self.dead:
                    continue
                writer.write(piece)
                await writer.drain()
        except OSError:  # one side is gone, and so is the other then
            pass
        finally:
            for one in both:
                one.transport.abort()
