"""An event as the canonical text that is kept, and back."""

from __future__ import annotations

import json

from trainer.procedure.text import clean
from trainer.record import chain
from trainer.run import wire
from trainer.run.events import Event
from trainer.run.ports import JournalTrouble

_PAST_WHOLE = 2**53


def packed(event: Event) -> str:
    """The RFC 8785 text of an event, envelope and all. Raises JournalTrouble where it has none."""
    try:
        return chain.canonical(wire.event_to_json(event)).decode("utf-8")
    except ValueError as error:
        raise JournalTrouble(
            f"Event {event.seq} of run {event.run} ({event.body.kind}) holds something that cannot be kept: "
            f"{error}. Nothing was kept."
        ) from error


def _whole(digits: str) -> int | float:
    """RFC 8785 writes large floats as digits too; whole numbers of ours never go past 2^53 - 1."""
    number = int(digits)
    return number if abs(number) < _PAST_WHOLE else float(digits)


def _surely_clean(text: str) -> bool:
    """Whether a JSON text has nothing that `clean` would replace; most have not, and looking is quick."""
    return text.isascii() and "\\" not in text and "\x7f" not in text


def _cleaned(value: object) -> object:
    """Every text in a JSON value made safe to show: somebody may have written into the file by hand."""
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, dict):
        return {clean(key): _cleaned(part) for key, part in value.items()}
    return [_cleaned(part) for part in value] if isinstance(value, list) else value


def readable(text: str) -> object:
    """The JSON value of a kept text, its texts clean; unaltered, it has the same canonical text.

    Raises ValueError.
    """
    value: object = json.loads(text, parse_int=_whole)
    return value if _surely_clean(text) else _cleaned(value)


def unpacked(text: str, run: str, seq: int) -> Event:
    """The event that `packed` made the text of, its texts clean. Raises JournalTrouble naming run and seq."""
    try:
        return wire.event_from_json(readable(text))
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise JournalTrouble(
            f"Event {seq} of run {run} in the record cannot be read ({error}). "
            "See `sinkside record verify`; a backup may hold it whole."
        ) from error
