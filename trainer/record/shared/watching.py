"""Forwarding for as long as a program runs: contacts now and then, and longer waits while none succeeds."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Final

from trainer.record.shared.backoff import Backoff
from trainer.record.shared.batches import reading, something_waits
from trainer.record.shared.forwarder import Contact, Forwarder, Stopped
from trainer.record.shared.one_at_a_time import AnotherForwards
from trainer.record.store import troubles
from trainer.run.ports import Trouble

EVERY_SECONDS: Final = 20.0
"""Between looks whether something waits; drawn from half of it to one and a half, so that stations spread."""

LOOKS_TO_ASK: Final = 15
"""After so many looks a contact is made though nothing waits: somebody may be to be erased."""

Wait = Callable[[float], bool]
"""Waits so many seconds; True as soon as the program ends."""


def watch(
    path: Path,
    forwarder: Forwarder,
    wait: Wait,
    *,
    backoff: Backoff | None = None,
    told: Callable[[Contact | Trouble], None] = lambda _: None,
) -> None:
    """Forward until `wait` says that the program ends, or the forwarder is stopped.

    told: called after each contact with what it came to, or with why it failed. Where even that cannot be
    written (a log on a full disk) forwarding goes on. Raises BrokenPipeError alone: nobody listens any more.
    """
    backoff = backoff or Backoff()
    looks, pause = LOOKS_TO_ASK, 0.0
    while not wait(pause):
        pause = EVERY_SECONDS * (0.5 + backoff.draw())
        looks += 1
        try:
            if looks >= LOOKS_TO_ASK or backoff.failures or _waits(path):
                came = forwarder.contact()
                backoff.succeeded()
                looks = 0
                _tell(told, came)
        except Stopped:
            return
        except AnotherForwards:
            looks = 0
        except Trouble as trouble:
            pause = backoff.failed()
            _tell(told, trouble)


def _tell(told: Callable[[Contact | Trouble], None], came: Contact | Trouble) -> None:
    try:
        told(came)
    except BrokenPipeError:
        raise
    except OSError:
        return  # how it went stands in the record too, for the screen and for `record doctor`


def _waits(path: Path) -> bool:
    with reading(path) as connection, troubles(path):
        return something_waits(connection)
