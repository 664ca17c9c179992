"""`sinkside record backup`, `restore` and `retention`: the record kept safe, and no longer than it may be."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer import places
from trainer.commands.saying import sentences
from trainer.procedure.text import one_line

if TYPE_CHECKING:
    from trainer.record.restore import Restoring
    from trainer.record.retention import TooOld

_MOST_SHOWN = 20


def _say(words: str) -> None:
    """A line about what is done, for people: stdout has nothing else."""
    click.echo(one_line(words))


def _now() -> str:
    from trainer.run.clock import SystemClock

    return SystemClock().now().at


@click.command("backup", short_help="Copy the record while it is in use, and look the copy over.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--without-key", is_flag=True, help="Leave the key out, for a copy that leaves this account.")
@click.pass_obj
def backup(given: Path | None, file: Path, *, without_key: bool) -> None:
    """Copy the record to FILE, with its second place (FILE.heads) and its key (FILE.key).

    FILE is a new file, or a folder: then the copy is named by date and time. Trainees can go on meanwhile.
    The copy is looked over, links and all, before it gets its name.
    """
    from trainer.record.backup import backup as make

    with sentences():
        made = make(places.record_path(given).path, file.expanduser(), _now(), with_key=not without_key)
    report = made.report
    _say(f"Backed up: {made.path}, {report.runs} runs, {report.events} events, everything as it was written.")
    if not made.with_key:
        click.echo(
            "The key is not with it: to go on with this backup, put the record's key beside it.",
            err=True,
        )


@click.command("restore", short_help="Put the record back from a backup.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--yes", is_flag=True, help="Do not ask.")
@click.pass_obj
def restore(given: Path | None, file: Path, *, yes: bool) -> None:
    """Put the backup FILE in the place of the record.

    The backup is looked over first. What the record has and the backup has not is listed; then the record is
    copied aside, beside it, and its content exchanged.
    """
    from trainer.record.restore import restore as put_back
    from trainer.record.restore import restoring

    record = places.record_path(given).path
    at = _now()
    with sentences(), restoring(file.expanduser(), record, at) as ready:
        tell_lost(ready)
        if ready.present and not yes:
            click.confirm(f"Put this backup in the place of {one_line(str(record))}?", abort=True, err=True)
        aside = put_back(ready, at)
        _say(f"Restored: {record}, {ready.report.runs} runs, {ready.report.events} events.")
        if aside is not None:
            _say(f"The record that was there is kept as {aside}.")


def tell_lost(ready: Restoring) -> None:
    """Say what the present record has and the backup has not."""
    if ready.lost is None:
        click.echo(
            "The present record cannot be read: what it has more than the backup is not known.", err=True
        )
        return
    if ready.erased:
        click.echo(
            f"{ready.erased} events that were erased since the backup are erased in it again.", err=True
        )
    if ready.people:
        people = "1 person" if ready.people == 1 else f"{ready.people} people"
        click.echo(f"{people} erased since the backup will not come back with it.", err=True)
    if not ready.lost:
        return
    total = sum(one.events for one in ready.lost)
    click.echo(f"The present record has {total} events that the backup has not:", err=True)
    for one in ready.lost[:_MOST_SHOWN]:
        click.echo(f"  {one.words()}", err=True)
    if len(ready.lost) > _MOST_SHOWN:
        click.echo(f"  and of {len(ready.lost) - _MOST_SHOWN} more runs", err=True)


@click.command("retention", short_help="List, and erase, what is older than it may be kept.")
@click.option("--older-than", required=True, metavar="AGE", help="For instance 3y, 18 months, 26w, 90d.")
@click.option("--yes", is_flag=True, help="Erase it, for good; without it, only list.")
@click.pass_obj
def retention(given: Path | None, older_than: str, *, yes: bool) -> None:
    """List what the record holds of runs whose last act is older than AGE, by trainee and month.

    With --yes it is erased, for good, as `person erase` does: the chains still hold. Backups and exports are
    not touched.
    """
    from datetime import date

    from trainer.record.journal import StationJournal
    from trainer.record.retention import day_before, erase_too_old, too_old
    from trainer.run.clock import SystemClock

    clock = SystemClock()
    with sentences():
        before = day_before(older_than, date.fromisoformat(clock.now().at[:10]))
        with StationJournal(places.record_path(given).path, clock, make=False) as journal:
            found = erase_too_old(journal, before) if yes else too_old(journal, before)
    list_old(found)
    if not found.events and not found.people:
        _say(f"Nothing is older than {found.before}.")
    elif yes:
        _say(
            f"Erased: {found.events} events of {found.runs} runs. Backups, records put aside by a restore, "
            "and exports are yours to deal with."
        )
    else:
        _say(f"{found.events} events of {found.runs} runs are older. Nothing was erased: --yes erases them.")


def list_old(found: TooOld) -> None:
    """A line for each trainee and month, and who is no longer listed."""
    for share in found.shares:
        _say(f"{share.trainee or '-':10} {share.month}  {share.runs:5} runs  {share.events:7} events")
    if found.people:
        _say(f"No longer listed, since nothing is left of them: {', '.join(found.people)}")
