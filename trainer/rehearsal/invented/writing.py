"""An invented class as a record: a file of its own, that says of itself that it is invented."""

from __future__ import annotations

from pathlib import Path

from trainer.record.about import INVENTED
from trainer.record.filling import Contents, Filled, fill
from trainer.rehearsal.invented import term
from trainer.rehearsal.invented.making import Class
from trainer.run.fakes import FakeClock


def write(made: Class, path: Path) -> Filled:
    """Put a class into a new record. Raises JournalTrouble where the file is there, or cannot be written."""
    contents = Contents(
        runs=made.runs,
        sources=made.sources,
        instructors=term.INSTRUCTORS,
        about={INVENTED: str(made.seed)},
    )
    return fill(path, FakeClock(term.BEGINS), contents)
