"""What the record holds of one trainee's faults, for practice to pick from; no more of a run is read."""

from __future__ import annotations

from typing import Final

from trainer.record.journal import StationJournal
from trainer.record.mistyped import RUNS_OF, WHOSE
from trainer.record.packing import unpacked
from trainer.run.events import PRACTICE, Event
from trainer.run.ports import JournalTrouble

_MOST: Final = 2000


def faults_of(journal: StationJournal, trainee: str) -> tuple[Event, ...]:
    """Faults found after rehearsals, plates given up, answers in practice: of this trainee, in order.

    The latest 2,000. What cannot be read is left out. Raises JournalTrouble.
    """
    with journal.reading() as connection:
        rows = connection.execute(
            "SELECT events.body, events.run, events.seq FROM events JOIN runs ON runs.run = events.run "  # noqa: S608
            f"WHERE events.run IN ({RUNS_OF}) AND {WHOSE} = :who AND "
            "events.body IS NOT NULL AND runs.excused = '' AND "
            "(json_extract(events.body, '$.body.kind') IN ('fault_found', 'plate_spoiled') OR "
            "(runs.procedure = :practice AND json_extract(events.body, '$.body.kind') = 'quiz_answered')) "
            "ORDER BY events.rowid DESC LIMIT :most",
            {"who": trainee, "practice": PRACTICE, "most": _MOST},
        ).fetchall()
    found = []
    for body, run, seq in reversed(rows):
        try:
            found.append(unpacked(body, run, seq))
        except JournalTrouble:
            continue
    return tuple(found)
