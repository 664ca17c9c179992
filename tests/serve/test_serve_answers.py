"""What the server answers, and to whom: headers, pages, refusals. No process is started here."""

from __future__ import annotations

import re
import sys
from collections.abc import AsyncIterator
from pathlib import Path
from time import monotonic

import pytest
from aiohttp import ClientSession, CookieJar, WSMsgType, WSServerHandshakeError
from aiohttp.test_utils import TestServer

from trainer import tongue
from trainer.run.ports import Trouble
from trainer.serving import pages
from trainer.serving.gate import Gate, Hosts
from trainer.serving.server import Serving, address_of, names_of
from trainer.serving.session import BadMessage, command, environment, in_lines, within
from trainer.serving.token_file import kept_token, leave_token

TOKEN = "a-token-for-tests-only"  # noqa: S105 - it opens nothing else


class Place:
    """A server in this process, and a browser."""

    def __init__(self, browser: ClientSession, serving: Serving, base: str) -> None:
        self.browser = browser
        self.serving = serving
        self.base = base
        self.own = {"Origin": base}

    async def enter(self, token: str = TOKEN, **headers: str) -> tuple[int, str]:
        """Show a token; status and page of the answer."""
        sent = self.own | headers
        async with self.browser.post(f"{self.base}/enter", data={"token": token}, headers=sent) as answer:
            return answer.status, await answer.text()

    async def socket_status(self, **headers: str) -> int:
        """The status with which a screen is refused; 101 where it is opened."""
        try:
            async with self.browser.ws_connect(f"{self.base}/ws", headers=headers):
                return 101
        except WSServerHandshakeError as refused:
            return refused.status


@pytest.fixture
def told() -> list[str]:
    """What the keeper is told."""
    return []


@pytest.fixture
async def place(tmp_path: Path, told: list[str]) -> AsyncIterator[Place]:
    """A server that wants a token, with room for two screens."""
    serving = Serving(Gate(Hosts(0), TOKEN, monotonic), tmp_path / "record.db", "en", 2, told.append)
    server = TestServer(serving.app(), host="127.0.0.1")
    await server.start_server()
    serving.gate.hosts = Hosts(server.port or 0)
    async with ClientSession(cookie_jar=CookieJar(unsafe=True)) as browser:
        yield Place(browser, serving, f"http://127.0.0.1:{server.port}")
    await server.close()


async def test_every_answer_keeps_the_browser_to_us(place: Place) -> None:
    """Pages, files, refusals and errors alike: nothing from elsewhere, in no frame, kept nowhere.

    Headers: Content Security Policy Level 3 (W3C); RFC 9111 (no-store); Fetch (nosniff, resource policy).
    """
    for path, status in (("/", 200), ("/front/page.css", 200), ("/nothing", 404), ("/front/none", 404)):
        async with place.browser.get(f"{place.base}{path}") as answer:
            assert answer.status == status
            policy = answer.headers["Content-Security-Policy"]
            assert "default-src 'none'" in policy
            assert "frame-ancestors 'none'" in policy
            assert "script-src 'self';" in policy
            assert f"connect-src ws://127.0.0.1:{answer.url.port};" in policy
            assert answer.headers["X-Content-Type-Options"] == "nosniff"
            assert answer.headers["X-Frame-Options"] == "DENY"
            assert answer.headers["Cache-Control"] == (
                "no-cache" if "css" in path or "none" in path else "no-store"
            )
            assert answer.headers["Server"] == "sinkside"
            assert "Access-Control-Allow-Origin" not in answer.headers


async def test_no_page_fetches_anything_from_elsewhere(place: Place) -> None:
    """Every address in the pages and their styles and scripts is one of ours, and there."""
    whole = [pages.asking("x"), pages.saying("x"), pages.screen("ws://127.0.0.1/ws", "en", 18)]
    named = {found for page in whole for found in re.findall(r'(?:src|href|action)="([^"]+)"', page)}
    named |= set(re.findall(r'url\("([^"]+)"\)', (pages.FRONT / "page.css").read_text("utf-8")))
    assert named - {"data:,", "/", "/enter"} == {f"/front/{name}" for name in pages.SERVED}
    for name in pages.SERVED:
        async with place.browser.get(f"{place.base}/front/{name}") as answer:
            assert answer.status == 200
    for name in ("page.css", "enter.js", "screen.js", "xterm.css"):
        text = re.sub(r"/\*.*?\*/", "", pages.SERVED[name].read_text("utf-8"), flags=re.DOTALL)
        assert not re.search(r"https?:|//\w+\.|@import", text), name
    assert not re.search(rb"https?://(?!www\.w3\.org/)", pages.SERVED["textual.js"].read_bytes())
    assert all("<script>" not in page and " on" + "click" not in page for page in whole)


def test_the_page_speaks_the_language_that_is_served() -> None:
    """In Spanish, the words around the screen are Spanish too."""
    tongue.speak("es")
    try:
        page = pages.screen("ws://127.0.0.1/ws", "es", 18)
    finally:
        tongue.speak("en")
    assert '<html lang="es">' in page
    assert "Esta pantalla está cerrada." in page
    assert "Open it again" not in page


@pytest.mark.parametrize(
    "path",
    [
        "/front/../pages.py",
        "/front/%2e%2e/pages.py",
        "/front/..%2fpages.py",
        "/static/js/textual.js",
        "/download/x",
    ],
)
async def test_no_other_file_is_served(place: Place, path: str) -> None:
    """Ways out of the folder, and what the library would serve, are not there."""
    from yarl import URL

    async with place.browser.get(URL(f"{place.base}{path}", encoded=True)) as answer:
        assert answer.status == 404


async def test_a_browser_under_another_name_is_refused(place: Place) -> None:
    """A site that made its name lead here gets nothing, not even the page for the token."""
    for path in ("/", "/front/page.css"):
        async with place.browser.get(f"{place.base}{path}", headers={"Host": "rebound.example"}) as answer:
            assert answer.status == 421
            assert "Token" not in await answer.text()


async def test_the_token_opens_and_nothing_else_does(place: Place, told: list[str]) -> None:
    """Without the cookie a screen is refused; a wrong token is told to the keeper, without the token."""
    assert await place.socket_status(**place.own) == 403
    status, page = await place.enter("wrong-and-secret")
    assert (status, "not the token" in page) == (403, True)
    assert told == ["A wrong token came from 127.0.0.1."]
    status, page = await place.enter()
    assert (status, "Too soon" in page) == (429, True)


async def test_the_cookie_is_for_this_page_alone(place: Place) -> None:
    """HttpOnly and SameSite=Strict (RFC 6265bis); it is not the token; with it the screen is there."""
    posted = {"data": {"token": TOKEN}, "headers": place.own, "allow_redirects": False}
    async with place.browser.post(f"{place.base}/enter", **posted) as answer:  # type: ignore[arg-type]
        assert (answer.status, answer.headers["Location"]) == (303, "/")
        cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert TOKEN not in cookie
    async with place.browser.get(f"{place.base}/") as answer:
        assert 'class="textual-terminal"' in await answer.text()


async def test_behind_a_proxy_the_cookie_is_secure(place: Place) -> None:
    """Where browsers come by https, the cookie goes by https only, and so does the socket."""
    place.serving.gate.hosts = Hosts(8000, public="https://sink.school.example")
    own = {"Host": "sink.school.example", "Origin": "https://sink.school.example"}
    posted = {"data": {"token": TOKEN}, "headers": own, "allow_redirects": False}
    async with place.browser.post(f"{place.base}/enter", **posted) as answer:  # type: ignore[arg-type]
        assert answer.status == 303
        assert "Secure" in answer.headers["Set-Cookie"]
        assert "wss://sink.school.example" in answer.headers["Content-Security-Policy"]


@pytest.mark.parametrize("origin", ["http://other.example", "null", "https://127.0.0.1", None])
async def test_another_sites_page_opens_nothing(place: Place, origin: str | None) -> None:
    """With the cookie, and from another origin or none: neither a screen nor a form."""
    assert (await place.enter())[0] == 200
    headers = {} if origin is None else {"Origin": origin}
    assert await place.socket_status(**headers) == 403
    async with place.browser.post(f"{place.base}/enter", data={"token": TOKEN}, headers=headers) as answer:
        assert answer.status == 403


async def test_no_more_screens_than_there_is_room_for(place: Place) -> None:
    """Where all are taken, the page says so, and a socket is refused."""
    await place.enter()
    place.serving.taken = 2
    assert await place.socket_status(**place.own) == 503
    async with place.browser.get(f"{place.base}/") as answer:
        assert answer.status == 503
        assert "All 2 screens are in use" in await answer.text()


@pytest.mark.parametrize(
    ("sent", "code"),
    [
        ("no json", 1008),
        ('["run", "rm"]', 1008),
        ('["stdin", 5]', 1008),
        ('["resize", {"width": "80", "height": 24}]', 1008),
        ('["resize", {"width": true, "height": 24}]', 1008),
        ("[" * 60_000, 1008),
        (b"binary", 1003),
        ("x" * 70_000, 1009),
    ],
)
async def test_what_our_page_never_sends_closes_the_screen(
    place: Place, sent: str | bytes, code: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Close codes of RFC 6455, 7.4.1: 1003 unacceptable, 1008 policy, 1009 too big."""
    listens = (sys.executable, "-c", "import sys; print('__GANGLION__', flush=True); sys.stdin.read()")
    monkeypatch.setattr("trainer.serving.server.command", lambda *_: listens)
    await place.enter()
    async with place.browser.ws_connect(f"{place.base}/ws", headers=place.own) as link:
        await (link.send_bytes(sent) if isinstance(sent, bytes) else link.send_str(sent))
        message = await link.receive(timeout=20)
        assert message.type in (WSMsgType.CLOSE, WSMsgType.CLOSED)
        assert link.close_code == code
    assert place.serving.sessions == set() or place.serving.taken <= 1


def test_what_is_run_comes_from_no_request(tmp_path: Path) -> None:
    """The command is these screens, this Python and the record; no shell, no folder of modules."""
    argv = command(tmp_path / "r; rm.db", "en")
    assert argv[1:4] == ("-P", "-m", "trainer.serving.seat")
    assert argv[4:] == (str(tmp_path / "r; rm.db"), "en")


def test_a_process_has_its_own_terminal() -> None:
    """The server's own size, driver, debugging and log are not handed on; what is the station's is."""
    own = {
        "COLUMNS": "5",
        "LINES": "5",
        "TEXTUAL": "debug",
        "TEXTUAL_LOG": "x",
        "SINKSIDE_HOME": "/h",
        "A": "b",
    }
    made = environment(own, 100, 30)
    assert (made["COLUMNS"], made["ROWS"], made["A"], made["SINKSIDE_HOME"]) == ("100", "30", "b", "/h")
    assert made["TEXTUAL_DRIVER"] == "trainer.serving.driver:SeatDriver"
    assert not {"LINES", "TEXTUAL", "TEXTUAL_LOG"} & made.keys()


@pytest.mark.parametrize(("said", "held"), [(80, 80), (0, 20), (-1, 20), (10**9, 400)])
def test_a_size_is_held_to_what_a_screen_can_be(said: int, held: int) -> None:
    """Whatever a browser says, memory for its cells has an end."""
    assert within(said, (20, 400)) == held


@pytest.mark.parametrize("said", ["80", 80.0, None, True, [80]])
def test_a_size_that_is_no_number_is_refused(said: object) -> None:
    """A text, a fraction, nothing, a truth or a list is no size."""
    with pytest.raises(BadMessage):
        within(said, (20, 400))


def test_the_tokens_file_is_made_kept_and_looked_after(tmp_path: Path) -> None:
    """Made with rights for its owner only; read again; refused with others' rights, or where it is weak."""
    path = tmp_path / "token"
    with pytest.raises(Trouble, match="no folder"):
        kept_token(tmp_path / "none" / "token")
    token = kept_token(path)
    assert kept_token(path) == token
    assert path.stat().st_mode & 0o777 == 0o600
    path.chmod(0o640)
    with pytest.raises(Trouble, match="chmod 600") as told:
        kept_token(path)
    assert token not in str(told.value)
    path.chmod(0o600)
    leave_token(path, "short")
    with pytest.raises(Trouble, match="16 signs"):
        kept_token(path)
    assert path.stat().st_mode & 0o777 == 0o600


def test_the_address_that_is_shown_can_be_typed() -> None:
    """A machine that listens everywhere is named; colons stand in brackets; a proxy's address is its own."""
    own = names_of("0.0.0.0", 8000, ("Sink.example",), "", "sink-2")  # noqa: S104 - it is not listened on
    assert address_of(own, "0.0.0.0", "sink-2") == "http://sink-2:8000"  # noqa: S104 - as above
    assert own.fits("sink.example:8000")
    assert own.fits("sink-2.local:8000")
    assert address_of(names_of("::1", 80, (), "", "x"), "::1", "x") == "http://[::1]"
    assert not names_of("::1", 80, (), "", "x").numbers
    public = names_of("127.0.0.1", 8000, (), "https://sink.school.example/", "x")
    assert address_of(public, "127.0.0.1", "x") == "https://sink.school.example"


def test_last_words_are_broken_between_words() -> None:
    """A sentence fits the browser's screen; a path that is longer is broken where it must."""
    said = f"The file {'x' * 40} is not a Sinkside record.\nName another."
    lines = in_lines(said, 30)
    assert all(len(line) < 30 for line in lines)
    assert lines[-2:] == ["Sinkside record.", "Name another."]
    assert "".join("".join(lines).split()) == "".join(said.split())
