"""Files that commands write: whole or not at all, and never over one that is there."""

from __future__ import annotations

import os
import secrets
from pathlib import Path
from typing import NoReturn

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
    half = path.parent / f".sinkside-{secrets.token_hex(8)}.part"
    try:
        file = half.open("x", encoding="utf-8", newline="\n")
    except (OSError, ValueError) as error:
        _cannot(path, error)
    try:
        with file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        _take_name(half, path)
    except FileExistsError:
        end(f"{path} is there already and is left as it is. Give another name, or move the file away.")
    except (OSError, ValueError) as error:
        _cannot(path, error)
    finally:
        half.unlink(missing_ok=True)


def _take_name(half: Path, path: Path) -> None:
    try:
        path.hardlink_to(half)
    except FileExistsError:
        raise
    except OSError:  # no links on this disk
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(half.read_text(encoding="utf-8"))


def _cannot(path: Path, error: OSError | ValueError) -> NoReturn:
    reason = error.strerror if isinstance(error, OSError) else "that is no name of a file"
    said = reason or "the system gives no reason"
    end(f"{path} cannot be written: {said}. Name a folder that is there and may be written to.")
