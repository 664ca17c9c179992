"""The app's own forwarding: a thread that waits in the background, and one quiet line of how it stands.

Nothing of it is loaded where no shared record is named; where one is, in the thread alone. The thread touches
no screen: it leaves how things stand where the screen looks now and then.
"""

from __future__ import annotations

import threading
from concurrent.futures import Future
from concurrent.futures import TimeoutError as TooLong
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from trainer import places
from trainer.run.clock import wall_words
from trainer.run.ports import Clock, Trouble
from trainer.tongue import counted, spoken

if TYPE_CHECKING:
    from trainer.record.shared.address import SharedAddress
    from trainer.record.shared.forwarder import Contact, Forwarder
    from trainer.record.shared.state import State

AFTER_SECONDS: Final = 1.0
"""So long after the first screen stands the thread begins: what it loads takes a tenth of a second."""
CONNECT_SECONDS: Final = "2"
END_SECONDS: Final = 2.0
"""So long the program waits for the thread at its end."""
LOOK_SECONDS: Final = 5.0
"""So often the start screen looks how it stands."""
_CREDENTIAL: Final = "shared.conf"
"""Beside the record, as `record.shared.address` has it; named here so that nothing of that is loaded."""


class Forwarding:
    """Forwards the record of a station while the app runs. `begin` and `end` it; both may be called twice."""

    def __init__(self, record: Path, clock: Clock) -> None:
        self._record = record
        self._clock = clock
        self._ended = threading.Event()
        self._work: Future[None] | None = None
        self._forwarder: Forwarder | None = None
        self._state: State | None = None
        self._trouble = ""

    @property
    def wanted(self) -> bool:
        """Whether this station has a shared record."""
        return bool(places.shared_address()) or self._record.with_name(_CREDENTIAL).exists()

    @property
    def _over(self) -> bool:
        """Whether the thread has ended by itself, so that nothing is sent any more."""
        return self._work is not None and self._work.done() and not self._ended.is_set()

    def begin(self) -> None:
        """Begin to forward; nothing where no shared record is named."""
        if self.wanted and self._work is None:
            from trainer.record.shared.aside import aside

            self._work = aside(self._forward, "sinkside-forwarding")

    def end(self) -> None:
        """End at once; what was being sent is sent again next time. Raises what nobody foresaw in it.

        A thread that does not come back in time is left behind: it goes with the program, as in a power cut.
        """
        self._ended.set()
        if self._forwarder is not None:
            self._forwarder.stop()
        if self._work is not None:
            self._wait_for(self._work)

    def _wait_for(self, work: Future[None]) -> None:
        try:
            work.result(END_SECONDS)
        except TooLong:
            if work.done():  # it had such an error itself
                raise

    def line(self) -> str:
        """How it stands, in the language spoken; empty where no shared record is named."""
        if not self.wanted:
            return ""
        now = self._state
        waiting = 0 if now is None else now.waiting
        if self._trouble or self._over or (now is not None and now.trouble):
            if not waiting:
                return spoken("Shared record: not reached. Nothing waits here.")
            return counted(
                "Shared record: not reached. {number} event waits here, safely.",
                "Shared record: not reached. {number} events wait here, safely.",
                waiting,
            )
        if now is None or not now.at:
            return spoken("Shared record: not asked yet.")
        if waiting:
            return counted(
                "Shared record: {number} event is on its way.",
                "Shared record: {number} events are on their way.",
                waiting,
            )
        return spoken("Shared record: everything is there. {at}", at=wall_words(now.at, "%m-%d %H:%M"))

    def _forward(self) -> None:
        """The thread's work."""
        from trainer.record.shared.forwarder import Forwarder
        from trainer.record.shared.watching import watch

        address = self._address()
        if address is None:
            return
        # At the end of the program nothing else can be waited for longer; the address may say another time.
        settings = {"connect_timeout": CONNECT_SECONDS, **address.settings}
        self._forwarder = Forwarder(self._record, replace(address, settings=settings), self._clock)
        if not self._ended.is_set():
            watch(self._record, self._forwarder, self._ended.wait, told=self._told)

    def _address(self) -> SharedAddress | None:
        """Where to forward to, asked for until it is told; None where there is none, or the program ends."""
        from trainer.record.shared.address import find_address
        from trainer.record.shared.backoff import Backoff

        backoff = Backoff()
        while True:
            try:
                self._look()
                return find_address(self._record)
            except Trouble as trouble:
                self._trouble = str(trouble)
            if self._ended.wait(backoff.failed()):
                return None

    def _told(self, came: Contact | Trouble) -> None:
        self._trouble = str(came) if isinstance(came, Exception) else ""
        try:
            self._look()
        except Trouble as trouble:
            self._trouble = str(trouble)

    def _look(self) -> None:
        from trainer.record.shared import state

        self._state = state.read(self._record)
