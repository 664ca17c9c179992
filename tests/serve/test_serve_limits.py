"""Who sends, or reads, a byte at a time, or too much, or over too many connections. Limits are short here."""

from __future__ import annotations

import asyncio
import select
import socket
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from time import monotonic

import pytest
from aiohttp import ClientSession, CookieJar

from trainer.serving.gate import Gate, Hosts
from trainer.serving.limits import Door, Limits
from trainer.serving.server import Serving, listen, runner_of

TOKEN = "a-token-for-tests-only"  # noqa: S105 - it opens nothing else
SOON = 10.0
"""Seconds within which what is limited to a fifth of one is over, on a busy machine."""

SHORT = Limits(head=0.2, body=0.2, linger=0.1, whole=30.0)


@dataclass
class Place:
    """A server in this process."""

    serving: Serving
    port: int

    @property
    def waiting(self) -> int:
        """Connections that are open and no screen."""
        assert self.serving.door is not None
        return self.serving.door.waiting


@asynccontextmanager
async def served(folder: Path, limits: Limits) -> AsyncIterator[Place]:
    """A server as `run` starts it, on a port that was free."""
    told: list[str] = []
    gate = Gate(Hosts(0), TOKEN, monotonic)
    serving = Serving(gate, folder / "record.db", "en", 2, told.append, limits)
    runner = runner_of(serving)
    await runner.setup()
    listening = await listen(serving, runner, "127.0.0.1", 0)
    port = listening.sockets[0].getsockname()[1]
    gate.hosts = Hosts(port)
    try:
        yield Place(serving, port)
    finally:
        listening.close()
        await serving.close()
        await runner.cleanup()


async def drip(place: Place, begins: str, drop: bytes) -> tuple[bytes, float]:
    """Send a beginning, then drop by drop until it is closed; gives the answer and the seconds."""
    reader, writer = await asyncio.open_connection("127.0.0.1", place.port)
    began, heard = monotonic(), b""
    writer.write(begins.format(host=f"127.0.0.1:{place.port}").encode())
    while monotonic() - began < SOON:
        try:
            got = await asyncio.wait_for(reader.read(65536), 0.01)
        except TimeoutError:
            writer.write(drop)
            continue
        except ConnectionError:
            break
        if not got:
            break
        heard += got
    writer.close()
    return heard, monotonic() - began


async def test_a_head_that_drips_in_is_cut_off(tmp_path: Path) -> None:
    """One sign at a time keeps no connection: it is closed without an answer, however much comes."""
    async with served(tmp_path, SHORT) as place:
        heard, seconds = await drip(place, "GET / HTTP/1.1\r\nHost: {host}\r\nX-Slow: ", b"a")
        assert heard == b""
        assert 0.2 <= seconds < SOON
        assert place.waiting == 0


async def test_a_connection_that_says_nothing_is_closed(tmp_path: Path) -> None:
    """Nor does silence keep one."""
    async with served(tmp_path, SHORT) as place:
        heard, seconds = await drip(place, "", b"")
        assert heard == b""
        assert 0.2 <= seconds < SOON


async def test_a_form_that_drips_in_is_refused(tmp_path: Path) -> None:
    """A token, a sign at a time: 408 (RFC 9110, 15.5.9), and nothing was tried."""
    begins = (
        "POST /enter HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Length: 4000\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\n\r\ntoken="
    )
    async with served(tmp_path, SHORT) as place:
        heard, seconds = await drip(place, begins, b"a")
        assert heard.startswith(b"HTTP/1.1 408 ")
        assert b"took too long" in heard
        assert 0.2 <= seconds < SOON
        assert place.serving.gate.wait("127.0.0.1") == 0.0


async def test_who_does_not_read_is_closed_too(tmp_path: Path) -> None:
    """An answer that nobody takes: half a megabyte, a small window, and no reading."""
    async with served(tmp_path, replace(SHORT, whole=0.3)) as place:
        with socket.socket() as lazy:
            lazy.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 2048)
            lazy.connect(("127.0.0.1", place.port))
            head = f"GET /front/textual.js HTTP/1.1\r\nHost: 127.0.0.1:{place.port}\r\n\r\n"
            lazy.sendall(head.encode() * 8)
            gone = select.poll()
            gone.register(lazy, select.POLLHUP | select.POLLERR)
            began = monotonic()
            assert await asyncio.to_thread(gone.poll, SOON * 1000)
            assert monotonic() - began >= 0.2
        assert place.waiting == 0


async def test_too_many_connections_are_not_taken(tmp_path: Path) -> None:
    """Over the most, the next is closed at once; one that leaves makes room."""
    async with served(tmp_path, replace(SHORT, head=30.0, connections=2)) as place:
        first, second = [await asyncio.open_connection("127.0.0.1", place.port) for _ in range(2)]
        third, closing = await asyncio.open_connection("127.0.0.1", place.port)
        assert await _end_of(third) == b""
        closing.close()
        first[1].close()
        await first[1].wait_closed()
        async with ClientSession() as browser, browser.get(f"http://127.0.0.1:{place.port}/") as answer:
            assert answer.status == 200
        second[1].close()


async def _end_of(reader: asyncio.StreamReader) -> bytes:
    """What comes until it is closed."""
    try:
        return await asyncio.wait_for(reader.read(), SOON)
    except ConnectionError:
        return b""


async def test_a_screen_may_stay(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A connection that became a screen counts no more, and outlives the limit for those that did not."""
    monkeypatch.setattr("trainer.serving.server.command", lambda *_: ("/bin/cat",))
    async with (
        served(tmp_path, replace(SHORT, whole=0.3)) as place,
        ClientSession(cookie_jar=CookieJar(unsafe=True)) as browser,
    ):
        base = f"http://127.0.0.1:{place.port}"
        own = {"Origin": base}
        async with browser.post(f"{base}/enter", data={"token": TOKEN}, headers=own) as answer:
            assert answer.status == 200
        async with browser.ws_connect(f"{base}/ws", headers=own) as link:
            until = monotonic() + 0.6
            while monotonic() < until:
                await link.send_json(["ping", "1"])
                assert await link.receive_json(timeout=SOON) == ["pong", "1"]
            assert not link.closed


@pytest.mark.parametrize(("address", "status"), [("x" * 1900, 200), ("x" * 2100, 400)])
async def test_an_address_has_an_end(tmp_path: Path, address: str, status: int) -> None:
    """A line of more than 2 kB is no request of ours."""
    async with (
        served(tmp_path, Limits()) as place,
        ClientSession() as browser,
        browser.get(f"http://127.0.0.1:{place.port}/?{address}") as answer,
    ):
        assert answer.status == status


async def test_a_file_that_a_browser_has_is_not_sent_again(tmp_path: Path) -> None:
    """Its ETag is enough (RFC 9110, 13.1.2)."""
    async with served(tmp_path, Limits()) as place, ClientSession() as browser:
        address = f"http://127.0.0.1:{place.port}/front/page.css"
        async with browser.get(address) as answer:
            assert answer.headers["Content-Type"].startswith("text/css")
            known = answer.headers["ETag"]
            assert b"terminal" in await answer.read()
        async with browser.get(address, headers={"If-None-Match": known}) as answer:
            assert (answer.status, await answer.read()) == (304, b"")
        async with browser.get(address, headers={"If-None-Match": '"other"'}) as answer:
            assert answer.status == 200


class Wire(asyncio.Transport):
    """A connection from an address, which keeps in mind that it was cut."""

    def __init__(self, peer: str) -> None:
        super().__init__({"peername": (peer, 50000)})
        self.cut = False

    def abort(self) -> None:
        """Cut it."""
        self.cut = True


async def test_one_address_does_not_take_all() -> None:
    """So many from one address, and others still come in; a proxy on this machine counts for no address."""
    door = Door(asyncio.Protocol, Limits(connections=100, from_one=3))
    wires = [Wire("192.0.2.7") for _ in range(5)]
    ends = [door() for _ in wires]
    for end, wire in zip(ends, wires, strict=True):
        end.connection_made(wire)
    assert [wire.cut for wire in wires] == [False, False, False, True, True]
    for peer in ("192.0.2.8", *["127.0.0.1"] * 10):
        other = Wire(peer)
        door().connection_made(other)
        assert not other.cut
    ends[3].connection_lost(None)  # it was never in: nobody is told, and nothing is counted off
    ends[0].connection_lost(None)
    again = [Wire("192.0.2.7") for _ in range(2)]
    for wire in again:
        door().connection_made(wire)
    assert [wire.cut for wire in again] == [False, True]


async def test_nothing_is_remembered_of_who_left() -> None:
    """After a thousand addresses have come and gone, nothing is kept."""
    door = Door(asyncio.Protocol, Limits())
    for number in range(1000):
        end, wire = door(), Wire(f"192.0.2.{number}")
        end.connection_made(wire)
        end.connection_lost(None)
    assert door.waiting == 0
    assert not door._peers
