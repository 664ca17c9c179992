"""The shared record, where one is named: the credential, the way there, how far behind the station is."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from trainer.record.doctor.asked import Asked, quoted
from trainer.record.doctor.content import as_it_stands
from trainer.record.doctor.told import Told, fine, mend, note, unseen
from trainer.record.shared import state
from trainer.record.shared.address import SharedAddress, conf_path, find_address
from trainer.record.shared.connecting import connected
from trainer.record.shared.cursor import waiting
from trainer.record.shared.state import State
from trainer.record.shared.troubles import SharedTrouble, Unreachable
from trainer.run.clock import to_ms
from trainer.run.ports import JournalTrouble

BEHIND = timedelta(days=7)
"""A station that could not forward for so long should be looked after."""

_APART_MS = 120_000
"""Two clocks that differ by more give a shared record in which nobody can say what came first."""

_FORWARD = "sinkside record forward"


def shared(asked: Asked) -> Iterator[Told]:
    """Nothing where no shared record is named: a station alone is a whole station."""
    try:
        address = find_address(asked.record)
    except SharedTrouble as trouble:
        yield mend("shared", str(trouble), "Mend it as it says; until then nothing is forwarded.")
        return
    if address is None:
        return
    for warning in address.warnings:
        yield mend("shared-secret", warning, "Do as it says.", f"chmod 600 {quoted(conf_path(asked.record))}")
    kept = _kept(asked.record)
    yield from _there(asked, address, kept[0] if kept else None)
    if kept:
        yield from _behind(asked, *kept)


def _kept(record: Path) -> tuple[State | None, int] | None:
    """How forwarding stands by the record, and how many events wait; None where it cannot be read."""
    if not record.is_file():
        return None
    try:
        with as_it_stands(record) as connection:
            return state.of(connection), waiting(connection)
    except JournalTrouble:  # told with the record itself
        return None


def _there(asked: Asked, address: SharedAddress, kept: State | None) -> Iterator[Told]:
    """One short contact that reads, and no more."""
    try:
        with connected(address) as connection:
            row = connection.execute("SELECT sinkside.my_site(), now()").fetchone()
    except Unreachable as trouble:
        yield unseen(
            "shared", str(trouble), "The station works meanwhile; what waits is sent later.", _FORWARD
        )
        return
    except SharedTrouble as trouble:
        yield mend("shared", str(trouble), "Ask the record keeper.", "sinkside record shared register")
        return
    site, now = row if row is not None else (None, None)
    if site is None:
        yield mend(
            "shared",
            f"The shared record at {address.shown} knows no station of this credential, or has retired it.",
            "Ask the record keeper for a new one.",
        )
    elif kept is not None and kept.site and kept.site != str(site):
        yield mend(
            "shared",
            f"The credential for {address.shown} is another station's; this one went there as {kept.site}.",
            "Put this station's own credential in its place.",
        )
    else:
        yield fine("shared", f"The shared record at {address.shown} is reached, and takes the credential")
    if isinstance(now, datetime):
        yield from _clocks(asked, now)


def _clocks(asked: Asked, there: datetime) -> Iterator[Told]:
    here = to_ms(asked.clock.now().at)
    apart = abs(here - round(there.timestamp() * 1000))
    if apart > _APART_MS:
        yield mend(
            "clock",
            f"This clock and the shared record's are {apart // 1000} s apart.",
            "Set the wrong one, and let the systems keep them by the network.",
            "timedatectl set-ntp true",
        )


def _behind(asked: Asked, kept: State | None, behind: int) -> Iterator[Told]:
    """How much waits, since when, and what did not fit."""
    if kept is not None and kept.conflicts:
        yield mend(
            "shared-conflicts",
            f"{kept.conflicts} events of this station did not fit what the shared record has of it.",
            "Tell the record keeper: a backup may have been put back, or one of the two was altered.",
            "sinkside record verify",
        )
    if not behind:
        yield fine("forwarding", "Nothing waits to be forwarded")
        return
    since = kept.at if kept is not None else ""
    then = f"{since[:16]}Z" if since else "never"
    words = f"{behind} events wait to be forwarded; the last contact was {then}."
    why = kept.trouble if kept is not None else ""
    late = bool(since) and to_ms(asked.clock.now().at) - to_ms(since) > BEHIND // timedelta(milliseconds=1)
    tell = mend if late else note
    yield tell("forwarding", f"{words} {why}".strip(), "Send them.", _FORWARD)
