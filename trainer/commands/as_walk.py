"""`sinkside record as-walk`: a walk written from a run that really was."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.saying import sentences
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.record.journal import StationJournal


@click.command("as-walk", short_help="Write a walk from a run that really was.")
@click.argument("run", required=False)
@click.option("--name", default="", help="What the walk shows, in a few words.")
@click.pass_obj
def as_walk(given: Path | None, run: str | None, name: str) -> None:
    """Print a walk that does what was done in RUN, with the same end, for `sinkside walk`.

    RUN is the run's id, or as much of its beginning as no other has. Without RUN: the newest runs. People are
    not named in the walk, but remarks stand in it as they were typed.
    """
    from trainer.record.find_run import newest
    from trainer.record.journal import StationJournal
    from trainer.run.clock import SystemClock, wall_words

    path = places.record_path(given).path
    with sentences(), StationJournal(path, SystemClock(), make=False) as journal:
        if run is not None:
            click.echo(written(journal, run, one_line(name)), nl=False)
            return
        for one in newest(journal):
            ended = one.closed or "open"
            line = f"{one.run}  {wall_words(one.opened_at)}  {one.trainee:10} {ended:8} {one.procedure}"
            click.echo(one_line(line))


def written(journal: StationJournal, run: str, name: str) -> str:
    """The walk of a run. Raises Trouble or ProcedureProblems, with a sentence."""
    from trainer.procedure.load import load_bytes
    from trainer.record.find_run import run_called
    from trainer.rehearsal.as_walk import as_walk as write
    from trainer.run.events import PRACTICE, RunOpened
    from trainer.run.ports import Trouble

    events = journal.events(run_called(journal, run))
    opened = events[0].body
    if not isinstance(opened, RunOpened) or opened.procedure == PRACTICE:
        raise Trouble("Fault practice has no procedure, so there is no walk of it.")
    plan = load_bytes(journal.procedure(opened.content_hash), f"{opened.procedure}.yaml").require()
    return write(plan, events, name)
