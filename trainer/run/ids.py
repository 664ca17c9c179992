"""UUIDv7 (RFC 9562, section 5.7): ids that rise with time.

Own, because the package that makes them costs more to import than this room, and because the time comes from
the injected clock.
"""

from __future__ import annotations

import secrets
import uuid
from collections.abc import Callable

from trainer.run.clock import to_ms
from trainer.run.ports import Clock, JournalTrouble

_COUNTER = 1 << 12


class Ids:
    """Makes ids that rise, also when the wall clock goes back.

    The 12 bits after the version are a counter (RFC 9562, section 6.2, method 1), begun low at each new
    millisecond; when it is full the millisecond is counted up.
    """

    def __init__(self, after: str | None = None, bits: Callable[[int], int] = secrets.randbits) -> None:
        """Ids made come after `after`, if given. bits: where their random bits come from."""
        self._ms, self._counter = parts(after) if after else (-1, 0)
        self._bits = bits

    def new(self, unix_ms: int) -> str:
        """The next id, made at `unix_ms`."""
        if unix_ms > self._ms:
            self._ms, self._counter = unix_ms, self._bits(10)
        else:
            self._counter += 1
            if self._counter == _COUNTER:
                self._ms, self._counter = self._ms + 1, 0
        return _uuid(self._ms, self._counter, self._bits(62))


def parts(text: str) -> tuple[int, int]:
    """Milliseconds since 1970, and the 12 bits after the version. Raises ValueError for any other id."""
    found = uuid.UUID(text)
    if found.version != 7:
        raise ValueError(f"`{text}` is not a version 7 UUID.")
    return found.int >> 80, (found.int >> 64) & 0xFFF


def new_run_id(clock: Clock) -> str:
    """An id for a run that is opened now."""
    return Ids().new(to_ms(clock.now().at))


def _uuid(ms: int, counter: int, random: int) -> str:
    return str(uuid.UUID(int=ms << 80 | 7 << 76 | counter << 64 | 2 << 62 | random))


def ids_after(last: str) -> Ids:
    """Ids that come after the last one of a run."""
    try:
        return Ids(after=last)
    except ValueError as fault:
        raise JournalTrouble("The last event of this run has an id that sinkside never gave.") from fault
