"""Which run somebody means: by its id, or by the beginning of it."""

from __future__ import annotations

from typing import NamedTuple

from trainer.record.journal import StationJournal
from trainer.record.mistyped import RUNS_OF
from trainer.run.ports import JournalTrouble

_SHOWN = 20
_WORKED = (
    "SELECT run, trainee, procedure, opened_at, closed, excused FROM runs "  # noqa: S608 - our own words
    f"WHERE run IN ({RUNS_OF}) ORDER BY opened_at DESC, run DESC"
)
_KNOWN = "SELECT run, trainee, procedure, opened_at, closed, excused FROM runs WHERE procedure <> ''"


class Kept(NamedTuple):
    """A run of the record, in few words. excused: why it counts for nothing, else empty."""

    run: str
    trainee: str
    procedure: str
    opened_at: str
    closed: str
    excused: str


def newest(journal: StationJournal, most: int = _SHOWN) -> list[Kept]:
    """The runs that were opened last, the newest first."""
    with journal.reading() as connection:
        rows = connection.execute(f"{_KNOWN} ORDER BY opened_at DESC, run DESC LIMIT ?", (most,)).fetchall()
    return [Kept(*row) for row in rows]


def of_person(journal: StationJournal, code: str) -> list[Kept]:
    """The runs in which somebody was at work, the newest first."""
    with journal.reading() as connection:
        return [Kept(*row) for row in connection.execute(_WORKED, {"who": code})]


def run_called(journal: StationJournal, said: str) -> str:
    """The id of the one run whose id is `said` or begins with it. Raises JournalTrouble, with a sentence."""
    with journal.reading() as connection:
        found = connection.execute(
            "SELECT run FROM runs WHERE substr(run, 1, ?) = ? ORDER BY run = ? DESC LIMIT 2",
            (len(said), said, said),
        ).fetchall()
    if not said or not found:
        raise JournalTrouble(f"There is no run `{said[:60]}` in the record {journal.path}. {_HOW}")
    if len(found) > 1 and found[0][0] != said:
        raise JournalTrouble(f"More than one run begins with `{said[:60]}`. Write more of its id. {_HOW}")
    run: str = found[0][0]
    return run


_HOW = "`sinkside record as-walk` without a run lists the newest."
