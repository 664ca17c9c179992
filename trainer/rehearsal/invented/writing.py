"""An invented class as a record: a file of its own, that says of itself that it is invented."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from trainer.record.about import INVENTED
from trainer.record.filling import Contents, Filled, fill
from trainer.rehearsal.invented import term
from trainer.rehearsal.invented.making import Begun, Class
from trainer.rehearsal.invented.term_clock import TermClock
from trainer.run.clock import to_ms
from trainer.run.events import Event


def write(made: Class, path: Path) -> Filled:
    """Put a class into a new record. Raises JournalTrouble where the file is there, or cannot be written."""
    return write_runs(made, made.runs, path)


def write_runs(begun: Begun | Class, runs: Iterable[Sequence[Event]], path: Path) -> Filled:
    """The same with the runs as they are made."""
    contents = Contents(
        runs=runs,
        sources=begun.sources,
        instructors=term.INSTRUCTORS,
        about={INVENTED: str(begun.seed)},
    )
    begins = to_ms(term.BEGINS)
    return fill(path, TermClock(begins, "", begins), contents)
