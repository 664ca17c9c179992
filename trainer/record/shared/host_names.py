"""The names of servers found out beforehand, in a thread that may be left behind.

The system's own look-up knows no limit of time and cannot be ended: where the network is half there it may
take half a minute. Here it is waited for as long as for a connection, and no longer than the program goes on.
"""

from __future__ import annotations

import ipaddress
import os
import socket
import threading
from collections.abc import Mapping
from concurrent.futures import FIRST_COMPLETED, Future, wait
from typing import Any, Final

from trainer.record.shared.aside import aside
from trainer.record.shared.troubles import Unreachable

PORT: Final = "5432"
_FROM: Final = {"host": "PGHOST", "hostaddr": "PGHOSTADDR", "port": "PGPORT"}

Addresses = Mapping[str, tuple[str, ...]]
"""By name, its addresses; none where it is not known."""

_asked: dict[tuple[str, ...], Future[Addresses]] = {}
"""Look-ups that are under way, by names: a resolver that never answers holds one thread, not one a try."""
_asking = threading.Lock()


def with_addresses(settings: Mapping[str, str], seconds: float, ended: Future[None]) -> dict[str, str]:
    """libpq's parameters with the addresses of their hosts, each host once for every address it has.

    seconds: for all names together. ended: whoever waits is let go as soon as it is. The names stay, since
    the server's certificate is held against them. Raises Unreachable.
    """
    hosts, ports = _listed(settings, "host"), _listed(settings, "port") or [PORT]
    names = tuple(dict.fromkeys(host for host in hosts if _is_name(host)))
    if not names or _listed(settings, "hostaddr") or len(ports) not in (1, len(hosts)):
        return dict(settings)  # nothing to find out; or nothing that fits, and the driver says what
    found = _waited_for(_look_up(names), names, seconds, ended)
    targets = [
        (host, address, port)
        for host, port in zip(hosts, ports * (len(hosts) if len(ports) == 1 else 1), strict=True)
        for address in found.get(host, ("",))
    ]
    if not targets:
        raise Unreachable(f"No server is called {' or '.join(names)}, or no network is there to ask.")
    host, hostaddr, port = (",".join(column) for column in zip(*targets, strict=True))
    return {**settings, "host": host, "hostaddr": hostaddr, "port": port}


def _listed(settings: Mapping[str, str], name: str) -> list[str]:
    """A parameter as libpq would have it, which may be a list: given, or from the environment."""
    given = settings.get(name, os.environ.get(_FROM[name], ""))
    return given.split(",") if given else []


def _is_name(host: str) -> bool:
    """Whether a host has to be looked up: no socket of this machine, no address."""
    if not host or host.startswith(("/", "@")) or host[1:2] == ":":
        return False
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return True
    return False


def _look_up(names: tuple[str, ...]) -> Future[Addresses]:
    with _asking:
        known = _asked.get(names)
        if known is None or known.done():
            known = _asked[names] = aside(lambda: _all(names), "sinkside-names")
        return known


def _all(names: tuple[str, ...]) -> Addresses:
    return {name: _addresses(name) for name in names}


def _addresses(name: str) -> tuple[str, ...]:
    try:
        answers = socket.getaddrinfo(name, None, type=socket.SOCK_STREAM, proto=socket.IPPROTO_TCP)
    except (OSError, UnicodeError):  # nobody knows it; or it can be nobody's name
        return ()
    return tuple(dict.fromkeys(str(address[0]) for *_, address in answers))


def _waited_for(
    asked: Future[Addresses], names: tuple[str, ...], seconds: float, ended: Future[None]
) -> Addresses:
    either: list[Future[Any]] = [asked, ended]
    wait(either, seconds, FIRST_COMPLETED)
    if not asked.done():
        raise Unreachable(
            f"Nobody said within {seconds:g} seconds where {' or '.join(names)} is. See that the network is "
            "there. It is tried again later."
        )
    return asked.result()
