"""How every command talks: results on stdout, sentences on stderr, exit codes."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import NoReturn

import click

from trainer.procedure.text import one_line

UNREADABLE = 2


def end(sentence: str, code: int = 1) -> NoReturn:
    """Say it on stderr, as text, and end."""
    click.echo(f"sinkside: {one_line(sentence)}", err=True)
    raise SystemExit(code)


def warn(sentence: str) -> None:
    """Say it on stderr, as text, and go on."""
    click.echo(f"sinkside: {one_line(sentence)}", err=True)


@contextmanager
def sentences() -> Iterator[None]:
    """Turn what can go wrong outside into a sentence on stderr and exit code 1."""
    from trainer.procedure.problems import ProcedureProblems
    from trainer.run.ports import Trouble

    try:
        yield
    except (Trouble, ProcedureProblems) as trouble:
        end(str(trouble))


def wants_colour() -> bool:
    """Whether stdout is a terminal that may be coloured."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR")
