"""Runs that were recorded under a mistyped code: which can be put right, and whose they are then.

What was kept stays as it is; an event says whose the run is. So that it is plain whose each event is, only
runs that are over, and that one trainee did alone, are put right.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence

from trainer.record.codes import code_asked
from trainer.record.journal import StationJournal
from trainer.run.frozen import frozen
from trainer.run.ports import JournalTrouble

_KIND = '"code_mistyped"'

WHOSE = "CASE WHEN runs.handed = 0 AND runs.trainee <> '' THEN runs.trainee ELSE events.person END"
"""In SQL, of `events` joined with `runs`: whose an event is. A run of several hands is never put right."""


RUNS_OF = (
    "SELECT run FROM runs WHERE handed = 0 AND trainee = :who UNION "
    "SELECT run FROM events WHERE person = :who AND run IN (SELECT run FROM runs WHERE handed)"
)
"""In SQL: the runs in which `:who` worked."""


@frozen
class PutRight:
    """Whose a run is. wrong: the codes it was under before."""

    wrong: frozenset[str]
    right: str


def put_right_in(bodies: Iterable[str]) -> PutRight | None:
    """What the kept texts of a run say of a mistyped code; None where they say nothing."""
    said: list[tuple[str, str]] = []
    for text in bodies:
        if _KIND in text and (found := _codes(text)) is not None:
            said.append(found)
    return PutRight(frozenset(wrong for wrong, _ in said), said[-1][1]) if said else None


def _codes(text: str) -> tuple[str, str] | None:
    try:
        body = json.loads(text)["body"]
        return (str(body["from"]), str(body["to"])) if body["kind"] == "code_mistyped" else None
    except (ValueError, TypeError, KeyError, RecursionError):
        return None  # written into the file by hand: `verify` tells of it


@frozen
class ToPutRight:
    """Which runs are to be put right. All of them are `wrong`'s until then.

    known: runs that `right` has worked in already; none is a hint at another slip of the keys.
    """

    wrong: str
    right: str
    runs: tuple[str, ...]
    known: int = 0

    @property
    def before(self) -> str:
        """What it would change, before anybody types a PIN."""
        return f"{_many(len(self.runs))} of {self.wrong} will be {self.right}'s."

    @property
    def after(self) -> str:
        """What was changed."""
        return f"Done: {_many(len(self.runs))} of {self.wrong} put down to {self.right}."

    @property
    def of_right(self) -> str:
        """What is known of the code that is held to be right."""
        if self.known:
            return f"{self.right} has {_many(self.known)} here already."
        return f"{self.right} has no run here yet: see that this is the code that is meant."

    @property
    def unlisted(self) -> str:
        """What is said where `wrong` is left without any run."""
        return f"{self.wrong} is nobody's code any more, and is no longer listed."


def _many(runs: int) -> str:
    return "1 run" if runs == 1 else f"{runs} runs"


def to_put_right(journal: StationJournal, wrong: str, right: str, only: Sequence[str] = ()) -> ToPutRight:
    """The runs under `wrong` that are `right`'s; of these, `only` those named. Raises JournalTrouble."""
    was, now = code_asked(wrong), code_asked(right)
    if was == now:
        raise JournalTrouble(f"{was} and {now} are one code: there is nothing to put right.")
    with journal.reading() as connection:
        role = connection.execute("SELECT role FROM people WHERE code = ?", (now,)).fetchone()
        can = [run for (run,) in connection.execute(_CAN, (was,))]
        cannot = dict(connection.execute(_CANNOT, (was, was)).fetchall())
        (known,) = connection.execute(f"SELECT count(*) FROM ({RUNS_OF})", {"who": now}).fetchone()  # noqa: S608 - ours
    if role is not None and role[0] != "trainee":
        raise JournalTrouble(f"{now} is an instructor, and runs are trainees'. {_NOTHING}")
    wanted = tuple(only) or (*can, *cannot)
    if not wanted:
        raise JournalTrouble(f"No run here is recorded as {was}: there is nothing to put right.")
    for run in wanted:
        if run in cannot:
            raise JournalTrouble(
                f"Run {run} {_WHY[cannot[run]].format(right=now)} {_NOTHING if only else _ELSE}"
            )
        if run not in can:
            raise JournalTrouble(f"Run {run} is not recorded as {was}. {_NOTHING}")
    return ToPutRight(was, now, wanted, known)


_CAN = "SELECT run FROM runs WHERE trainee = ? AND handed = 0 AND closed IN ('done', 'stopped') ORDER BY run"
_CANNOT = (
    "SELECT run, CASE WHEN handed THEN 'handed' WHEN closed = '' THEN 'open' ELSE 'erased' END FROM runs "
    "WHERE (handed = 0 AND trainee = ? AND closed NOT IN ('done', 'stopped')) "
    "OR (handed AND run IN (SELECT run FROM events WHERE person = ?)) ORDER BY run"
)
_WHY = {
    "open": "is still open: hand it over to {right} on the screen, or let it be finished or stopped first.",
    "handed": "was handed over, so that it is not one trainee's alone: leave {right} a note in it instead.",
    "erased": "is erased in part.",
}
_NOTHING = "Nothing was put right."
_ELSE = (
    f"{_NOTHING} Those that can be are put right one by one: with --run, or in the review on each "
    "run's own page."
)


def unlist(journal: StationJournal, who: str) -> bool:
    """Take a code that is nobody's any more off the list of people; False where it stays."""
    with journal.changing() as (connection, _, _now):
        gone = connection.execute(
            "DELETE FROM people WHERE code = :who AND role = 'trainee' AND name = '' "  # noqa: S608 - ours
            f"AND NOT EXISTS ({RUNS_OF})",
            {"who": who},
        )
        return gone.rowcount > 0
