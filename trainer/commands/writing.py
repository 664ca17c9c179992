"""Files that commands write: whole or not at all, and never over one that is there."""

from __future__ import annotations

import os
import secrets
from contextlib import suppress
from pathlib import Path

import click

from trainer.commands.saying import end
from trainer.procedure.text import one_line


def put(text: str, out: Path | None) -> None:
    """Print `text`, or write it to a new file and say so on stderr."""
    if out is None:
        click.echo(text, nl=False)
        return
    write_new(out, text)
    click.echo(f"Written: {one_line(str(out))}", err=True)


def write_new(path: Path, text: str) -> None:
    """Write a file that is not there yet. Nobody sees half of it; ends with a sentence where it cannot be.

    A name is taken by a hard link, which fails where it is there already; where the disk knows no links, by
    opening it for this alone.
    """
    named = str(path)
    half = path.parent / f".sinkside-{secrets.token_hex(8)}.part"
    try:
        with half.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        _take_name(half, path)
    except FileExistsError:
        end(f"{named} is there already and is left as it is. Give another name, or move the file away.")
    except (OSError, ValueError) as error:
        end(
            f"{named} cannot be written: {_reason(error)}. Name a folder that is there and may be written to."
        )
    finally:
        with suppress(ValueError, FileNotFoundError, NotADirectoryError):  # then there is none
            half.unlink()


def _take_name(half: Path, path: Path) -> None:
    try:
        path.hardlink_to(half)
    except FileExistsError:
        raise
    except OSError:  # no links on this disk
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(half.read_text(encoding="utf-8"))


def _reason(error: OSError | ValueError) -> str:
    return (
        error.strerror or "the system gives no reason" if isinstance(error, OSError) else "it is no file name"
    )
