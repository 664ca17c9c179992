"""`sinkside demo`: an invented class in a record of its own, to try the review on."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from trainer import places
from trainer.commands.saying import end, sentences
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.rehearsal.invented.making import Begun

T = TypeVar("T")
_SEEDS = click.IntRange(0, 2**32 - 1)
_RUNS = click.IntRange(1, 5000)
_TWO_AT_ONCE = 2


@click.command(short_help="Fill a record of its own with an invented class.")
@click.option(
    "--into",
    type=click.Path(dir_okay=False, path_type=Path),
    help="The file (else demo/demo.db in the data folder). Never a station's own record.",
)
@click.option("--seed", type=_SEEDS, default=7, show_default=True, help="The same seed, the same class.")
@click.option("--runs", type=_RUNS, default=400, show_default=True, help="How many runs its term has.")
@click.option("--wet", is_flag=True, help="No rehearsals, which takes a third of the time.")
@click.option("--nothing-hidden", "plain", is_flag=True, help="Hide nothing in it for the review to find.")
@click.option("--truth", is_flag=True, help="Say in the end what is hidden in it.")
def demo(into: Path | None, seed: int, runs: int, *, wet: bool, plain: bool, truth: bool) -> None:
    """Make up a class: fourteen trainees, two instructors, four sinks, a term of fourteen weeks.

    All of it is invented, and the record says so wherever it is shown. A file that holds anything else is
    left as it is; an invented class that is there already is made anew.
    """
    from trainer.rehearsal.invented.making import begin, runs_of
    from trainer.rehearsal.invented.writing import write_runs

    path = (into or places.data_home().path / "demo" / "demo.db").expanduser()
    with sentences():
        _make_room(path, station=places.record_path().path)
        begun = begin(seed, runs, rehearsals=not wet, plant=not plain)
        made = runs_of(begun, _TWO_AT_ONCE)
        filled = write_runs(begun, _shown(made, runs), path)
    _say(path, f"{filled.runs} runs, {filled.events} events", begun, truth=truth)


def _make_room(path: Path, station: Path) -> None:
    """Take an invented class away that stands where the new one goes; ends where something else is there."""
    from trainer.record.about import INVENTED
    from trainer.record.filling import said_of, take_away
    from trainer.run.ports import JournalTrouble

    own = path.absolute() == station.absolute()
    if not path.exists():
        if own:
            end(f"{path} is this station's own record, and an invented class never goes there. Name another.")
        return
    try:
        said = said_of(path)
    except JournalTrouble:
        said = {}
    if INVENTED not in said:
        end(f"{path} is there already, holds no invented class and is left as it is. Name another file.")
    take_away(path)


def _shown(made: Iterable[T], many: int) -> Iterator[T]:
    """The same, with a bar on stderr where somebody watches."""
    with click.progressbar(
        made, length=many, label="Inventing runs", file=sys.stderr, hidden=not sys.stderr.isatty()
    ) as bar:
        yield from bar


def _say(path: Path, what: str, begun: Begun, *, truth: bool) -> None:
    named = one_line(shlex.quote(str(path)))
    click.echo(f"Invented from seed {begun.seed}: {what}. Nothing in it ever happened.")
    for line in begun.planted.lines() if truth else ():
        click.echo(f"  {line}")
    click.echo(f"Written: {named}\nNext:\n  sinkside review --record {named}")
