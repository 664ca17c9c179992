"""What no shared record can hold, set aside: only a file that was edited by hand has it.

It holds nothing else up. It is looked for only where the server refused a piece: looking takes time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from trainer.record.shared.arriving import UUID7
from trainer.record.shared.batches import Batch, KeptEvent, Row


def sifted(batch: Batch) -> tuple[Batch, list[Row]]:
    """A piece that fits, and events that do not: id, run, seq, digest, stored, head, person, salt, body."""
    fit: list[KeptEvent] = []
    unfit: list[Row] = []
    for one in map(KeptEvent._make, batch.events):
        if fits(one):
            fit.append(one)
        else:
            who = (one.id, one.run, one.seq, one.digest)
            unfit.append((*who, one.stored, one.head, one.person, one.salt, one.body))
    return replace(
        batch,
        arrays={},
        events=fit,
        runs=[run for run in batch.runs if "\0" not in run],
        tables={table: _storable(rows) for table, rows in batch.tables.items()},
        heads=_storable(batch.heads),
        sources=_storable(batch.sources),
        tries=[row for row in batch.tries if _is_day(row[0])],
    ), _storable(unfit)


def fits(event: KeptEvent) -> bool:
    """Whether an event's id is a UUIDv7, and no text of it holds what PostgreSQL refuses."""
    texts = (event.run, event.stored, event.person, event.body or "")
    return (
        UUID7.fullmatch(event.id) is not None
        and 0 < event.seq < 2**31
        and not any("\0" in text for text in texts)
    )


def _storable(rows: Sequence[Row]) -> list[Row]:
    """Rows without the one character that PostgreSQL holds in no text."""
    return [
        tuple(cell.replace("\0", "\ufffd") if isinstance(cell, str) else cell for cell in row) for row in rows
    ]


def _is_day(cell: object) -> bool:
    try:
        date.fromisoformat(str(cell))
    except ValueError:
        return False
    return True
