"""The app in a browser: who may come in, what is sent to whom, and how many screens are open at once."""

from __future__ import annotations

import asyncio
import os
import signal
from collections.abc import Awaitable, Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from math import ceil
from pathlib import Path
from urllib.parse import urlsplit

from aiohttp import web

from trainer import tongue
from trainer.procedure.text import one_line
from trainer.run.ports import Trouble
from trainer.serving import pages
from trainer.serving.gate import Gate, Hosts, is_loopback
from trainer.serving.languages import preferred, speaking
from trainer.serving.limits import Door, Limits
from trainer.serving.session import COLUMNS, MOST_MESSAGE, ROWS, Session, command, within
from trainer.tongue import counted, marked, spoken

HEARTBEAT = 15.0
"""Seconds after which a browser is asked whether it is still there; half as many more, and it has left."""

FAREWELL = 2.0
"""Seconds that a browser is given to agree that its screen is closed."""

MOST_FORM = 4096
"""Bytes of a form, of which a token takes a few."""

_EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - compared with, not listened on
_KEY_COOKIE = "sinkside"
_LONGEST_PEER = 45
"""Signs of an address, at most: IPv6 with IPv4 in it (RFC 4291, 2.2)."""

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]
Tell = Callable[[str], None]


@dataclass
class Serving:
    """What is served: a record, in a language, to so many browsers at once. tell: a line to the keeper."""

    gate: Gate
    record: Path
    language: str
    most: int
    tell: Tell
    limits: Limits = field(default_factory=Limits)
    door: Door | None = None
    """Where connections come in; it is told which of them became screens."""
    sessions: set[Session] = field(default_factory=set)
    taken: int = 0
    """Screens that are open, or just being opened."""

    def app(self) -> web.Application:
        """The server's routes; there is nothing else that answers."""
        app = web.Application(middlewares=[self._guarded], client_max_size=MOST_FORM)
        app.add_routes(
            [
                web.get("/", self._index),
                web.get("/ws", self._screen),
                web.post("/enter", self._enter),
                web.get("/front/{name}", _front),
            ]
        )
        return app

    @web.middleware
    async def _guarded(self, request: web.Request, handler: Handler) -> web.StreamResponse:
        """Every answer with its headers; every request under one of our names, and from a page of ours."""
        try:
            self._look_at(request)
            response = await handler(request)
        except web.HTTPException as refused:
            with self._speaking(request):
                text = _NOT_THERE if refused.status == 404 else refused.text or refused.reason
                said = spoken(text, number=self.most)
                response = _page(refused.status, pages.saying(said))
            response.headers.update(
                {name: refused.headers[name] for name in ("Location", "Allow") if name in refused.headers}
            )
        if not response.prepared:
            response.headers.update(self._headers(request))
        return response

    def _look_at(self, request: web.Request) -> None:
        """Raise an HTTPException for a request under another name, or from another site's page."""
        hosts = self.gate.hosts
        if not hosts.fits(request.host):
            raise web.HTTPMisdirectedRequest(
                text=marked("This address is not one under which this screen is served.")
            )
        changes = request.method != "GET" or request.path == "/ws"
        if changes and not hosts.same_site(request.headers.get("Origin"), request.host):
            raise web.HTTPForbidden(text=marked("This did not come from a page of this screen."))

    def _headers(self, request: web.Request) -> dict[str, str]:
        """What a browser must keep to: nothing from elsewhere, in no other page, kept nowhere.

        The terminal's library makes styles as it goes: those within the page are allowed, scripts are not.
        """
        socket = self._socket_address(request)
        origin = urlsplit(socket)
        policy = (
            "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; font-src 'self'; "
            f"img-src 'self' data: blob:; connect-src {origin.scheme}://{origin.netloc}; form-action 'self'; "
            "base-uri 'none'; frame-ancestors 'none'"
        )
        return {
            "Content-Security-Policy": policy,
            "X-Content-Type-Options": "nosniff",
            "X-Frame-Options": "DENY",
            "Referrer-Policy": "same-origin",  # with no-referrer a form of our own would have no origin
            "Cross-Origin-Resource-Policy": "same-origin",
            "Permissions-Policy": "camera=(), microphone=(), geolocation=(), usb=(), serial=()",
            "Cache-Control": "no-cache" if request.path.startswith("/front/") else "no-store",
            "Server": "sinkside",
            **({"Cross-Origin-Opener-Policy": "same-origin"} if self.gate.hosts.scheme == "https" else {}),
        }

    def _socket_address(self, request: web.Request) -> str:
        hosts = self.gate.hosts
        host = request.host if hosts.fits(request.host) else "localhost"
        return f"{'wss' if hosts.scheme == 'https' else 'ws'}://{host}/ws"

    def _is_in(self, request: web.Request) -> bool:
        return self.gate.knows(request.cookies.get(_KEY_COOKIE))

    async def _index(self, request: web.Request) -> web.Response:
        if not self._is_in(request):
            return self._asking(request, 200, _WHY)
        if self.taken >= self.most:
            raise web.HTTPServiceUnavailable(text=_FULL)
        letters = request.query.get("letters", "18")
        size = int(letters) if letters.isascii() and letters.isdecimal() and len(letters) < 4 else 18
        return _page(200, pages.screen(self._socket_address(request), self.language, size))

    def _speaking(self, request: web.Request) -> AbstractContextManager[None]:
        """In the browser's language, where it is one of ours: nobody has chosen one yet."""
        accepted = request.headers.get("Accept-Language", "")
        return speaking(preferred(accepted, tongue.NAMES, self.language))

    def _asking(self, request: web.Request, status: int, why: str) -> web.Response:
        with self._speaking(request):
            return _page(status, pages.asking(spoken(why)))

    def _peer(self, request: web.Request) -> str:
        """Where a request comes from: behind a proxy on this machine, what the proxy says.

        Where it says nothing, all are one; where it hands on what a browser made up, wrong tokens are still
        looked at no faster than four a second in all.
        """
        here = request.remote or ""
        if not self.gate.hosts.public or not is_loopback(here):
            return here
        told = request.headers.get("X-Forwarded-For", "").rpartition(",")[2].strip()
        return one_line(told)[:_LONGEST_PEER] or here

    async def _enter(self, request: web.Request) -> web.Response:
        """The token was typed, or came with the address."""
        peer = self._peer(request)
        if wait := ceil(self.gate.wait(peer)):
            with self._speaking(request):
                response = _page(429, pages.asking(_too_soon(wait)))
            response.headers["Retry-After"] = str(wait)
            return response
        try:
            async with asyncio.timeout(self.limits.body):
                typed = (await request.post()).get("token")
        except TimeoutError as late:
            raise web.HTTPRequestTimeout(text=marked("This took too long to arrive.")) from late
        key = self.gate.try_token(peer, typed.strip() if isinstance(typed, str) else "")
        if key is None:
            self.tell(f"A wrong token came from {one_line(peer)}.")
            return self._asking(request, 403, marked("That was not the token."))
        entered = web.Response(status=303, headers={"Location": "/"})
        secure = self.gate.hosts.scheme == "https"
        entered.set_cookie(_KEY_COOKIE, key, httponly=True, samesite="Strict", secure=secure, path="/")
        return entered

    async def _screen(self, request: web.Request) -> web.StreamResponse:
        """A browser's screen, from its opening to its end."""
        if not self._is_in(request):
            raise web.HTTPForbidden(text=marked("Show the token first."))
        if self.taken >= self.most:
            raise web.HTTPServiceUnavailable(text=_FULL)
        columns, rows = (_cells(request, name, limits) for name, limits in _CELLS)
        browser = web.WebSocketResponse(
            heartbeat=HEARTBEAT, max_msg_size=MOST_MESSAGE, compress=False, timeout=FAREWELL
        )
        self.taken += 1
        try:
            await browser.prepare(request)
            if self.door is not None:
                self.door.leaves(request.transport)
            session = Session(command(self.record, self.language), browser)
            self.sessions.add(session)
            try:
                await session.follow(columns, rows)
            finally:
                self.sessions.discard(session)
            if session.said:
                self.tell(f"A screen of {one_line(request.remote or '')} said: {session.said}")
            await browser.close()
        finally:
            self.taken -= 1
        return browser

    async def close(self) -> None:
        """Close every screen; each run stays open where it stands."""
        for session in tuple(self.sessions):
            await session.leave()


_WHY = marked("This screen opens with the token that the server was started with.")
_NOT_THERE = marked("There is no such page.")
_FULL = marked("All {number} screens are in use. Close one that nobody needs, then try again.")


def _too_soon(seconds: int) -> str:
    return counted(
        "Too soon after a wrong token. Try again in {number} second.",
        "Too soon after a wrong token. Try again in {number} seconds.",
        seconds,
    )


_CELLS = (("width", COLUMNS), ("height", ROWS))


def _cells(request: web.Request, name: str, limits: tuple[int, int]) -> int:
    """Columns or rows as a browser gives them in its address, held to their limits."""
    given = request.query.get(name, "")
    return within(int(given) if given.isascii() and given.isdecimal() and len(given) < 6 else 80, limits)


async def _front(request: web.Request) -> web.Response:
    """One of the few files that make up the page; nothing where the browser has it already."""
    if request.match_info["name"] not in pages.SERVED:
        raise web.HTTPNotFound
    file = pages.served(request.match_info["name"])
    named = {"ETag": f'"{file.digest}"'}
    if any(file.digest == tag.value for tag in request.if_none_match or ()):
        return web.Response(status=304, headers=named)
    return web.Response(body=file.content, content_type=file.kind, headers=named)


def _page(status: int, text: str) -> web.Response:
    return web.Response(status=status, text=text, content_type="text/html", charset="utf-8")


def runner_of(serving: Serving) -> web.AppRunner:
    """The library's server, held to the limits."""
    settings = serving.limits.settings()
    return web.AppRunner(
        serving.app(), access_log=None, handle_signals=False, shutdown_timeout=12.0, **settings
    )


async def listen(serving: Serving, runner: web.AppRunner, address: str, port: int) -> asyncio.Server:
    """Let connections in, through the door. Raises OSError where it cannot listen."""
    made = runner.server
    assert made is not None  # noqa: S101 - it is set up
    serving.door = Door(made, serving.limits)
    return await asyncio.get_running_loop().create_server(serving.door, address, port, backlog=128)


async def run(serving: Serving, address: str, port: int, ready: Callable[[], None]) -> None:
    """Serve until a signal asks to end; then close every screen. Raises Trouble where it cannot listen."""
    runner = runner_of(serving)
    await runner.setup()
    try:
        try:
            listening = await listen(serving, runner, address, port)
        except OSError as error:
            number = error.errno or 0  # those of names that are not found are below 0
            why = os.strerror(number) if number > 0 else error.strerror or error
            raise Trouble(
                f"Nobody can be served at {address} port {port}: {why}. "
                "Name another port with --port, or an address of this machine with --listen."
            ) from error
        ended = asyncio.Event()
        loop = asyncio.get_running_loop()
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            loop.add_signal_handler(number, ended.set)
        ready()
        await ended.wait()
        listening.close()
        await serving.close()
    finally:
        await runner.cleanup()


def names_of(address: str, port: int, more: tuple[str, ...], public: str, own_name: str) -> Hosts:
    """The names under which browsers may come to an address. own_name: what this machine is called."""
    names = {address, "localhost", "127.0.0.1", "::1", *more}
    numbers = not is_loopback(address)
    if numbers:
        names |= {own_name, f"{own_name}.local"}
    return Hosts(port, frozenset(name.lower() for name in names if name), numbers=numbers, public=public)


def address_of(hosts: Hosts, address: str, own_name: str) -> str:
    """The address to type into a browser. own_name: what this machine is called."""
    if hosts.public:
        return hosts.public.rstrip("/")
    address = own_name if address in _EVERYWHERE else address
    name = f"[{address}]" if ":" in address else address
    return f"http://{name}" if hosts.port == 80 else f"http://{name}:{hosts.port}"
