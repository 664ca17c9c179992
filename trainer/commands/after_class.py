"""`sinkside record note`, `excuse` and `sign`: what an instructor adds to a run after class."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import click

from trainer import places
from trainer.commands.saying import sentences

if TYPE_CHECKING:
    from trainer.record.after_class import AfterClass, Instructor

_RUN = click.argument("run")
_WORDS: dict[str, Literal["passed", "not_yet"]] = {"passed": "passed", "not-yet": "not_yet"}


@contextmanager
def _acting(given: Path | None, run: str) -> Iterator[tuple[AfterClass, str]]:
    """The acts, and the whole id of the run; what can go wrong is said in a sentence."""
    from trainer.record.after_class import AfterClass
    from trainer.record.find_run import run_called
    from trainer.record.journal import StationJournal
    from trainer.record.pins import PinCheck
    from trainer.run.clock import SystemClock

    path, clock = places.record_path(given).path, SystemClock()
    with sentences(), StationJournal(path, clock, make=False) as journal:
        yield AfterClass(journal, PinCheck(path, clock), clock), run_called(journal, run)


def ask_instructor() -> Instructor:
    """Code and PIN, the PIN not shown; where stdin is no terminal, its next two lines."""
    from trainer.record.after_class import Instructor

    if not sys.stdin.isatty():
        return Instructor(*(sys.stdin.readline().rstrip("\r\n") for _ in range(2)))
    code: str = click.prompt("Instructor's code", err=True)
    pin: str = click.prompt("PIN", hide_input=True, err=True)
    return Instructor(code, pin)


@click.command("note", short_help="Add an instructor's remark to a run.")
@_RUN
@click.option("--text", required=True, help="The remark.")
@click.pass_obj
def note(given: Path | None, run: str, text: str) -> None:
    """Add a remark to RUN, also to one that is over. Asks for an instructor's code and PIN.

    RUN is the run's id, or as much of its beginning as no other has (`sinkside record as-walk` lists them).
    """
    with _acting(given, run) as (acts, whole):
        acts.note(whole, ask_instructor(), text)
    click.echo("The remark is kept with the run.")


@click.command("excuse", short_help="Take a run out of the statistics.")
@_RUN
@click.option("--reason", required=True, help="Why it does not count; it is shown with the run.")
@click.pass_obj
def excuse(given: Path | None, run: str, reason: str) -> None:
    """Take RUN out of the statistics, with a reason. Asks for an instructor's code and PIN.

    The run stays in the record as it was and is shown as excused; nothing of it is counted any more.
    """
    with _acting(given, run) as (acts, whole):
        acts.excuse(whole, ask_instructor(), reason)
    click.echo("The run is excused: it counts in no figure any more.")


@click.command("sign", short_help="Give a word on a run's plate after class.")
@_RUN
@click.option("--of", "of", help="The step that is signed, by its id; may be left out where there is one.")
@click.option("--word", type=click.Choice(tuple(_WORDS)), help="What you say of it. It must be given.")
@click.option("--note", "remark", default="", help="A note for the trainee.")
@click.pass_obj
def sign(given: Path | None, run: str, of: str | None, word: str | None, remark: str) -> None:
    """Give a word on a step of RUN, which is over. Asks for an instructor's code and PIN.

    A word given before stays beside it; the later one is the one that counts.
    """
    from trainer.record.after_class import NotAfterClass

    if word is None:
        raise click.UsageError("Say `--word passed` or `--word not-yet`.")
    with _acting(given, run) as (acts, whole):
        can = acts.signable(whole)
        if of is None and len(can) != 1:
            named = ", ".join(one.of for one in can) or "nothing"
            raise NotAfterClass(f"Say with --of what you sign. What can be signed in this run: {named}.")
        signed = can[0].of if of is None else of
        acts.sign(whole, ask_instructor(), signed, _WORDS[word], remark)
    click.echo(f"{signed} is signed: {word}.")
