"""Who may come in: the names a browser may use, other sites kept out, the token, and wrong ones slowed down.

Nothing here knows of a server: names, tokens and times go in, verdicts come out.
"""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from urllib.parse import urlsplit

LEAST_TOKEN = 16
"""Signs of a token that somebody chose; one that is drawn has 128 bits in 22."""

KEY_SECONDS = 12 * 3600.0
"""How long a browser stays let in: a day at the sink."""

MOST_WAIT = 60.0
SPACING = 0.25
"""Seconds between two wrong tokens, whoever they come from: addresses are cheap."""

_MOST_KEYS = 1000
_MOST_PEERS = 256
_LOOPBACK_NAMES = frozenset({"localhost", "127.0.0.1", "::1"})
_PORTS = {"http": 80, "https": 443}


def new_token() -> str:
    """A token of 128 random bits, safe in an address."""
    return secrets.token_urlsafe(16)


def is_loopback(address: str) -> bool:
    """Whether only this machine reaches an address that is listened on."""
    if address == "localhost":
        return True
    try:
        return ipaddress.ip_address(address).is_loopback
    except ValueError:
        return False


def _is_number(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


@dataclass(frozen=True)
class Hosts:
    """The names under which browsers may come.

    A page of another site whose name was made to lead here (DNS rebinding) comes under that site's name, and
    is refused. An address in numbers cannot be made to lead elsewhere. public: where a proxy stands in front,
    the address that browsers use.
    """

    port: int
    names: frozenset[str] = _LOOPBACK_NAMES
    numbers: bool = False
    public: str = ""

    @property
    def scheme(self) -> str:
        """`https` behind a proxy that has it, else `http`."""
        return urlsplit(self.public).scheme or "http"

    def fits(self, host: str) -> bool:
        """Whether a request's Host is one of ours."""
        try:
            parts = urlsplit(f"//{host}")
            name, port = parts.hostname or "", parts.port
        except ValueError:
            return False
        if parts.netloc != host or "@" in host:
            return False
        if self.public:
            known = urlsplit(self.public)
            standard = _PORTS.get(self.scheme)
            return name == known.hostname and (port or standard) == (known.port or standard)
        if (port or _PORTS["http"]) != self.port:
            return False
        return name in self.names or (self.numbers and _is_number(name))

    def same_site(self, origin: str | None, host: str) -> bool:
        """Whether a request comes from a page of ours: browsers name the page's origin, and only they do."""
        return self.fits(host) and origin == f"{self.scheme}://{host}"


@dataclass
class _Peer:
    wrong: int = 0
    until: float = 0.0


@dataclass
class Gate:
    """Lets browsers in that have shown the token. now: seconds of a clock that never goes back.

    Without a token everybody who comes under one of our names is in: for this machine only.
    """

    hosts: Hosts
    token: str
    now: Callable[[], float]
    _keys: OrderedDict[bytes, float] = field(default_factory=OrderedDict)
    _peers: OrderedDict[str, _Peer] = field(default_factory=OrderedDict)
    _last_wrong: float = float("-inf")

    def knows(self, key: str | None) -> bool:
        """Whether a browser with that key may go on."""
        if not self.token:
            return True
        until = self._keys.get(_hashed(key or ""))
        return until is not None and self.now() < until

    def wait(self, peer: str) -> float:
        """Seconds until a token from there is looked at."""
        own = self._peers[peer].until if peer in self._peers else 0.0
        return max(0.0, own - self.now(), self._last_wrong + SPACING - self.now())

    def try_token(self, peer: str, typed: str) -> str | None:
        """A key for a browser that shows the right token; None for a wrong one, or one that came too soon."""
        if self.wait(peer) > 0.0:
            return None
        if not hmac.compare_digest(_hashed(typed), _hashed(self.token)):
            self._note_wrong(peer)
            return None
        self._peers.pop(peer, None)
        key = secrets.token_urlsafe(32)
        self._keys[_hashed(key)] = self.now() + KEY_SECONDS
        while len(self._keys) > _MOST_KEYS:
            self._keys.popitem(last=False)
        return key

    def _note_wrong(self, peer: str) -> None:
        known = self._peers.setdefault(peer, _Peer())
        self._peers.move_to_end(peer)
        known.wrong += 1
        self._last_wrong = self.now()
        known.until = self.now() + min(MOST_WAIT, 2.0 ** (known.wrong - 1))
        while len(self._peers) > _MOST_PEERS:
            self._peers.popitem(last=False)


def _hashed(text: str) -> bytes:
    """Of one length whatever the text: comparing tells nothing of it."""
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()
