"""What comes down from the shared record: whom the record keeper asks to be erased.

It is carried out before anything is forwarded, by the one path that erases (`record.erase`). The code stays
in the request until then, so that events which were never forwarded go too.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from collections.abc import Set as AbstractSet
from dataclasses import replace

from trainer.record import codes
from trainer.record.erase import HandedOver, Nobody, concerning, erase_person
from trainer.record.journal import StationJournal
from trainer.record.shared.batches import Batch, KeptEvent
from trainer.record.shared.forward import Request, Taking
from trainer.run.frozen import frozen


@frozen
class CarriedOut:
    """What came of the requests. erased: events. waiting: numbers and codes of those that must wait.

    why: for the first of them, in a sentence.
    """

    erased: int
    waiting: tuple[Request, ...]
    why: str = ""

    @property
    def numbers(self) -> frozenset[int]:
        """Of the requests that must wait."""
        return frozenset(request.number for request in self.waiting)


def carry_out(journal: StationJournal, taking: Taking) -> CarriedOut:
    """Erase whom the record keeper asks to be erased, and say so there. Raises JournalTrouble, psycopg.Error.

    A person whose run goes on in another's hands is waited for, and asked after at each contact.
    """
    erased = 0
    waiting: list[Request] = []
    why = ""
    for request in taking.requests():
        try:
            erased += erase_person(journal, codes.code(request.code)).events
        except (Nobody, ValueError):  # never was here, or is gone already; or it can be nobody's code
            taking.answer(request)
        except HandedOver as told:
            waiting.append(request)
            why = why or str(told)
            taking.answer(request, str(told))
        else:
            taking.answer(request)
    return CarriedOut(erased, tuple(waiting), why)


def veiled(batch: Batch, waiting: Collection[Request]) -> Batch:
    """A piece without what is said in it of people who wait to be erased."""
    if not waiting:
        return batch
    hidden = {request.code for request in waiting}
    events = [KeptEvent._make(row) for row in batch.events]
    rows = sorted((one.run, one.seq, one.person, one.body) for one in events if one.body is not None)
    found = [(row, how) for code in hidden for row, how in concerning(rows, code)]
    events = list(_veiled(events, {row[:2] for row, _ in found}))
    return replace(
        batch, events=events, tables=_rows(batch, hidden, {row[0] for row, how in found if how == "own"})
    )


def _veiled(events: Iterable[KeptEvent], gone: Collection[tuple[str, int]]) -> Iterable[KeptEvent]:
    for one in events:
        yield one._replace(person="", salt=None, body=None) if (one.run, one.seq) in gone else one


def _rows(
    batch: Batch, hidden: Collection[str], runs: AbstractSet[str]
) -> dict[str, list[tuple[str | int | float | bytes | None, ...]]]:
    """The rows for reading of the other runs: those of a run in two hands come when one of them is erased."""
    told = {str(row[0]) for row in batch.tables["runs"] if row[1] in hidden} | runs
    return {table: [row for row in rows if row[0] not in told] for table, rows in batch.tables.items()}
