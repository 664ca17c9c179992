"""What one browser, or somebody who is none, may take of the server: time, size, connections.

The library's own settings hold what it can hold: how long the head of a request may take, how long its lines
are. The rest is held at the door, before the library sees a byte: whoever sends, or reads, a byte a second
would otherwise keep a connection for ever.
"""

from __future__ import annotations

import asyncio
import socket
import struct
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypedDict

from trainer.serving.gate import is_loopback


class Settings(TypedDict):
    """The library's settings that limit a request."""

    keepalive_timeout: float
    lingering_time: float
    max_line_size: int
    max_field_size: int
    max_headers: int


@dataclass(frozen=True, slots=True)
class Limits:
    """Seconds and numbers. A page of ours is asked for in milliseconds, over some six connections at once.

    head: until the head of a request is there, and between two requests. body: until a form is there.
    linger: how long what is still sent after an answer is thrown away, so that the answer can be read.
    whole: a connection that has not become a screen until then is closed, whatever goes on over it.
    connections: those that are no screen, at once. from_one: of these, from one address; a proxy on this
    machine brings everybody, so what comes from here counts for no address.
    """

    head: float = 15.0
    body: float = 10.0
    linger: float = 2.0
    whole: float = 60.0
    connections: int = 256
    from_one: int = 32

    def settings(self) -> Settings:
        """For the library: a head of at most 32 lines of 8 kB, an address of 2 kB."""
        return Settings(
            keepalive_timeout=self.head,
            lingering_time=self.linger,
            max_line_size=2048,
            max_field_size=8190,
            max_headers=64,
        )


@dataclass
class Door:
    """Every connection comes through here. made: what makes the library's end of one."""

    made: Callable[[], asyncio.Protocol]
    limits: Limits
    _open: dict[asyncio.BaseTransport, asyncio.TimerHandle] = field(default_factory=dict)
    _peers: Counter[str] = field(default_factory=Counter)

    def __call__(self) -> asyncio.Protocol:
        """For one more connection, as the loop asks for it."""
        return _Connection(self, self.made())

    @property
    def waiting(self) -> int:
        """How many connections are open that are no screen."""
        return len(self._open)

    def takes(self, connection: asyncio.Transport) -> bool:
        """Let a new connection in, for as long as it may take; False where there are too many."""
        peer = _address(connection)
        if len(self._open) >= self.limits.connections or self._peers[peer] >= self.limits.from_one:
            return False
        loop = asyncio.get_running_loop()
        self._open[connection] = loop.call_later(self.limits.whole, _cut, connection)
        if not is_loopback(peer):
            self._peers[peer] += 1
        return True

    def leaves(self, connection: asyncio.BaseTransport | None) -> None:
        """It is closed, or became a screen, which may stay: it counts no more."""
        timer = self._open.pop(connection, None) if connection is not None else None
        if timer is None or connection is None:
            return
        timer.cancel()
        peer = _address(connection)
        self._peers[peer] -= 1
        if self._peers[peer] <= 0:
            del self._peers[peer]


class _Connection(asyncio.Protocol):
    """Hands everything on to the library's end of a connection that was let in."""

    def __init__(self, door: Door, inner: asyncio.Protocol) -> None:
        self._door = door
        self._inner = inner
        self._transport: asyncio.Transport | None = None

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        assert isinstance(transport, asyncio.Transport)  # noqa: S101 - a stream is what is listened for
        if not self._door.takes(transport):
            transport.abort()
            return
        self._transport = transport
        self._inner.connection_made(transport)

    def connection_lost(self, exc: Exception | None) -> None:
        if self._transport is not None:
            self._door.leaves(self._transport)
            self._inner.connection_lost(exc)

    def data_received(self, data: bytes) -> None:
        if self._transport is not None:
            self._inner.data_received(data)

    def eof_received(self) -> bool | None:
        return self._inner.eof_received() if self._transport is not None else None

    def pause_writing(self) -> None:
        self._inner.pause_writing()

    def resume_writing(self) -> None:
        self._inner.resume_writing()


def _cut(connection: asyncio.Transport) -> None:
    """End it here and now: what nobody took is not kept for it either."""
    plug = connection.get_extra_info("socket")
    if plug is not None:
        plug.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    connection.abort()


def _address(connection: asyncio.BaseTransport) -> str:
    """Where a connection comes from; empty where it is gone already."""
    name = connection.get_extra_info("peername")
    return str(name[0]) if isinstance(name, tuple) and name else ""
