"""The page for the token in the browser's language, and whose wrong tokens they are behind a proxy."""

from __future__ import annotations

from collections.abc import AsyncIterator
from contextlib import suppress
from gettext import NullTranslations
from pathlib import Path
from time import monotonic

import pytest
from aiohttp import ClientSession
from aiohttp.test_utils import TestServer

from trainer import tongue
from trainer.serving.gate import Gate, Hosts
from trainer.serving.languages import preferred, speaking
from trainer.serving.server import Serving

TOKEN = "a-token-for-tests-only"  # noqa: S105 - it opens nothing else
KNOWN = {"en": "English", "es": "Español"}


class Shouting(NullTranslations):
    """A language that is English in capitals, so that no catalogue has to be up to date."""

    def gettext(self, message: str) -> str:
        """A message."""
        return message.upper()

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """One of two messages."""
        return (msgid1 if n == 1 else msgid2).replace("Too soon", "TOO SOON")


@pytest.mark.parametrize(
    ("accepted", "found"),
    [
        ("", "xx"),
        ("es", "es"),
        ("es-MX,es;q=0.9,en;q=0.8", "es"),
        ("en-GB,en;q=0.9,es;q=0.8", "en"),
        ("de,fr;q=0.9,es;q=0.2", "es"),
        ("en;q=0.3, es;q=0.7", "es"),
        ("ES", "es"),
        ("de, *;q=0.5", "xx"),
        ("*", "xx"),
        ("es;q=0, en;q=0.1", "en"),
        ("es;q=0", "xx"),
        ("es;q=9", "xx"),
        ("es;q=nan", "xx"),
        ("es;level=1", "xx"),
        (";;;,,,=q", "xx"),
        ("../es", "xx"),
        ("de," * 30 + "es", "xx"),
    ],
)
def test_the_browsers_language_is_found(accepted: str, found: str) -> None:
    """By weight, then by place (RFC 9110, 12.4.2 and 12.5.4); what is none of ours leaves the server's."""
    assert preferred(accepted, KNOWN, "xx") == found


def test_speaking_ends_with_its_page() -> None:
    """After a page in one language the program speaks its own again, also after an error."""
    with suppress(LookupError), speaking("es"):
        assert tongue.language() == "es"
        raise LookupError
    assert tongue.language() == "en"


@pytest.fixture
def told() -> list[str]:
    """What the keeper is told."""
    return []


@pytest.fixture
async def base(
    tmp_path: Path, told: list[str], monkeypatch: pytest.MonkeyPatch
) -> AsyncIterator[tuple[str, Serving]]:
    """A server whose Spanish is shouted English."""
    monkeypatch.setattr(tongue, "_catalogues", {"es": Shouting()})
    serving = Serving(Gate(Hosts(0), TOKEN, monotonic), tmp_path / "record.db", "en", 2, told.append)
    server = TestServer(serving.app(), host="127.0.0.1")
    await server.start_server()
    serving.gate.hosts = Hosts(server.port or 0)
    yield f"http://127.0.0.1:{server.port}", serving
    await server.close()


async def test_the_page_for_the_token_is_in_the_browsers_language(base: tuple[str, Serving]) -> None:
    """Every word of it; in English for a browser that says nothing; in the server's where none is known."""
    address, serving = base
    async with ClientSession() as browser:
        for language, served, code, word in (
            ("es", "en", "es", "THIS SCREEN OPENS WITH THE TOKEN"),
            ("de", "es", "es", "THIS SCREEN OPENS WITH THE TOKEN"),
            ("en", "es", "en", "This screen opens with the token"),
            ("de", "en", "en", "This screen opens with the token"),
        ):
            serving.language = served
            async with browser.get(f"{address}/", headers={"Accept-Language": language}) as answer:
                page = await answer.text()
            assert f'<html lang="{code}">' in page
            assert word in page
            assert ("<button>OPEN</button>" in page) is (code == "es")
    assert tongue.language() == "en"


async def test_refusals_are_in_the_browsers_language(base: tuple[str, Serving], told: list[str]) -> None:
    """A wrong token, one too soon, no such page, no room: said in it. The keeper's line stays English."""
    address, serving = base
    spanish = {"Accept-Language": "es", "Origin": address}
    async with ClientSession(headers=spanish) as browser:
        async with browser.post(f"{address}/enter", data={"token": "wrong"}) as answer:
            assert "THAT WAS NOT THE TOKEN." in await answer.text()
        async with browser.post(f"{address}/enter", data={"token": "wrong"}) as answer:
            assert "TOO SOON after a wrong token. Try again in 1 second." in await answer.text()
        for path in ("/front/none", "/none"):
            async with browser.get(f"{address}{path}") as answer:
                assert "THERE IS NO SUCH PAGE." in await answer.text()
        serving.gate.token, serving.taken = "", 2
        async with browser.get(f"{address}/") as answer:
            assert "ALL 2 SCREENS" in (await answer.text()).replace("{NUMBER}", "2").upper()
    assert told == ["A wrong token came from 127.0.0.1."]


@pytest.mark.parametrize(
    ("public", "forwarded", "peer"),
    [
        ("https://sink.school.example", "192.0.2.7", "192.0.2.7"),
        ("https://sink.school.example", "198.51.100.1, 192.0.2.7", "192.0.2.7"),
        ("https://sink.school.example", "", "127.0.0.1"),
        ("https://sink.school.example", "\x1b[2J" + "x" * 90, "[2J" + "x" * 42),
        ("", "192.0.2.7", "127.0.0.1"),
    ],
)
async def test_wrong_tokens_are_the_browsers_own_behind_a_proxy(
    base: tuple[str, Serving], told: list[str], public: str, forwarded: str, peer: str
) -> None:
    """One who guesses keeps nobody else waiting; without a proxy nobody says where he or she comes from."""
    address, serving = base
    serving.gate.hosts = Hosts(serving.gate.hosts.port, public=public)
    host = public.removeprefix("https://") or address.removeprefix("http://")
    own = {"Host": host, "Origin": public or address}
    if forwarded:
        own["X-Forwarded-For"] = forwarded.replace("\x1b", "")
    async with (
        ClientSession(headers=own) as browser,
        browser.post(f"{address}/enter", data={"token": "wrong"}) as answer,
    ):
        assert answer.status == 403
    assert told == [f"A wrong token came from {peer}."]
    assert serving.gate.wait(peer) > 0.25
