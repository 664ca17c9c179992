"""A server that takes connections and says nothing."""

from __future__ import annotations

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field


@dataclass
class Silent:
    """Where it listens, and whether anybody came."""

    port: int
    reached: threading.Event = field(default_factory=threading.Event)


@contextmanager
def silent_server() -> Iterator[Silent]:
    """One, for as long as it is wanted."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        silent = Silent(listening.getsockname()[1])
        kept: list[socket.socket] = []

        def take() -> None:
            with suppress(OSError):
                while True:
                    kept.append(listening.accept()[0])
                    silent.reached.set()

        thread = threading.Thread(target=take)
        thread.start()
        try:
            yield silent
        finally:
            listening.shutdown(socket.SHUT_RDWR)
            thread.join()
            for one in kept:
                one.close()
